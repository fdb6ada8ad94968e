"""What the board's pages read. Each function's cost is in its docstring."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.http import Http404

from coaching.board.addresses import Addresses
from coaching.board.read import Person, Raw, people, raw_of
from coaching.board.rows import (
    BoardRow,
    Judged,
    Viewer,
    bar_length,
    group_of,
    judge_student,
    row_of,
)
from coaching.board.weighing import facts_of
from coaching.standing.news_words import Units
from coaching.standing.order import Group, in_order
from coaching.standing.phrases import capital, day_words
from shared.drawing.work_bar import scale_of
from shared.people import access
from shared.people.access import PLANNING
from shared.people.models import Student, User

MOST_STUDENTS = 500
LESSON_DAYS = 7


@dataclass(frozen=True, slots=True)
class RowsOfGroup:
    title: str
    tone: str
    rows: tuple[BoardRow, ...]


@dataclass(frozen=True, slots=True)
class LessonDay:
    """One choice of the filter by lesson day."""

    value: str
    words: str
    is_chosen: bool


@dataclass(frozen=True, slots=True)
class Board:
    groups: tuple[RowsOfGroup, ...]
    lesson_days: tuple[LessonDay, ...]
    summary: str
    students: int
    # More students than one page holds.
    is_cut: bool
    is_filtered: bool


def board(user: User, now: datetime, lesson: date | None = None) -> Board:
    """Every student the user teaches, by need. Ten queries, however many students.

    Raises Http404 for somebody who teaches nowhere.
    """
    roles = access.roles_by_studio(user)
    if not roles:
        raise Http404
    found = _found(user, now)
    persons = found[:MOST_STUDENTS]
    chosen = [p for p in persons if lesson is None or p.next_lesson == lesson]
    raw = raw_of(chosen, now)
    judged = [judge_student(p, raw[p.id], facts_of(p, raw[p.id])) for p in chosen]
    rows = _rows(user, roles, judged, raw)
    return Board(
        groups=_groups(judged, rows),
        lesson_days=_lesson_days(persons, lesson),
        summary=_summary(judged),
        students=len(persons),
        is_cut=len(found) > MOST_STUDENTS,
        is_filtered=lesson is not None,
    )


def _found(user: User, now: datetime) -> list[Person]:
    """The students of one page, and one more if there are more."""
    students = access.students_taught_by(user).order_by("name", "pk")
    return people(students[: MOST_STUDENTS + 1], now)


def everybody(
    user: User, now: datetime, roles: dict[UUID, set[str]]
) -> tuple[list[Judged], dict[UUID, Raw]]:
    """Every student the user teaches, judged. Raises Http404 for somebody who teaches nowhere."""
    if not roles:
        raise Http404
    persons = _found(user, now)[:MOST_STUDENTS]
    raw = raw_of(persons, now)
    return [judge_student(p, raw[p.id], facts_of(p, raw[p.id])) for p in persons], raw


def one_student(user: User, student: Student, now: datetime) -> tuple[Judged, Raw, Viewer]:
    """One student by the same rules. Ten queries."""
    person = people(Student.objects.filter(pk=student.pk), now)[0]
    raw = raw_of([person], now)[person.id]
    viewer = viewer_of(user, access.roles_by_studio(user), person)
    return judge_student(person, raw, facts_of(person, raw)), raw, viewer


def viewer_of(user: User, roles: dict[UUID, set[str]], person: Person) -> Viewer:
    here = roles.get(person.studio, set())
    return Viewer(
        clock=ZoneInfo(user.time_zone),
        may_plan=bool(here.intersection(PLANNING)),
        reads_pain=access.reads_pain(user, here, person.lead_coach),
        units=Units(user.speed_unit, user.distance_unit),
    )


def _rows(
    user: User, roles: dict[UUID, set[str]], judged: Iterable[Judged], raw: dict[UUID, Raw]
) -> dict[str, BoardRow]:
    judged = list(judged)
    scale, to = scale_of(map(bar_length, judged)), Addresses()
    return {
        str(each.person.id): row_of(
            each, raw[each.person.id], viewer_of(user, roles, each.person), scale, to
        )
        for each in judged
    }


def _groups(judged: Iterable[Judged], rows: dict[str, BoardRow]) -> tuple[RowsOfGroup, ...]:
    by_id = {str(each.person.id): each for each in judged}
    ordered = in_order(each.place for each in by_id.values())
    held: dict[Group, list[BoardRow]] = {group: [] for group in Group}
    for place in ordered:
        held[group_of(by_id[place.who])].append(rows[place.who])
    return tuple(
        RowsOfGroup(group.value, group.name.lower(), tuple(held[group]))
        for group in Group
        if held[group]
    )


def _summary(judged: Iterable[Judged]) -> str:
    """'2 care first, 4 to act on, 3 to watch, 5 with nothing needed.'"""
    endings = {
        Group.CARE: "care first",
        Group.ACT: "to act on",
        Group.WATCH: "to watch",
        Group.FINE: "with nothing needed",
    }
    counts = dict.fromkeys(Group, 0)
    for each in judged:
        counts[group_of(each)] += 1
    said = [f"{counts[group]} {ending}" for group, ending in endings.items() if counts[group]]
    return f"{', '.join(said)}." if said else ""


def _lesson_days(persons: Iterable[Person], chosen: date | None) -> tuple[LessonDay, ...]:
    """The days of the coming week on which somebody has a lesson."""
    days: dict[date, int] = {}
    today = max((person.today for person in persons), default=None)
    for person in persons:
        day = person.next_lesson
        if day and person.today <= day < person.today + timedelta(days=LESSON_DAYS):
            days[day] = days.get(day, 0) + 1
    return tuple(
        LessonDay(str(day), f"{capital(day_words(day, today))} ({count})", day == chosen)
        for day, count in sorted(days.items())
        if today
    )
