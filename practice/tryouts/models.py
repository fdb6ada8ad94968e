"""A try-out: a drill whose weeks the app drew, and the test that judges it once."""

import uuid

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from practice.drills.models import Drill
from shared.people.models import Base, Student, User

MOST_STARTS = 26
MOST_TOGETHER = 8
MOST_PAIRS = 13
# Days after the day of judging: tests without the drill, and then at another place (the times
# are the house's own).
RESTS = (7, 14)
ELSEWHERE, CHECKED = 21, 35


class TryOut(Base):
    """One student's try-out of one drill. Drawn once; what was drawn is never changed.

    A drawn start: several that were drawn together share `together`. `first` and `starts` are
    the window the student was given: the first possible week, and how many there are. `begins`
    was drawn among them by `seed`, and so was who of those together was given which window.

    Turns: from the week `first` on as many pairs of turns as `starts`, each turn `weeks` long.
    `turns` says of each whether it is the other's (1): another drill's, or, without another,
    the light dose's.
    """

    class Design(models.TextChoices):
        START = "start", "a drawn start"
        TURNS = "turns", "drawn turns"

    design = models.CharField(max_length=5, choices=Design.choices, default=Design.START)
    student = models.ForeignKey(Student, models.CASCADE, related_name="try_outs", db_index=False)
    drill = models.ForeignKey(Drill, models.PROTECT, related_name="+")
    other = models.ForeignKey(Drill, models.PROTECT, related_name="+", null=True, blank=True)
    test = models.ForeignKey(Drill, models.PROTECT, related_name="+")
    together = models.UUIDField(default=uuid.uuid4, db_index=True)
    of = models.PositiveSmallIntegerField("how many were drawn together", default=1)
    first = models.DateField("first possible week")
    starts = models.PositiveSmallIntegerField("possible weeks")
    begins = models.DateField("week that was drawn")
    weeks = models.PositiveSmallIntegerField("weeks of each turn", default=1)
    turns = models.JSONField(default=list, blank=True)
    judged_on = models.DateField("tests up to this day count")
    seed = models.PositiveIntegerField()
    made_by = models.ForeignKey(User, models.SET_NULL, related_name="+", null=True)
    drawn_at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_why = models.CharField(max_length=120, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["student", "drill"],
                condition=Q(ended_at=None),
                name="one_try_out_of_a_drill_at_a_time",
            ),
            models.CheckConstraint(
                condition=Q(starts__range=(1, MOST_STARTS)), name="try_out_has_possible_starts"
            ),
            models.CheckConstraint(
                condition=Q(begins__gte=F("first"), judged_on__gt=F("begins")),
                name="try_out_is_judged_after_it_begins",
            ),
        ]
