"""What pages ask about tallies. Each function's cost is in its docstring."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median
from typing import Any
from uuid import UUID

from django.db.models import Case, DateField, JSONField, Q, UUIDField, When

from practice.care.hard_swings import LOAD_WEEKS
from practice.compliance.models import WeekTally
from practice.weeks.queries import LOOK_BACK, latest_between, this_opening
from shared.people.models import Student
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

USUAL_WEEKS = 6


@dataclass(frozen=True, slots=True)
class WeeksBefore:
    """What a student does in a week: `usual`, the median minutes of the last six open weeks,
    planned and unplanned together, None if there is no week yet; the hard swings of each of the
    last four weeks that are over, newest first, as far as known; and how the parts of one week
    went. A week excused whole is left out, and so is one that still runs."""

    usual: float | None
    hard: list[int]
    parts: list[dict[str, Any]]


def weeks_before(student: Student, before: date, *, parts_of: date | None = None) -> WeeksBefore:
    """All in one query, the parts of the one week alone."""
    return before_asked(student, [before], parts_of=parts_of).answer(before)


def before_asked(
    student: Student, among: Sequence[date], *, parts_of: date | None = None
) -> Question[Callable[[date], WeeksBefore]]:
    """The same before each of these days, of which it is not known yet which is meant."""
    rows = Rows(
        _weeks,
        student=student.pk,
        since=min(among) - LOOK_BACK,
        before=max(among),
        parts_of=parts_of or date.min,
    )
    return Question(lambda rows: lambda before: _before(student, rows, before), rows)


_weeks = Prepared(
    lambda student, since, before, parts_of: (
        WeekTally.objects.filter(student=student, opens__lt=before, opens__gte=since)
        .order_by("-opens")
        .values_list(
            "opens",
            "open_days",
            "minutes",
            "hard_swings",
            Case(When(opens=parts_of, then="parts"), output_field=JSONField()),
        )
    ),
    student=UUIDField,
    since=DateField,
    before=DateField,
    parts_of=DateField,
)


def _before(student: Student, rows: Iterable[tuple[Any, ...]], before: date) -> WeeksBefore:
    weeks = [row for row in rows if before - LOOK_BACK <= row[0] < before]
    end = _over_before(student, before)
    over = [row for row in weeks if row[0] < end]
    minutes = [minutes for _, open_days, minutes, *_ in over if open_days][:USUAL_WEEKS]
    first = end - timedelta(weeks=LOAD_WEEKS)
    hard = [swings for opens, _, _, swings, _ in over if opens >= first]
    parts: list[dict[str, Any]] = next((found for *_, found in weeks if found), [])
    return WeeksBefore(median(minutes) if minutes else None, hard, parts)


def usual_minutes_of(students: Iterable[Student], before: date) -> dict[UUID, float]:
    """What is `usual` of many, by student id; who has none is left out. One query."""
    ends = {student.pk: _over_before(student, before) for student in students}
    if not ends:
        return {}
    weeks: dict[UUID, list[float]] = {}
    rows = _minutes_of_many(students=list(ends), before=before, since=before - LOOK_BACK)
    for student, opens, minutes in rows:
        if opens < ends[student]:
            weeks.setdefault(student, []).append(minutes)
    return {student: median(found[:USUAL_WEEKS]) for student, found in weeks.items()}


_minutes_of_many = Prepared(
    lambda students, before, since: (
        WeekTally.objects.filter(
            student__in=[students], opens__lt=before, opens__gte=since, open_days__gt=0
        )
        .order_by("-opens")
        .values_list("student", "opens", "minutes")
    ),
    students=UUIDField,
    before=DateField,
    since=DateField,
)


def _over_before(student: Student, before: date) -> date:
    """A week that still runs is no usual one: else next week's page and this week's page would
    each name another usual."""
    return min(before, this_opening(student))


def tally_of(student: Student, opens: date) -> WeekTally | None:
    return WeekTally.objects.filter(student=student, opens=opens).first()


def tallies_asked(student: Student, among: Sequence[date]) -> Question[dict[date, WeekTally]]:
    """The tallies of these weeks and of the latest one sent before them all, by opening day."""
    days = {"among": list(among), "before": min(among), "since": min(among) - LOOK_BACK}
    return Question(
        lambda rows: {tally.opens: tally for tally in rows},
        Rows(_near, student=student.pk, **days),
    )


_near = Prepared(
    lambda student, among, before, since: WeekTally.objects.filter(
        Q(opens__in=[among]) | Q(opens__in=latest_between(student, since, before).values("opens")),
        student=student,
    ),
    student=UUIDField,
    among=DateField,
    before=DateField,
    since=DateField,
)
