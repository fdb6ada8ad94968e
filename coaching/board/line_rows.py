"""The closed lines of the board, from values to what its template prints; opened: `rows`."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import lru_cache
from typing import NamedTuple
from uuid import UUID
from zoneinfo import ZoneInfo

from django.utils.safestring import SafeString, mark_safe

from coaching.board.addresses import Addresses, addresses
from coaching.board.kept import Standing
from coaching.board.lines import BoardLine
from coaching.board.rows import TONES, Viewer
from coaching.board.rules.care_text import KEEP_TO_IT
from coaching.board.rules.news_text import NewsUnits
from coaching.board.rules.order import GROUP_OF, Need
from coaching.board.rules.states import offers_shorter, state_words
from practice.care.models import PainNote
from practice.care.queries import told_last
from shared.kit.drawing.week_bars import week_bars
from shared.kit.drawing.work_bar import draw, scale_of
from shared.kit.text import capital, day_words
from shared.people import access
from shared.people.access import PLANNING
from shared.people.models import User
from shared.people.today import calendar_day

OF_CARE = frozenset({"pain", "note"})
NEWS_WORDS = {"word": "another word", "pain": "pain", "note": "a note", "log": "practice"}
CHANGES = {
    Need.NO_WEEK: "Change week",
    Need.CHANGE_DRILL: "Change drill",
    Need.EVENT: "Look at week",
}
MOST_ROWS = 2048  # That a process keeps drawn, for each reader who is shown something else.
KEY = 13  # Of an id, what tells the drawings of one page apart.


@dataclass(frozen=True, slots=True, weakref_slot=True, eq=False)
class LineRow:
    """What templates/board/_line.html needs, and nothing else; as itself it is known printed."""

    id: str
    name: str
    state: str
    tone: str
    because: str
    news: str
    bar: SafeString
    bar_words: str
    weeks: SafeString
    # '6 of 8', and '6/8' where every word counts.
    finished: str
    finished_short: str
    lesson: str
    # The one thing to do next. An empty address: nothing.
    do_words: str
    do_url: str
    is_weekless: bool
    student_url: str
    row_url: str


@dataclass(frozen=True, slots=True)
class LineSaid:
    """What a line says to one who looks: on the board, and wherever else it is said."""

    state: str
    # One clause, and the whole reason.
    because: str
    reason: str
    since: str
    action: str
    is_care: bool
    reads_pain: bool


class Readers:
    """One who looks, as the viewer of each of their students."""

    def __init__(self, user: User, roles: Mapping[UUID, set[str]], now: datetime) -> None:
        self.user, self.roles = user, roles
        self.clock, self.today = ZoneInfo(user.time_zone), calendar_day(user, now)
        self.units = NewsUnits(user.speed_unit, user.distance_unit)
        self._viewers: dict[tuple[UUID, bool], Viewer] = {}

    def of(self, studio: UUID, student: UUID, lead_coach: UUID) -> Viewer:
        here = self.roles.get(studio, set())
        key = (studio, access.reads_pain(self.user, here, student, lead_coach))
        return self._viewers.get(key) or self._viewers.setdefault(key, self._viewer(*key))

    def _viewer(self, studio: UUID, reads_pain: bool) -> Viewer:
        here = self.roles.get(studio, set())
        return Viewer(
            clock=self.clock,
            today=self.today,
            may_plan=bool(here.intersection(PLANNING)),
            reads_pain=reads_pain,
            units=self.units,
        )

    def to(self, standing: Standing) -> Viewer:
        return self.of(standing.studio, standing.id, standing.lead_coach)


def line_rows(
    standing: Sequence[Standing], readers: Readers, news: Mapping[UUID, tuple[str, ...]]
) -> dict[str, LineRow]:
    """By id as text. One query, if there is pain to quote."""
    scale = scale_of(each.line.bar.asked + each.line.bar.extra for each in standing)
    viewers = [readers.to(each) for each in standing]
    where, to, units = _where_read(standing, viewers), addresses(), readers.units
    rows = {}
    for each, viewer in zip(standing, viewers, strict=True):
        hurts, new = where[each.id], news.get(each.id, ())
        make = _drawn if hurts else _row  # What quotes pain is kept nowhere.
        rows[each.who] = make(
            _Own(each.line, each.who, each.name, each.next_lesson, new, hurts),
            _Page(viewer.today, viewer.may_plan, units, scale, to),
        )
    return rows


def said_of(standing: Sequence[Standing], readers: Readers) -> dict[UUID, LineSaid]:
    """One query, if there is pain to quote."""
    where = _where_read(standing, [readers.to(each) for each in standing])
    return {each.id: _said(each.line, readers.units, where[each.id]) for each in standing}


def _said(line: BoardLine, units: NewsUnits, where: str | None) -> LineSaid:
    """`where` it hurts; None for who does not read of pain."""
    reads_pain, is_care = where is not None, line.need is Need.CARE
    because = line.because.said(units, where=where)
    return LineSaid(
        state=state_words(line.state, reads_pain=reads_pain),
        because=because,
        reason=line.words.reason or capital(f"{because}."),
        since=line.words.since,
        action=KEEP_TO_IT if is_care and not reads_pain else line.words.action,
        is_care=is_care,
        reads_pain=reads_pain,
    )


def _where_read(standing: Sequence[Standing], viewers: Sequence[Viewer]) -> dict[UUID, str | None]:
    """Of each where it hurts, as told; None for who does not read of pain. One query at most."""
    reads = {each.id: viewer.reads_pain for each, viewer in zip(standing, viewers, strict=True)}
    where = _where_told([each for each in standing if reads[each.id]])
    return {who: where.get(who, "") if told else None for who, told in reads.items()}


def _where_told(standing: Iterable[Standing]) -> dict[UUID, str]:
    """Where it hurts, of the pain that each line quotes: read where it was told."""
    told = {each.id: each.line.because.told for each in standing if each.line.because.told}
    if not told:
        return {}
    notes = PainNote.objects.filter(
        student__in=told, day__gte=min(day for day, _ in told.values()), level__gt=0
    )
    found: dict[UUID, str] = {}
    for student, day, level, where in (
        told_last(notes).order_by("told_at", "pk").values_list("student", "day", "level", "where")
    ):
        if told[student] == (day, level):
            found.setdefault(student, where)
    return found


class _Own(NamedTuple):
    """What is said of one student on a closed line; `where` as `_said` has it."""

    line: BoardLine
    who: str
    name: str
    lesson: date | None
    news: tuple[str, ...]
    where: str | None


class _Page(NamedTuple):
    """What a line is made for."""

    today: date
    may_plan: bool
    units: NewsUnits
    scale: float
    to: Addresses


def _drawn(own: _Own, page: _Page) -> LineRow:
    line, who, lesson, to = own.line, own.who, own.lesson, page.to
    said = _said(line, page.units, own.where)
    do_words, do_url = _do(line, who, to, may_plan=page.may_plan)
    if line.need is Need.ANSWER and said.reads_pain:  # Who may not, may not read notes either.
        do_words, do_url = "Answer", to.words(who)
    ahead = lesson if lesson and lesson >= page.today else None
    kinds = [kind for kind in own.news if kind not in OF_CARE or said.reads_pain]
    return LineRow(
        id=who,
        name=own.name,
        state=said.state,
        tone=TONES.get(GROUP_OF[line.need], ""),
        because=said.because,
        news=", ".join(NEWS_WORDS[kind] for kind in kinds),
        bar=mark_safe(draw(replace(line.bar, scale=page.scale, key=who[:KEY]))),  # noqa: S308 (escapes)
        bar_words=line.bar.label,
        weeks=mark_safe(week_bars(line.shares, line.shares_words)),  # noqa: S308 (escapes)
        finished=line.finished,
        finished_short=line.finished.replace(" of ", "/"),
        lesson=capital(day_words(ahead, page.today)) if ahead else "",
        do_words=do_words,
        do_url=do_url,
        is_weekless=line.need is Need.NO_WEEK,
        student_url=to.student(who),
        row_url=to.row(who),
    )


# Of values alone: a line that nothing changed in is drawn once.
_row = lru_cache(maxsize=MOST_ROWS)(_drawn)


def _do(line: BoardLine, who: str, to: Addresses, *, may_plan: bool) -> tuple[str, str]:
    """One thing, by need. Who may not plan can write."""
    write = ("Write a line", to.open_to_write(who))
    if line.need is Need.CARE:
        return ("Care notes", to.care(who))
    if line.need is Need.NOTHING or not may_plan:
        return ("", "") if line.need is Need.NOTHING else write
    if offers_shorter(line.state) and line.has_week:
        return write if line.asks_first else ("Shorter week", to.shorter(who, line.opens))
    if line.need in CHANGES:
        if line.has_week:
            return (CHANGES[line.need], to.week(who, line.opens))
        return ("Set the week", to.first_week(who))
    return write
