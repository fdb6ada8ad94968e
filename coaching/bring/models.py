"""A list of people that was brought at once, so that it can be sent and taken back at once."""

from django.db import models
from django.utils import timezone

from shared.people.models import Base, Invitation, Student, Studio, User


class Batch(Base):
    """A list of students, or of past practice."""

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="batches")
    by = models.ForeignKey(User, models.PROTECT, related_name="batches")
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    sent_at = models.DateTimeField(null=True, blank=True)
    taken_back_at = models.DateTimeField(null=True, blank=True)


class Listed(models.Model):
    """One person of a batch. Of a child there is the guardian's invitation alone, the hour that
    waits for it and the guardian's number: nothing of the child is kept before the guardian has
    consented."""

    batch = models.ForeignKey(Batch, models.CASCADE, related_name="listed")
    invitation = models.OneToOneField(Invitation, models.CASCADE, related_name="listed")
    student = models.ForeignKey(
        Student, models.CASCADE, related_name="listed", null=True, blank=True
    )
    # The hour that waits for a child's place; emptied once the lesson is on the timetable.
    coach = models.ForeignKey(User, models.SET_NULL, related_name="+", null=True, blank=True)
    weekday = models.PositiveSmallIntegerField(null=True, blank=True)
    at = models.TimeField(null=True, blank=True)
    phone = models.CharField(max_length=24, blank=True)


class Remembered(Base):
    """Practice before the first week was sent, as somebody remembers it: never credit."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="remembered")
    batch = models.ForeignKey(
        Batch, models.SET_NULL, related_name="remembered", null=True, blank=True
    )
    day = models.DateField()
    minutes = models.FloatField()
    drill = models.CharField(max_length=80, blank=True)
    made_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(minutes__gt=0, minutes__lte=480),
                name="remembered_minutes_of_a_day",
            )
        ]
        indexes = [models.Index(fields=["student", "day"], name="remembered_of_student")]
