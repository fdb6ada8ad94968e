"""What the board's pages read. Each function's cost is in its docstring."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import DateTimeField, QuerySet, UUIDField
from django.http import Http404

from coaching.board.addresses import addresses
from coaching.board.kept import KEPT, ROW, Standing, standings, standings_from
from coaching.board.line_rows import LineRow, LineSaid, Readers, line_rows, said_of
from coaching.board.looks import Look, look_asked, news_since
from coaching.board.read import (
    BoardPerson,
    Raw,
    days_of_one,
    people_asked,
    people_of,
    raw_from,
    raw_of,
    read_asked,
)
from coaching.board.rows import BoardRow, JudgedStudent, Viewer, judge_student, row_of
from coaching.board.rules.by_chance import by_chance
from coaching.board.rules.order import GROUP_OF, OrderGroup, in_order
from coaching.board.weighing import facts_of
from shared.kit.text import NAMED_DAYS, WEEKDAYS, capital, date_words, day_words, listed
from shared.people import access
from shared.people.models import Student, User
from shared.people.today import calendar_day
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows, together

MOST_STUDENTS = 500
MOST_NAMED = 4
LESSON_DAYS = 7


@dataclass(frozen=True, slots=True)
class RowsOfGroup:
    """The students of one group of need.

    `lines` are those printed one by one: those who need nothing are a line of names, and
    those without a week are one line with one thing to do.
    """

    title: str
    tone: str
    rows: tuple[LineRow, ...]
    is_names: bool = False

    @property
    def lines(self) -> tuple[LineRow, ...]:
        return () if self.is_names else tuple(row for row in self.rows if not row.is_weekless)

    @property
    def weekless(self) -> tuple[LineRow, ...]:
        return () if self.is_names else tuple(row for row in self.rows if row.is_weekless)


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
    # 'Six lines rest on a trend or a test. About one may be chance.'; empty without a flag.
    by_chance: str
    students: int
    # More students than one page holds.
    is_cut: bool
    is_filtered: bool
    # How many have something new, since when; '' before the first look.
    new: int
    since: str
    at: datetime
    # The line that stands open, what it holds, and whether to write from it.
    open: str
    opened: BoardRow | None
    is_writing: bool
    is_all: bool


@dataclass(frozen=True, slots=True)
class BoardAsked:
    """How the page is to be shown: for one lesson day, with one line open, all as lines."""

    lesson: date | None = None
    open: str = ""
    is_writing: bool = False
    is_all: bool = False


def board(
    user: User,
    now: datetime,
    lesson: date | None = None,
    asked: BoardAsked | None = None,
    beside: tuple[Question[Any], ...] = (),
) -> Board:
    """Every student the user teaches, by need; and what else the page asks `beside`.

    At most five queries, and thirteen more where a line does not stand.

    Raises Http404 for somebody who teaches nowhere.
    """
    roles = access.roles_by_studio(user)
    if not roles:
        raise Http404
    asked = asked or BoardAsked(lesson)
    lesson = asked.lesson
    taught, looked = taught_asked(user, now), look_asked(user)
    together(taught, looked, *beside)
    found, look = standings_from(taught.answer, now), looked.answer
    everyone = found[:MOST_STUDENTS]
    chosen = [each for each in everyone if lesson is None or each.next_lesson == lesson]
    rows = line_rows(chosen, Readers(user, roles, now), news_since(look, chosen))
    return Board(
        groups=_groups(chosen, rows, names=not asked.is_all and lesson is None),
        new=sum(bool(row.news) for row in rows.values()),
        since=look_words(look, now, user) if look else "",
        at=now,
        open=asked.open if asked.open in rows else "",
        opened=_opened(user, roles, asked.open, now) if asked.open in rows else None,
        is_writing=asked.is_writing,
        is_all=asked.is_all,
        lesson_days=_lesson_days(everyone, lesson, calendar_day(user, now)),
        summary=_summary(chosen),
        by_chance=_by_chance(chosen),
        students=len(everyone),
        is_cut=len(found) > MOST_STUDENTS,
        is_filtered=lesson is not None,
    )


def taught_asked(user: User, now: datetime) -> Question[list[Any]]:
    """The rows of the standings of all whom the user teaches, by name, and one more than a page
    holds; to be asked with others."""
    who = access.who_teaches(user, now)
    return Rows(_taught, **who) if who["studios"] else Question(list)


_taught = Prepared(
    lambda studios, grown: (
        access.taught_in(studios=[studios], grown=grown)
        .order_by("name", "pk")
        .values_list(*ROW, *KEPT)[: MOST_STUDENTS + 1]
    ),
    studios=UUIDField,
    grown=DateTimeField,
)


def students_of(user: User) -> QuerySet[Student]:
    return access.students_taught_by(user).order_by("name", "pk")


def _opened(user: User, roles: dict[UUID, set[str]], who: str, now: datetime) -> BoardRow:
    person = people_of([UUID(who)], now)[0]
    raw = raw_of([person], now)[person.id]
    judged = judge_student(person, raw, facts_of(person, raw))
    return row_of(judged, raw, viewer_of(user, roles, person, now), addresses())


def everybody(user: User, now: datetime) -> list[tuple[Standing, LineSaid]]:
    """Every student the user teaches and what is said of each, in the order of the board.

    At most three queries, and thirteen more where a line does not stand. Raises Http404 for
    somebody who teaches nowhere.
    """
    roles = access.roles_by_studio(user)
    if not roles:
        raise Http404
    found = standings(students_of(user)[:MOST_STUDENTS], now)
    said, by_id = said_of(found, Readers(user, roles, now)), {str(each.id): each for each in found}
    ordered = [by_id[place.who] for place in in_order(each.place for each in found)]
    return [(each, said[each.id]) for each in ordered]


def said_from(user: User, asked: Question[list[Any]], now: datetime) -> dict[UUID, LineSaid]:
    """What the board says of these, asked as `standings_asked`, to this reader, who may see them.

    No query, one where pain is quoted, and more where a line does not stand.
    """
    found = standings_from(asked.answer, now)
    return said_of(found, Readers(user, access.roles_by_studio(user), now))


def one_student(
    user: User, student: Student, now: datetime, *beside: Question[Any]
) -> tuple[JudgedStudent, Raw, Viewer]:
    """One student by the same rules, and what else a page asks `beside`. One query."""
    people = people_asked([student.pk], now)
    rows = read_asked([student.pk], days_of_one(student, now), words=True)
    together(people, rows, *beside)
    [person] = people.answer
    raw = raw_from(rows.answer, [person])[person.id]
    viewer = viewer_of(user, access.roles_by_studio(user), person, now)
    return judge_student(person, raw, facts_of(person, raw)), raw, viewer


def viewer_of(
    user: User, roles: dict[UUID, set[str]], person: BoardPerson, now: datetime
) -> Viewer:
    return Readers(user, roles, now).of(person.studio, person.id, person.lead_coach)


def look_words(look: Look, now: datetime, user: User) -> str:
    """'18:30' of today, 'Tue 18:30' of the last days, else the date."""
    clock = ZoneInfo(user.time_zone)
    at, today = look.at.astimezone(clock), now.astimezone(clock).date()
    if at.date() == today:
        return f"{at:%H:%M}"
    days = (today - at.date()).days
    return (
        f"{WEEKDAYS[at.weekday()][:3]} {at:%H:%M}" if days <= NAMED_DAYS else date_words(at.date())
    )


def _groups(
    chosen: Iterable[Standing], rows: dict[str, LineRow], *, names: bool
) -> tuple[RowsOfGroup, ...]:
    held: dict[OrderGroup, list[LineRow]] = {group: [] for group in OrderGroup}
    for place in in_order(each.place for each in chosen):
        held[GROUP_OF[place.need]].append(rows[place.who])
    return tuple(
        RowsOfGroup(
            group.value, group.name.lower(), tuple(held[group]), names and group is OrderGroup.FINE
        )
        for group in OrderGroup
        if held[group]
    )


def _by_chance(chosen: Sequence[Standing]) -> str:
    """How many lines rest on what may be chance, and whose; for whoever asks how sure they are."""
    words = by_chance(each.line.looked for each in chosen).words
    names = [each.name for each in chosen if each.line.looked.is_flagged]
    return f"{words} It is about {listed(names)}." if words and len(names) <= MOST_NAMED else words


def _summary(chosen: Iterable[Standing]) -> str:
    """'2 need care · 4 need you · 3 to watch · 5 need nothing'."""
    endings = {
        OrderGroup.CARE: ("needs care", "need care"),
        OrderGroup.ACT: ("needs you", "need you"),
        OrderGroup.WATCH: ("to watch", "to watch"),
        OrderGroup.FINE: ("needs nothing", "need nothing"),
    }
    counts = Counter(GROUP_OF[each.line.need] for each in chosen)
    said = [
        f"{counts[group]} {words[counts[group] > 1]}"
        for group, words in endings.items()
        if counts[group]
    ]
    return " · ".join(said)


def _lesson_days(
    everyone: Iterable[Standing], chosen: date | None, today: date
) -> tuple[LessonDay, ...]:
    """The days of the coming week on which somebody has a lesson, named from the coach's day."""
    last = today + timedelta(days=LESSON_DAYS - 1)
    lessons = (each.next_lesson for each in everyone)
    days = Counter(day for day in lessons if day and today <= day <= last)
    return tuple(
        LessonDay(str(day), f"{capital(day_words(day, today))} ({count})", day == chosen)
        for day, count in sorted(days.items())
    )
