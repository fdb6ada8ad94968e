"""Do reminders help? For adults who agree, a practice call is sent with a kept chance.

Each due call is drawn by itself and what was drawn is kept with the notice, sent or not, so that
days with and without are alike but for the call (a micro-randomised trial: Klasnja, P. and others
(2015), Health Psychology 34S, 1220-1228; from memory). Counted as drawn, whatever became of it.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from random import SystemRandom
from typing import Any

from django.db.models import Count, DateTimeField, Exists, ExpressionWrapper, OuterRef, QuerySet

from coaching.reminders.due import ReminderKind
from coaching.reminders.models import Notice, ReminderRule
from practice.log.models import Entry
from practice.measures.answers import Estimate
from shared.people.models import Student, User

CHANCE = 0.7  # Our choice: most are sent, and enough are left out to compare.
LEFT_OUT = "left out by chance, to see whether reminders help"
WITHIN = timedelta(hours=24)
LOOKS_BACK = timedelta(days=365)
NEEDED = 20  # Days of each kind, below which nothing is said (our choice).
WORTH_IT = 0.05  # A reminder that adds less is not worth a mail (our choice).
# Calls in a row that nobody follows, after which there are no more (our choice).
UNHEARD = 10
_dice = SystemRandom()


def draws(rule: ReminderRule, reader: User) -> bool | None:
    """Whether this call is sent; None where chance has no say."""
    student = rule.student
    if not rule.by_chance or student.born_year is not None or reader.pk != student.user_id:
        return None
    return _dice.random() < CHANCE


def with_logged(notices: QuerySet[Notice]) -> QuerySet[Any]:
    """Each notice with whether practice was logged within a day of it."""
    end = ExpressionWrapper(OuterRef("planned_at") + WITHIN, DateTimeField())
    logged = Entry.objects.filter(
        student=OuterRef("student"),
        counts=True,
        kind__in=(Entry.Kind.LOG, Entry.Kind.CHANGE),
        at__gte=OuterRef("planned_at"),
        at__lt=end,
    )
    return notices.annotate(logged=Exists(logged))


def is_unheard(rule: ReminderRule, reader: User) -> bool:
    """Whether the last calls in a row were followed by no practice within a day. One query."""
    calls = Notice.objects.filter(
        student=rule.student,
        recipient=reader,
        kind=ReminderKind.PRACTICE_CALL,
        state__in=(Notice.State.SENT, Notice.State.UNKNOWN),
    )
    if rule.calls_since is not None:
        calls = calls.filter(planned_at__gte=rule.calls_since)
    last = with_logged(calls).order_by("-planned_at").values_list("logged", flat=True)[:UNHEARD]
    heard = list(last)
    return len(heard) == UNHEARD and not any(heard)


@dataclass(frozen=True, slots=True)
class ChanceCounts:
    """Days on which a call was drawn to be sent, and to be left out; how many were logged."""

    sent: int
    sent_logged: int
    left_out: int
    left_out_logged: int

    @property
    def difference(self) -> Estimate | None:
        if min(self.sent, self.left_out) < NEEDED:
            return None
        from practice.measures.rates import score_difference  # It brings NumPy.

        return score_difference(self.sent_logged, self.sent, self.left_out_logged, self.left_out)


def counted(students: QuerySet[Student], now: datetime) -> ChanceCounts:
    """Of these students, over a year, without the day that is not over. One query."""
    drawn = Notice.objects.filter(
        student__in=students,
        drawn__isnull=False,
        planned_at__range=(now - LOOKS_BACK, now - WITHIN),
    )
    rows = with_logged(drawn).values("drawn", "logged").annotate(many=Count("pk")).order_by()
    found = {(row["drawn"], row["logged"]): row["many"] for row in rows}
    sent, left_out = found.get((True, True), 0), found.get((False, True), 0)
    return ChanceCounts(
        sent + found.get((True, False), 0),
        sent,
        left_out + found.get((False, False), 0),
        left_out,
    )


def sentences(found: ChanceCounts) -> list[str]:
    """What a coach may conclude, and from how many days."""
    if not found.sent and not found.left_out:
        return ["No adult has agreed to it yet. Each chooses it with their own reminders."]
    said = [
        f"With a reminder, {found.sent_logged} of {found.sent} days were logged within a day.",
        f"Without, {found.left_out_logged} of {found.left_out}.",
    ]
    gain = found.difference
    if gain is None:
        return [*said, f"From {NEEDED} days of each kind on it says more."]
    low, high = gain.low, gain.high
    said.append(
        f"That is {_points(gain.value)}; anything from {_points(low)} to {_points(high)} fits."
    )
    if low > 0:
        return [*said, "Reminders help here."]
    if high < WORTH_IT:
        return [*said, "They do not help here: better fewer of them."]
    return [*said, "Whether they help cannot be told yet."]


def _points(share: float) -> str:
    many = round(abs(share) * 100)
    if not many:
        return "no difference"
    return f"{many} in 100 {'more' if share > 0 else 'fewer'}"
