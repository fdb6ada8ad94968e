"""Care: pain that was told, parts that stopped for it, cautions that were read."""

from django.db import models
from django.db.models import Q
from django.utils import timezone

from practice.drills.models import Caution, Drill
from practice.log.models import Entry
from shared.people.models import Base, Student, User


class PainNote(Base):
    """Pain as the student told it with an entry. Health data: coach and guardian only."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="pain_notes", db_index=False)
    entry = models.ForeignKey(Entry, models.CASCADE, related_name="pain_notes")
    drill = models.ForeignKey(Drill, models.SET_NULL, related_name="+", null=True, blank=True)
    day = models.DateField()
    where = models.CharField(max_length=60, blank=True)
    level = models.PositiveSmallIntegerField()
    # Any of practice.care.rules.SIGNS.
    signs = models.JSONField(default=list, blank=True)
    is_new = models.BooleanField(default=True)
    told_at = models.DateTimeField(default=timezone.now)

    class Meta:
        indexes = [models.Index(fields=["student", "day"], name="pain_of_student")]
        constraints = [
            models.CheckConstraint(condition=Q(level__range=(0, 10)), name="pain_0_to_10")
        ]


class Stop(Base):
    """A drill (or, with none, all hard work) that stops until a coach clears it.

    Sessions still to come of a stopped part are excused: nobody loses by telling.
    """

    student = models.ForeignKey(Student, models.CASCADE, related_name="stops")
    drill = models.ForeignKey(Drill, models.CASCADE, related_name="+", null=True, blank=True)
    pain = models.ForeignKey(PainNote, models.SET_NULL, related_name="stops", null=True)
    since = models.DateField()
    cleared_at = models.DateTimeField(null=True, blank=True)
    cleared_on = models.DateField(null=True, blank=True)
    cleared_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    clearing_words = models.CharField(max_length=300, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["student", "drill"],
                condition=Q(cleared_at=None, drill__isnull=False),
                name="one_open_stop_per_drill",
            ),
            models.UniqueConstraint(
                fields=["student"],
                condition=Q(cleared_at=None, drill=None),
                name="one_open_stop_of_all_hard_work",
            ),
        ]


class CautionRead(Base):
    """'Understood', tapped once per version of a caution."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="cautions_read")
    caution = models.ForeignKey(Caution, models.CASCADE, related_name="reads")
    user = models.ForeignKey(User, models.SET_NULL, related_name="+", null=True)
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["student", "caution"], name="caution_read_once")
        ]
