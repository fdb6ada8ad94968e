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
from practice.weeks.queries import LOOK_BACK
from shared.people.models import Student

USUAL_WEEKS = 6


def usual_minutes(student: Student, before: date) -> float | None:
    """Median minutes of the last six open weeks, planned and unplanned together. One query.

    A week excused whole is left out. None if there is no week yet.
    """
    weeks = _open_weeks(student, before).values_list("minutes", flat=True)[:USUAL_WEEKS]
    return median(weeks) if weeks else None


@dataclass(frozen=True, slots=True)
class WeeksBefore:
    """What a student does in a week: `usual_minutes`, and `hard_swings_before`; and how the parts
    of one week went."""

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
    minutes = [minutes for _, open_days, minutes, *_ in weeks if open_days][:USUAL_WEEKS]
    first = before - timedelta(weeks=LOAD_WEEKS)
    hard = [swings for opens, _, _, swings, _ in weeks if opens >= first]
    parts: list[dict[str, Any]] = next((found for *_, found in weeks if found), [])
    return WeeksBefore(median(minutes) if minutes else None, hard, parts)


def usual_minutes_of(students: Iterable[Student], before: date) -> dict[UUID, float]:
    """`usual_minutes` of many, by student id; who has none is left out. One query."""
    rows = WeekTally.objects.filter(
        student__in=[student.pk for student in students],
        opens__lt=before,
        opens__gte=before - LOOK_BACK,
        open_days__gt=0,
    )
    weeks: dict[UUID, list[float]] = {}
    for student, minutes in rows.order_by("-opens").values_list("student", "minutes"):
        weeks.setdefault(student, []).append(minutes)
    return {student: median(found[:USUAL_WEEKS]) for student, found in weeks.items()}


def hard_swings_before(student: Student, before: date) -> list[int]:
    """Hard swings of each of the four weeks before, newest first, as far as known. One query."""
    weeks = WeekTally.objects.filter(
        student=student, opens__lt=before, opens__gte=before - timedelta(weeks=LOAD_WEEKS)
    )
    return list(weeks.order_by("-opens").values_list("hard_swings", flat=True))


def _open_weeks(student: Student, before: date) -> QuerySet[WeekTally]:
    return WeekTally.objects.filter(
        student=student, opens__lt=before, opens__gte=before - LOOK_BACK, open_days__gt=0
    ).order_by("-opens")


def tally_of(student: Student, opens: date) -> WeekTally | None:
    return WeekTally.objects.filter(student=student, opens=opens).first()
