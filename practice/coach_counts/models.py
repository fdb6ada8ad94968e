"""Reps that a coach counted beside the student."""

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from practice.drills.models import Drill
from shared.people.models import Base, Student, User

MOST_REPS = 500


class CheckedCount(Base):
    """One count: reps at a felt effort, how many the coach called clean, and the student.

    `own_reps` and `own_clean_reps` are null where the student did not count. One taken back
    counts no more and is kept.
    """

    student = models.ForeignKey(Student, models.CASCADE, related_name="checked", db_index=False)
    drill = models.ForeignKey(Drill, models.PROTECT, related_name="+")
    effort = models.PositiveSmallIntegerField("felt effort, percent")
    reps = models.PositiveSmallIntegerField()
    clean_reps = models.PositiveSmallIntegerField("clean by the coach")
    own_reps = models.PositiveSmallIntegerField(
        "reps by the student's own count", null=True, blank=True
    )
    own_clean_reps = models.PositiveSmallIntegerField(
        "clean by the student's own count", null=True, blank=True
    )
    day = models.DateField()
    by = models.ForeignKey(User, models.SET_NULL, related_name="+", null=True)
    at = models.DateTimeField(default=timezone.now)
    counts = models.BooleanField(default=True)

    class Meta:
        indexes = [models.Index(fields=["student", "day"], name="checked_student_day")]
        constraints = [
            models.CheckConstraint(
                condition=Q(effort__range=(10, 100)),
                name="checked_effort_10_to_100",
                violation_error_message="Felt effort is from 10 to 100 percent.",
            ),
            models.CheckConstraint(
                condition=Q(reps__range=(1, MOST_REPS)),
                name="checked_reps_1_to_500",
                violation_error_message=f"Count 1 to {MOST_REPS} reps at a time.",
            ),
            models.CheckConstraint(
                condition=Q(clean_reps__lte=F("reps"))
                & (Q(own_clean_reps=None) | Q(own_clean_reps__lte=F("reps"))),
                name="checked_clean_within_reps",
                violation_error_message="There cannot be more clean ones than were made.",
            ),
            models.CheckConstraint(
                condition=Q(own_reps=None) | Q(own_reps__range=(1, MOST_REPS)),
                name="checked_own_reps_1_to_500",
                violation_error_message=f"Count 1 to {MOST_REPS} reps at a time.",
            ),
        ]
