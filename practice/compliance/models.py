"""One row per student and week: asked against done, true with every log."""

from django.db import models

from shared.people.models import Student


class _WithoutBeside(models.Manager["WeekTally"]):
    """Pages read rows; what only the next log needs is longer than all the rest."""

    def get_queryset(self) -> models.QuerySet["WeekTally"]:
        return super().get_queryset().defer("so_far")


class WeekTally(models.Model):
    """What credit.py makes of one student-week. Only facts of the past week and its plan:
    nothing here depends on what day it is, so a rebuild gives the same row.

    `parts` holds a PartTally per part as a dictionary; `*_by_day` hold seven
    numbers, from the day the week opens; `entries` holds [day offset, day offset
    on which it was written] per counting entry.
    """

    student = models.ForeignKey(Student, models.CASCADE, related_name="tallies", db_index=False)
    opens = models.DateField()
    has_plan = models.BooleanField(default=False)
    asked_minutes = models.FloatField(default=0)
    credited_minutes = models.FloatField(default=0)
    credit = models.FloatField("share of the week's minutes credited", null=True)
    priority_credit = models.FloatField(null=True)
    priority_sessions_done = models.FloatField(default=0)
    priority_sessions_asked = models.PositiveSmallIntegerField(default=0)
    finished = models.BooleanField(default=False)
    open_days = models.PositiveSmallIntegerField(default=7)
    days_done = models.PositiveSmallIntegerField(default=0)
    days_asked = models.PositiveSmallIntegerField(default=0)
    sessions_left = models.PositiveSmallIntegerField(default=0)
    minutes = models.FloatField("all minutes, asked or not", default=0)
    unplanned_minutes = models.FloatField(default=0)
    reps = models.PositiveIntegerField(default=0)
    reps_asked = models.PositiveIntegerField(default=0)
    balls = models.PositiveIntegerField(default=0)
    hard_swings = models.PositiveIntegerField(default=0)
    swing_equivalents = models.FloatField("full-swing equivalents", default=0)
    pain = models.PositiveSmallIntegerField("highest pain told", null=True)
    counts_as_asked = models.PositiveSmallIntegerField(default=0)
    counts_given = models.PositiveSmallIntegerField(default=0)
    # Of both, those from 'Done as asked' tapped on the day itself.
    counts_tapped = models.PositiveSmallIntegerField(default=0)
    credited_by_day = models.JSONField(default=list)
    minutes_by_day = models.JSONField(default=list)
    planned_by_day = models.JSONField(default=list)
    parts = models.JSONField(default=list)
    entries = models.JSONField(default=list)
    last_written_at = models.DateTimeField(null=True)
    # A tally.SoFar, and what was heard of the student when it was kept: it stands while no more
    # was (heard.py).
    so_far = models.TextField(default="", blank=True)
    heard = models.BigIntegerField(null=True)

    objects = _WithoutBeside()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["student", "opens"], name="one_tally_per_student_and_week"
            )
        ]
