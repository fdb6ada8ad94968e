"""What became of the notes that students write with their sessions."""

from django.db import models
from django.utils import timezone

from practice.drills.models import Drill
from practice.log.models import Entry
from shared.people.models import Base, Student, User


class NoteSeen(models.Model):
    """A note that a coach has read and that needs no answer."""

    # The first entry of the chain: a change of the session asks nothing anew.
    root = models.UUIDField(unique=True)
    student = models.ForeignKey(Student, models.CASCADE, related_name="+")
    by = models.ForeignKey(User, models.SET_NULL, related_name="+", null=True)
    at = models.DateTimeField(default=timezone.now)


class KeptWords(Base):
    """A student's own words, kept as the cue of a drill."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="kept_words")
    drill = models.ForeignKey(Drill, models.SET_NULL, related_name="+", null=True, blank=True)
    entry = models.ForeignKey(Entry, models.SET_NULL, related_name="+", null=True, blank=True)
    text = models.CharField(max_length=160)
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        indexes = [models.Index(fields=["student", "at"], name="kept_words_of_student")]
