"""What a student may not do now, as it is read: stops, and the rest that pain and load ask for."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.db.models import (
    CharField,
    DateField,
    F,
    IntegerChoices,
    IntegerField,
    QuerySet,
    UUIDField,
    Value,
)
from django.db.models.functions import Cast
from django.utils import timezone

from practice.care.limits import HURT_DAYS, LOAD_WEEKS, Limits, Stopped, before_week, rests
from practice.care.models import PainNote, Stop
from practice.compliance.models import WeekTally
from practice.weeks.queries import this_opening
from shared.people.models import Student
from shared.site.prepared import Prepared

HURT = timedelta(days=HURT_DAYS)
PAINS = timedelta(days=90)


Pain = tuple[date, UUID | None]


class _Kind(IntegerChoices):
    STOP, SWINGS, PAIN = 1, 2, 3


def _rows(students: UUID, since: date, pained: date) -> "QuerySet[Any, Any]":
    """Stops that stand, hard swings of weeks from `since` and days of pain from `pained`."""
    none, nothing = Value(None, UUIDField()), Value("", CharField())
    level = Cast("level", IntegerField())
    stops = Stop.objects.filter(student__in=[students], cleared_at=None)
    swings = WeekTally.objects.filter(student__in=[students], opens__gte=since)
    pains = PainNote.objects.filter(student__in=[students], level__gt=0, day__gte=pained)
    own = Cast("pk", UUIDField())
    return (
        stops.order_by()
        .values_list(
            Value(_Kind.STOP), "student", own, "drill", F("drill__current__name"), "since", Value(0)
        )
        .union(
            swings.order_by().values_list(
                Value(_Kind.SWINGS), "student", none, none, nothing, "opens", "hard_swings"
            ),
            pains.order_by().values_list(
                Value(_Kind.PAIN), "student", none, "drill", nothing, "day", level
            ),
            all=True,
        )
    )


_read = Prepared(_rows, students=UUIDField, since=DateField, pained=DateField)


def limits_of(student: Student) -> Limits:
    """What this student may not do now. One query."""
    return limits_of_many([student])[student.pk]


def limits_of_many(students: Iterable[Student]) -> dict[UUID, Limits]:
    """The same of many, by student id. One query."""
    students = list(students)
    if not students:
        return {}
    now = {student.pk: this_opening(student) for student in students}
    first = min(now.values())
    stops: dict[UUID, list[Stopped]] = defaultdict(list)
    swings: dict[UUID, dict[date, int]] = defaultdict(dict)
    pains: dict[UUID, set[Pain]] = defaultdict(set)
    rows = _read(students=[*now], since=first - timedelta(weeks=LOAD_WEEKS), pained=first - PAINS)
    for kind, student, pk, drill, name, day, number in rows:
        if kind == _Kind.STOP:
            stops[student].append(Stopped(pk, drill, (name or "the drill") if drill else "", day))
        elif kind == _Kind.SWINGS:
            swings[student][day] = number
        else:
            pains[student].add((day, drill))
    return {
        student.pk: _limits(
            student, now[student.pk], stops[student.pk], swings[student.pk], pains[student.pk]
        )
        for student in students
    }


def _limits(
    student: Student, now: date, stops: list[Stopped], swings: dict[date, int], pains: set[Pain]
) -> Limits:
    hurt = frozenset(day for day, _ in pains if day >= now - HURT)
    return Limits(
        student=student.pk,
        stops=tuple(sorted(stops, key=lambda stop: (stop.since, stop.id))),
        youngest=_youngest(student),
        hard_swings=swings,
        pains=frozenset(pains),
        hurt=hurt,
        rests=rests(
            swings.get(now, 0),
            before_week(swings, now),
            hurt=bool(hurt),
            under_16=student.is_under_16,
        ),
    )


def _youngest(student: Student) -> int | None:
    """In a year of birth alone there are two ages: in doubt, the younger."""
    if student.born_year is None:
        return None
    return timezone.now().year - student.born_year - 1
