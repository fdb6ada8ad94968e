"""One student's opened place on the board, shaped to strings: the template only prints.

The closed line is `line_rows`.
"""

from dataclasses import dataclass, replace
from datetime import date, datetime
from math import floor
from zoneinfo import ZoneInfo

from django.utils.safestring import SafeString, mark_safe

from coaching.board.addresses import Addresses
from coaching.board.read import BoardPerson, Raw, Tally
from coaching.board.rules import care_text
from coaching.board.rules import text as words
from coaching.board.rules.care import Care, care_needed
from coaching.board.rules.drafts import draft
from coaching.board.rules.facts import Facts
from coaching.board.rules.news_text import HOUSE, NewsUnits
from coaching.board.rules.order import GROUP_OF, Need, OrderGroup, OrderPlace, marks_of, need_of
from coaching.board.rules.states import State, offers_shorter, state_of, state_words
from coaching.board.rules.text import Words
from coaching.board.rules.trend_text import drift_words, finished_of, trend_words, weeks_before
from coaching.board.rules.way_back import way_back
from coaching.board.weighing import this_week
from coaching.forecast.models import Tried
from practice.compliance.models import WeekTally
from shared.kit import text as phrases
from shared.kit.drawing.week_bars import week_bars
from shared.kit.drawing.work_bar import WorkBar, draw, in_words
from shared.kit.text import capital, date_words, day_words, in_minutes, of_asked
from shared.kit.text import whole_percent as percent

TONES = {OrderGroup.ACT: "look"}
LONGEST_QUOTE = 140


@dataclass(frozen=True, slots=True)
class JudgedStudent:
    """What the rules say about one student, before it becomes words."""

    person: BoardPerson
    facts: Facts
    state: State
    care: Care | None
    need: Need
    week: Tally | None

    @property
    def place(self) -> OrderPlace:
        lesson = self.person.next_lesson
        ahead = lesson if lesson and lesson >= self.person.calendar_day else None
        return OrderPlace(self.need, ahead, self.person.name, str(self.person.id))


@dataclass(frozen=True, slots=True)
class Viewer:
    """Who looks: what they may do and read, on whose clock."""

    clock: ZoneInfo
    may_plan: bool
    reads_pain: bool
    # On their own wall: what "today" is to them.
    today: date
    units: NewsUnits = HOUSE


@dataclass(frozen=True, slots=True)
class BoardRow:
    """What templates/board/_row.html needs, and nothing else."""

    id: str
    name: str
    state: str
    tone: str
    marks: str
    reason: str
    since: str
    action: str
    back: str
    bar: SafeString
    bar_words: str
    figures: tuple[tuple[str, str], ...]
    last: str
    note: str
    line: str
    lesson: str
    student_url: str
    worked_out_url: str
    care_url: str
    week_url: str
    week_words: str
    shorter_url: str
    write_url: str
    # A kind note to start from, and what else can be done.
    draft: str
    excuse_url: str
    tried: str
    weeks: SafeString
    weeks_words: str
    finished: str
    trend: str
    # Why the word stands, where the reason speaks of what hurts.
    why: str
    # Of somebody who needs nothing: a gate that is near or open.
    gate: str


def judge_student(person: BoardPerson, raw: Raw, facts: Facts) -> JudgedStudent:
    care = care_needed(facts)
    state = state_of(
        stopped=bool(facts.stops),
        excused=facts.excused,
        has_week=facts.has_week,
        is_sent_ahead=facts.is_sent_ahead,
        done=facts.finished,
        hurts=care is not None,
        no_word=facts.silence.is_no_word and facts.excused_until is None,
        logs_later=facts.write_up_weekday is not None,
        pace=facts.outlook.pace,
    )
    return JudgedStudent(
        person, facts, state, care, need_of(facts, state, care), this_week(person, raw)
    )


def group_of(judged: JudgedStudent) -> OrderGroup:
    return GROUP_OF[judged.need]


def said(judged: JudgedStudent, *, reads_pain: bool, units: NewsUnits = HOUSE) -> Words:
    """The reason, since when, the next step, and what would bring the student back."""
    facts, care = judged.facts, judged.care
    sentence = (
        care_text.care(facts, care, may_read_pain=reads_pain, units=units)
        if care
        else words.standing(facts, judged.state, judged.need, units)
    )
    return replace(sentence, back=way_back(facts, judged.state, judged.need, care))


def row_of(judged: JudgedStudent, raw: Raw, viewer: Viewer, to: Addresses) -> BoardRow:
    person, facts = judged.person, judged.facts
    sentence = said(judged, reads_pain=viewer.reads_pain, units=viewer.units)
    bar = bar_of(judged)
    weeks_words = weeks_before(facts.trend)
    return BoardRow(
        id=str(person.id),
        name=person.name,
        state=state_words(judged.state, reads_pain=viewer.reads_pain),
        tone=TONES.get(group_of(judged), ""),
        marks=", ".join(mark.value for mark in marks_of(facts, judged.care)),
        reason=sentence.reason,
        since=sentence.since,
        action=sentence.action,
        back=sentence.back,
        bar=mark_safe(draw(bar)),  # noqa: S308 (draw escapes its words)
        bar_words=bar.label,
        figures=figures_of(judged),
        last=last_of(facts, raw, viewer.clock),
        note=_quoted(raw.note, facts.today, viewer.clock) if viewer.reads_pain else "",
        line=_quoted(raw.line, facts.today, viewer.clock),
        lesson=_lesson(person, viewer),
        student_url=to.student(person.id),
        worked_out_url=to.worked_out(person.id),
        care_url=to.care(person.id) if judged.care else "",
        week_url=_week_url(person, to, has_week=facts.has_week) if viewer.may_plan else "",
        week_words="Change the week" if facts.has_week else "Set the week",
        shorter_url=_shorter(judged, viewer, to),
        write_url=to.write(person.id),
        draft=draft(person.name, facts, judged.state, judged.need, judged.care),
        excuse_url=_excuse(judged, viewer, to),
        tried=_tried(raw, facts.today, viewer.clock),
        weeks=mark_safe(week_bars(facts.trend.shares, weeks_words)),  # noqa: S308 (escapes)
        weeks_words=weeks_words,
        finished=finished_of(facts.trend),
        trend=" ".join(filter(None, (trend_words(facts.trend), drift_words(facts.drift)))),
        why=words.why_the_word(facts, judged.state) if judged.care else "",
        gate=person.gate if judged.need is Need.NOTHING else "",
    )


def _excuse(judged: JudgedStudent, viewer: Viewer, to: Addresses) -> str:
    """Where days can be excused, for whoever needs something."""
    needs = group_of(judged) in {OrderGroup.CARE, OrderGroup.ACT}
    return to.excuse(judged.person.id) if viewer.may_plan and needs else ""


def _tried(raw: Raw, today: date, clock: ZoneInfo) -> str:
    if raw.tried is None:
        return ""
    what, at = raw.tried
    return f"{Tried.What(what).label}, {_moment(at, today, clock)}"


def _week_url(person: BoardPerson, to: Addresses, *, has_week: bool) -> str:
    return to.week(person.id, person.opens) if has_week else to.first_week(person.id)


def _shorter(judged: JudgedStudent, viewer: Viewer, to: Addresses) -> str:
    if viewer.may_plan and judged.facts.has_week and offers_shorter(judged.state):
        return to.shorter(judged.person.id, judged.person.opens)
    return ""


# --- the bar and the figures -----------------------------------------------------


def length_of(week: Tally | WeekTally) -> float:
    """Asked and beyond, in minutes: what the shared scale must hold."""
    return week.asked_minutes + extra_of(week)


def bar_of(judged: JudgedStudent) -> WorkBar:
    """Asked, credited, everything else that was done, and where it should stand by now."""
    week = judged.week
    asked = week.asked_minutes if week else 0
    done, extra = (week.credited_minutes, extra_of(week)) if week else (0, 0)
    pin = _pin(judged) if asked and not judged.facts.finished else None
    excused = _excused_words(week)
    return WorkBar(
        asked=asked,
        done=done,
        extra=extra,
        pin=pin,
        label=f"{in_words(asked, done, extra, pin)}{excused}",
        key=str(judged.person.id)[:13],
    )


def extra_of(week: Tally | WeekTally) -> float:
    return max(0.0, week.minutes - week.credited_minutes)


def _pin(judged: JudgedStudent) -> float:
    """What was planned for the days that are over."""
    week = judged.week
    days_over = (judged.facts.today - judged.facts.opens).days
    return min(sum((week.planned_by_day or [])[:days_over]), week.asked_minutes) if week else 0


def _excused_words(week: Tally | None) -> str:
    away = 7 - week.open_days if week else 0
    return f"; {phrases.many(away, 'day')} excused" if away > 0 else ""


def figures_of(judged: JudgedStudent) -> tuple[tuple[str, str], ...]:
    """The figures side by side. Never added up to one."""
    week = judged.week
    if week is None:
        return ()
    asked = week.priority_sessions_asked
    figures = {
        "Priority 1": f"{_sessions(week.priority_sessions_done)} of {asked}" if asked else "",
        "Week": f"{percent(week.credit)} %" if week.credit is not None else "",
        "Days": of_asked(week.days_done, week.days_asked),
        "Minutes": f"{in_minutes(week.minutes)} of {in_minutes(week.asked_minutes)}",
        "Balls": str(week.balls),
        "Hard swings": _hard(judged),
    }
    return tuple((name, figure) for name, figure in figures.items() if figure)


def _sessions(done: float) -> str:
    """Sessions rounded down to a tenth; '2', '1.5'."""
    return f"{floor(done * 10 + 1e-9) / 10:g}"


def _hard(judged: JudgedStudent) -> str:
    load = judged.facts.load
    if not load.usual:
        return str(load.now) if load.now else ""
    return f"{load.now} (usual {round(load.usual)})"


# --- what arrived last -------------------------------------------------------------


def last_of(facts: Facts, raw: Raw, clock: ZoneInfo) -> str:
    written = max(
        (tally.last_written_at for tally in raw.tallies if tally.last_written_at), default=None
    )
    this_week = any(tally.entries for tally in raw.tallies if tally.opens == facts.opens)
    return words.last_word(
        facts,
        written=_moment(written, facts.today, clock) if written else None,
        wrote_this_week=this_week,
        seen=raw.seen.astimezone(clock).date() if raw.seen else None,
    )


def _moment(at: datetime, today: date, clock: ZoneInfo) -> str:
    """'Tue 19:40' of the last days, else 'Mon 17 Feb'; on the clock of whoever looks."""
    local = at.astimezone(clock)
    if abs((today - local.date()).days) > phrases.NAMED_DAYS:
        return date_words(local.date())
    return f"{phrases.WEEKDAYS[local.weekday()][:3]} {local:%H:%M}"


def _quoted(said_at: tuple[str, datetime] | None, today: date, clock: ZoneInfo) -> str:
    if said_at is None:
        return ""
    text, at = said_at
    if len(text) > LONGEST_QUOTE:
        text = f"{text[:LONGEST_QUOTE].rsplit(' ', 1)[0]} …"
    return f"“{text}” ({_moment(at, today, clock)})"


def _lesson(person: BoardPerson, viewer: Viewer) -> str:
    lesson = person.next_lesson
    if lesson is None or lesson < viewer.today:
        return ""
    return capital(day_words(lesson, viewer.today))
