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
    # A coach keeps where it hurt and how; else those words fade in time, and the level stays.
    is_kept = models.BooleanField(default=False)
    faded_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [models.Index(fields=["student", "day"], name="pain_of_student")]
        constraints = [
            models.CheckConstraint(condition=Q(level__range=(0, 10)), name="pain_0_to_10")
        ]


class PainLook(models.Model):
    """That somebody who works here read of a student's pain: who, on which page, and when.

    One row a reader, page and day, with the first and the last time of that day.
    """

    student = models.ForeignKey(Student, models.CASCADE, related_name="+")
    by = models.ForeignKey(User, models.PROTECT, related_name="+", db_index=False)
    page = models.CharField(max_length=40)
    day = models.DateField()
    at = models.DateTimeField()
    last_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["student", "by", "page", "day"], name="one_pain_look_a_page_and_day"
            )
        ]


LONGEST_EARLIER = 600


class EarlierHurt(models.Model):
    """What hurt or was injured before, as an adult told it. Health data, read like a pain note."""

    student = models.OneToOneField(Student, models.CASCADE, related_name="earlier_hurt")
    words = models.TextField(max_length=LONGEST_EARLIER)
    told_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    told_at = models.DateTimeField(default=timezone.now)


class Screening(Base):
    """A coach's look at one movement of one student: a limit, and nothing about why."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="screenings", db_index=False)
    # One of practice.care.screening.MOVEMENTS, and how it goes.
    movement = models.CharField(max_length=12)
    can = models.CharField(max_length=6)
    drills = models.ManyToManyField(Drill, related_name="+", blank=True)
    day = models.DateField()
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(User, models.PROTECT, related_name="+")

    class Meta:
        indexes = [models.Index(fields=["student", "day"], name="screening_of_student")]


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
