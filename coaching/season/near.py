"""What stands near a week of several students, read in one statement."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from operator import itemgetter
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import (
    CharField,
    DateField,
    IntegerChoices,
    IntegerField,
    QuerySet,
    UUIDField,
    Value,
)
from django.db.models.functions import Cast, Concat

from coaching.season.clashes import GymLine
from coaching.season.line import WEEK
from coaching.season.models import Event, GymDay
from coaching.season.read import gym_line
from practice.care.models import Screening
from practice.care.screening import Can
from practice.weeks.models import Excusal
from shared.people.models import Student
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

BEFORE = timedelta(days=3)  # What was then bears on the first days of a week.


@dataclass(slots=True)
class Near:
    """Of one student and the week that `opens` then. Events, gym and days away from three days
    before it to the day after it."""

    opens: date
    events: list[Event] = field(default_factory=list)
    gym: dict[date, GymLine] = field(default_factory=dict)
    away: list[tuple[date, date]] = field(default_factory=list)
    is_limited: bool = False  # A screening found something that does not go yet, once at least.

    @property
    def excused(self) -> set[date]:
        """The excused days of the week."""
        days = {self.opens + timedelta(days=n) for n in range(7)}
        return {day for day in days if any(first <= day <= last for first, last in self.away)}

    def add(self, row: "_Dated") -> None:
        match row.kind:
            case _NearKind.EVENT:
                event = Event(kind=row.what, name=row.name, first=row.first, last=row.last)
                self.events.append(event)
            case _NearKind.GYM:
                kept = GymDay(load=row.what, body=row.name, jumps=bool(row.number))
                self.gym[row.first] = gym_line(kept)
            case _NearKind.AWAY:
                self.away.append((row.first, row.last))
            case _NearKind.SCREENED:
                self.is_limited = True


class _NearKind(IntegerChoices):
    EVENT, GYM, AWAY, SCREENED = range(4)


class _Dated(NamedTuple):
    """Days of a student, with a number or words where the kind has them."""

    kind: int
    student: UUID
    first: date
    last: date
    number: int
    what: str
    name: str


def _dated_rows(students: UUID, first: date, last: date) -> "QuerySet[Any, Any]":
    """Of these days, and who was ever screened."""
    none, zero, jumps = Value("", CharField()), Value(0), Cast("jumps", IntegerField())
    what, name = (Concat(column, Value("")) for column in ("kind", "name"))
    load, body = (Concat(column, Value("")) for column in ("load", "body"))
    kinds: list[tuple[QuerySet[Any, Any], tuple[Any, ...]]] = [
        (
            Event.objects.filter(first__lte=last, last__gte=first),
            (Value(_NearKind.EVENT), "student", "first", "last", zero, what, name),
        ),
        (
            GymDay.objects.filter(day__gte=first, day__lte=last),
            (Value(_NearKind.GYM), "student", "day", "day", jumps, load, body),
        ),
        (
            Excusal.objects.filter(withdrawn_at=None, first__lte=last, last__gte=first),
            (Value(_NearKind.AWAY), "student", "first", "last", zero, none, none),
        ),
        (
            Screening.objects.filter(can=Can.CANNOT),
            (Value(_NearKind.SCREENED), "student", "day", "day", zero, none, none),
        ),
    ]
    found = [
        rows.filter(student__in=[students]).order_by().values_list(*columns)
        for rows, columns in kinds
    ]
    return found[0].union(*found[1:], all=True)


_dated = Prepared(_dated_rows, students=UUIDField, first=DateField, last=DateField)


def read_near(students: Sequence[Student], opens: Mapping[UUID, date]) -> dict[UUID, Near]:
    """What stands near the week that opens on each one's day, by student. One query."""
    return _near_asked(students, opens).answer


def near_asked(student: Student, opens: date) -> Question[Near]:
    """Of one, to be asked with others."""
    return Question(itemgetter(student.pk), _near_asked([student], {student.pk: opens}))


def _near_asked(
    students: Sequence[Student], opens: Mapping[UUID, date]
) -> Question[dict[UUID, Near]]:
    if not students:
        return Question(dict)

    def made(rows: Sequence[Sequence[Any]]) -> dict[UUID, Near]:
        found = {student.pk: Near(opens[student.pk]) for student in students}
        for dated in map(_Dated._make, rows):
            found[dated.student].add(dated)
        for near in found.values():
            near.events.sort(key=lambda event: (event.first, event.name))
        return found

    first, last = min(opens.values()) - BEFORE, max(opens.values()) + WEEK
    return Question(
        made, Rows(_dated, students=[each.pk for each in students], first=first, last=last)
    )


def near_of(student: Student, opens: date) -> Near:
    """Of one. One query."""
    return read_near([student], {student.pk: opens})[student.pk]
