"""What a student may not do now, as it is read: stops, the rest that pain and load ask for, and
events ahead."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from operator import itemgetter
from typing import Any
from uuid import UUID

from django.db.models import (
    Case,
    CharField,
    DateField,
    Exists,
    F,
    IntegerChoices,
    OuterRef,
    Q,
    QuerySet,
    UUIDField,
    Value,
    When,
)
from django.db.models.functions import Cast
from django.utils import timezone

from practice.care.hard_swings import LOAD_WEEKS, before_week, rests
from practice.care.limits import HURT_DAYS, Limits
from practice.care.models import PainNote, Stop
from practice.care.rules import SERIOUS_LEVEL
from practice.care.work import Stopped
from practice.compliance.models import WeekTally
from practice.weeks.queries import this_opening
from shared.people.models import Student
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

HURT = timedelta(days=HURT_DAYS)
PAINS = timedelta(days=90)
AHEAD = timedelta(weeks=10)  # Beyond the last week that can be set.
# Rows of competitions: student, id, first and last day, of these students and between two days.
# The season adds its own when the site starts.
competitions: list[Callable[..., "QuerySet[Any, Any]"]] = []

Pain = tuple[date, UUID | None]


class _LimitKind(IntegerChoices):
    STOP, SWINGS, PAIN, EVENT_FIRST, EVENT_LAST = 1, 2, 3, 4, 5


def _rows(
    students: UUID, since: date, pained: date, now: date, until: date
) -> "QuerySet[Any, Any]":
    """Stops that stand, hard swings of weeks from `since`, days of pain from `pained` and
    competitions from `now` `until` then."""
    none, nothing = Value(None, UUIDField()), Value("", CharField())
    # Of what a coach has cleared in words nobody is asked again.
    is_cleared = Exists(Stop.objects.filter(pain=OuterRef("pk"), cleared_at__isnull=False))
    is_serious = Case(
        When((Q(level__gte=SERIOUS_LEVEL) | ~Q(signs=[])) & ~is_cleared, then=Value(1)),
        default=Value(0),
    )
    stops = Stop.objects.filter(student__in=[students], cleared_at=None)
    swings = WeekTally.objects.filter(student__in=[students], opens__gte=since)
    pains = PainNote.objects.filter(student__in=[students], level__gt=0, day__gte=pained)
    own = Cast("pk", UUIDField())
    events = [
        rows(students, now, until).values_list(
            Value(kind), "student", own, none, nothing, day, Value(0)
        )
        for rows in competitions
        for kind, day in ((_LimitKind.EVENT_FIRST, "first"), (_LimitKind.EVENT_LAST, "last"))
    ]
    return (
        stops.order_by()
        .values_list(
            Value(_LimitKind.STOP),
            "student",
            own,
            "drill",
            F("drill__current__name"),
            "since",
            Value(0),
        )
        .union(
            swings.order_by().values_list(
                Value(_LimitKind.SWINGS), "student", none, none, nothing, "opens", "hard_swings"
            ),
            pains.order_by().values_list(
                Value(_LimitKind.PAIN), "student", none, "drill", nothing, "day", is_serious
            ),
            *events,
            all=True,
        )
    )


_read = Prepared(
    _rows, students=UUIDField, since=DateField, pained=DateField, now=DateField, until=DateField
)


@dataclass(slots=True)
class _Read:
    """One student's rows."""

    stops: list[Stopped] = field(default_factory=list)
    swings: dict[date, int] = field(default_factory=dict)
    pains: set[Pain] = field(default_factory=set)
    serious: set[date] = field(default_factory=set)
    first: dict[UUID, date] = field(default_factory=dict)
    last: dict[UUID, date] = field(default_factory=dict)

    def add(self, kind: int, row: Sequence[Any]) -> None:
        pk, drill, name, day, number = row
        match kind:
            case _LimitKind.STOP:
                self.stops.append(Stopped(pk, drill, (name or "the drill") if drill else "", day))
            case _LimitKind.SWINGS:
                self.swings[day] = number
            case _LimitKind.PAIN:
                self.pains.add((day, drill))
                if number:
                    self.serious.add(day)
            case _LimitKind.EVENT_FIRST:
                self.first[pk] = day
            case _LimitKind.EVENT_LAST:
                self.last[pk] = day

    def events(self, student: Student) -> frozenset[tuple[date, date]]:
        """With the one that only the student's page names."""
        named = {(student.next_event, student.next_event)} if student.next_event else set()
        return frozenset({(day, self.last[pk]) for pk, day in self.first.items()} | named)


def limits_of(student: Student, opens: date | None = None) -> Limits:
    """What this student may not do now, and in the week that opens on this day (the present
    one). One query."""
    return limits_of_many([student], {student.pk: opens} if opens else {})[student.pk]


def limits_asked(student: Student) -> Question[Limits]:
    """What this student may not do now, to be asked with others."""
    return Question(itemgetter(student.pk), limits_asked_of_many([student]))


def limits_of_many(
    students: Iterable[Student], opens_for: Mapping[UUID, date] | None = None
) -> dict[UUID, Limits]:
    """The same of many, by student id. One query."""
    return limits_asked_of_many(students, opens_for).answer


def limits_asked_of_many(
    students: Iterable[Student], opens_for: Mapping[UUID, date] | None = None
) -> Question[dict[UUID, Limits]]:
    students = list(students)
    if not students:
        return Question(dict)
    now = {student.pk: this_opening(student) for student in students}
    first = min(now.values())
    asked = now | dict(opens_for or {})

    def made(rows: Sequence[Sequence[Any]]) -> dict[UUID, Limits]:
        found: dict[UUID, _Read] = defaultdict(_Read)
        for kind, student, *row in rows:
            found[student].add(kind, row)
        return {
            each.pk: _limits(each, now[each.pk], found[each.pk]).in_week(asked[each.pk])
            for each in students
        }

    rows = Rows(
        _read,
        students=[*now],
        since=first - timedelta(weeks=LOAD_WEEKS),
        pained=first - PAINS,
        now=first,
        until=max(now.values()) + AHEAD,
    )
    return Question(made, rows)


def _limits(student: Student, now: date, read: _Read) -> Limits:
    hurt = frozenset(day for day, _ in read.pains if day >= now - HURT)
    serious = any(day >= now - HURT for day in read.serious)
    return Limits(
        student=student.pk,
        stops=tuple(sorted(read.stops, key=lambda stop: (stop.since, stop.id))),
        youngest=_youngest(student),
        hard_swings=read.swings,
        pains=frozenset(read.pains),
        hurt=hurt,
        rests=rests(
            read.swings.get(now, 0),
            before_week(read.swings, now),
            hurt=bool(hurt),
            under_16=student.is_under_16,
        ),
        asks_first=serious or bool(hurt and read.swings.get(now)),
        under_16=student.is_under_16,
        events=read.events(student),
    )


def _youngest(student: Student) -> int | None:
    """In a year of birth alone there are two ages: in doubt, the younger."""
    if student.born_year is None:
        return None
    return timezone.now().year - student.born_year - 1
