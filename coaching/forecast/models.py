"""What a studio decides about the words on its board, and what a coach has tried.

Borders keep to whole percents, days and swings; `thresholds.py` is what the rules take.
"""

from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from shared.people.models import Base, Student, Studio, User


def _whole(default: int, least: int, most: int) -> "models.PositiveSmallIntegerField[int, int]":
    ends = [MinValueValidator(least), MaxValueValidator(most)]
    return models.PositiveSmallIntegerField(default=default, validators=ends)


def _times(default: str) -> "models.DecimalField[Any, Any]":
    ends = [MinValueValidator(1), MaxValueValidator(5)]
    return models.DecimalField(max_digits=2, decimal_places=1, default=default, validators=ends)


class StudioThresholds(models.Model):
    """The studio's own borders; a studio without a row has the defaults."""

    studio = models.OneToOneField(Studio, models.CASCADE, related_name="thresholds")
    finish_percent = _whole(80, 50, 100)
    in_step_percent = _whole(60, 40, 95)
    tight_percent = _whole(30, 5, 60)
    weeks_needed = _whole(4, 3, 8)
    quiet_days = _whole(4, 2, 21)
    quiet_times = _times("1.5")
    jump_times = _times("1.5")
    jump_rise = _whole(40, 10, 300)
    jump_rise_under_16 = _whole(25, 5, 300)
    first_ceiling = _whole(60, 10, 300)
    first_ceiling_under_16 = _whole(40, 5, 300)
    cram_percent = _whole(60, 50, 100)
    cram_points = _whole(30, 10, 90)
    as_asked_percent = _whole(90, 70, 100)
    event_days = _whole(3, 1, 14)
    set_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True)
    set_at = models.DateTimeField(default=timezone.now)
    # What stood before each change, oldest first: [{"until": "2031-…", "quiet_days": 4, …}]
    before = models.JSONField(default=list, blank=True, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(tight_percent__lt=F("in_step_percent")),
                name="tight_below_in_step",
                violation_error_message="Tight must begin below In step.",
            )
        ]


class Tried(Base):
    """What somebody tried for a student in a week: it stays on the student's page."""

    class What(models.TextChoices):
        LINE = "line", "wrote a line"
        SHORTER = "shorter", "sent a shorter week"
        EXCUSED = "excused", "excused days"
        CALLED = "called", "called"
        NO_ANSWER = "no_answer", "tried to call, no answer"
        OTHER = "other", "something else"

    student = models.ForeignKey(Student, models.CASCADE, related_name="tried", db_index=False)
    # First day of the practice week it was for.
    opens = models.DateField()
    what = models.CharField(max_length=9, choices=What.choices)
    note = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        indexes = [models.Index(fields=["student", "opens"], name="tried_for_student")]


class BoardLook(models.Model):
    """When somebody last looked at *Who needs me*, and what stood there.

    `places` is the need of each student then, by id, so that a changed word is seen as
    one. The look before is kept, so that looking can be taken back.
    """

    user = models.OneToOneField(User, models.CASCADE, related_name="board_look")
    at = models.DateTimeField()
    places = models.JSONField(default=dict)
    before_at = models.DateTimeField(null=True, blank=True)
    before_places = models.JSONField(default=dict, blank=True)


class StudioRhythm(models.Model):
    """How a studio practises, made once a week from the weeks before `opens`.

    `figures` is a standing.rhythm.Rhythm, `record` a standing.deciding.Record.
    """

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="rhythms", db_index=False)
    opens = models.DateField()
    made_at = models.DateTimeField(default=timezone.now)
    figures = models.JSONField()
    record = models.JSONField(default=dict)

    class Meta:
        app_label = "kept"
        constraints = [
            models.UniqueConstraint(fields=["studio", "opens"], name="one_rhythm_per_studio_week")
        ]
