"""What pages ask about tallies. Each function's cost is in its docstring."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median
from typing import Any
from uuid import UUID

from django.db.models import Case, JSONField, QuerySet, When

from practice.care.hard_swings import LOAD_WEEKS
from practice.compliance.models import WeekTally
from practice.weeks.queries import LOOK_BACK, this_opening
from shared.people.models import Student

USUAL_WEEKS = 6


def usual_minutes(student: Student, before: date) -> float | None:
    """Median minutes of the last six open weeks, planned and unplanned together. One query.

    A week excused whole is left out, and so is one that still runs. None if there is no week yet.
    """
    weeks = _open_weeks(student, before).values_list("minutes", flat=True)[:USUAL_WEEKS]
    return median(weeks) if weeks else None


@dataclass(frozen=True, slots=True)
class WeeksBefore:
    """What a student does in a week: `usual_minutes`; the hard swings of each of the last four
    weeks that are over, newest first, as far as known; and how the parts of one week went."""

    usual: float | None
    hard: list[int]
    parts: list[dict[str, Any]]


def weeks_before(student: Student, before: date, *, parts_of: date | None = None) -> WeeksBefore:
    """All in one query, the parts of the one week alone."""
    rows = WeekTally.objects.filter(
        student=student, opens__lt=before, opens__gte=before - LOOK_BACK
    ).order_by("-opens")
    asked = Case(When(opens=parts_of, then="parts"), output_field=JSONField())
    weeks = list(rows.values_list("opens", "open_days", "minutes", "hard_swings", asked))
    end = _over_before(student, before)
    over = [row for row in weeks if row[0] < end]
    minutes = [minutes for _, open_days, minutes, *_ in over if open_days][:USUAL_WEEKS]
    first = end - timedelta(weeks=LOAD_WEEKS)
    hard = [swings for opens, _, _, swings, _ in over if opens >= first]
    parts: list[dict[str, Any]] = next((found for *_, found in weeks if found), [])
    return WeeksBefore(median(minutes) if minutes else None, hard, parts)


def usual_minutes_of(students: Iterable[Student], before: date) -> dict[UUID, float]:
    """`usual_minutes` of many, by student id; who has none is left out. One query."""
    ends = {student.pk: _over_before(student, before) for student in students}
    rows = WeekTally.objects.filter(
        student__in=ends, opens__lt=before, opens__gte=before - LOOK_BACK, open_days__gt=0
    )
    weeks: dict[UUID, list[float]] = {}
    for student, opens, minutes in rows.order_by("-opens").values_list(
        "student", "opens", "minutes"
    ):
        if opens < ends[student]:
            weeks.setdefault(student, []).append(minutes)
    return {student: median(found[:USUAL_WEEKS]) for student, found in weeks.items()}


def _open_weeks(student: Student, before: date) -> QuerySet[WeekTally]:
    end = _over_before(student, before)
    return WeekTally.objects.filter(
        student=student, opens__lt=end, opens__gte=end - LOOK_BACK, open_days__gt=0
    ).order_by("-opens")


def _over_before(student: Student, before: date) -> date:
    """A week that still runs is no usual one: else next week's page and this week's page would
    each name another usual."""
    return min(before, this_opening(student))


def tally_of(student: Student, opens: date) -> WeekTally | None:
    return WeekTally.objects.filter(student=student, opens=opens).first()
