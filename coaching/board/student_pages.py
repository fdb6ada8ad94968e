"""The student's page for the coach: weeks back as work bars, with what is behind each."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.safestring import SafeString, mark_safe

from coaching.board.addresses import addresses
from coaching.board.calls import tried_for
from coaching.board.queries import one_student
from coaching.board.read import BoardPerson, days_of_one
from coaching.board.rows import BoardRow, Viewer, extra_of, length_of, row_of
from coaching.board.student_read import WEEK, WEEKS, StudentRecord, record_asked
from coaching.board.student_text import (
    SessionView,
    WeekPartView,
    figures_of,
    part_view,
    session_view,
)
from practice.compliance.models import WeekTally
from practice.compliance.note_text import spread_words
from practice.weeks.models import Week
from shared.kit.drawing.work_bar import WorkBar, draw, in_words, scale_of
from shared.kit.text import date_words, listed
from shared.kit.weeks import week_start
from shared.people.models import Student, User


@dataclass(frozen=True, slots=True)
class CoachLineView:
    by: str
    at: str
    text: str


@dataclass(frozen=True, slots=True)
class WeekView:
    """One week of the page; `bar` is the picture of `bar_words`."""

    opens: date
    days: str
    is_now: bool
    bar: SafeString
    bar_words: str
    figures: list[tuple[str, str]]
    excused: str
    sent: str
    note: str
    parts: list[WeekPartView]
    sessions: list[SessionView]
    lines: list[CoachLineView]
    holds: str
    # Minutes by day, apart from how many there were.
    spread: str
    # Parts that other work may be accepted for: (id, name).
    may_count_for: list[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class StudentPage:
    """What templates/board/student.html needs, and nothing else."""

    student_id: str
    name: str
    goal: str
    facts: list[str]
    row: BoardRow
    weeks: list[WeekView]
    is_latest: bool
    older: date | None
    newer: date | None
    may_plan: bool
    reads_pain: bool
    # Whether what it stands on holds any pain.
    is_pain_told: bool
    is_cut: bool
    tried: list[str]
    this_opens: date
    next_opens: date


@dataclass(frozen=True, slots=True)
class _Frame:
    """What every week of the page is drawn with."""

    record: StudentRecord
    student: Student
    viewer: Viewer
    this_opens: date
    today: date
    scale: float


def student_page(
    user: User, student: Student, now: datetime, until: date | None = None
) -> StudentPage:
    """Eight weeks, up to the present one or to that of `until`. Four queries, always."""
    this = days_of_one(student, now)
    newest = min(week_start(until or this.today, student.studio.first_weekday), this.last_opens)
    asked = record_asked(student, newest)
    judged, raw, viewer = one_student(user, student, now, asked)
    person, record = judged.person, asked.answer
    scale = scale_of(map(length_of, record.tallies.values()))
    frame = _Frame(record, student, viewer, person.opens, person.today, scale)
    return StudentPage(
        student_id=str(student.pk),
        name=student.name,
        goal=student.goal,
        facts=_facts(student, person),
        row=row_of(judged, raw, viewer, addresses()),
        weeks=[_week(opens, frame) for opens in record.opens if _is_shown(opens, frame)],
        is_latest=newest == person.opens,
        older=newest - WEEKS * WEEK if record.has_older else None,
        newer=min(newest + WEEKS * WEEK, person.opens) if newest < person.opens else None,
        may_plan=viewer.may_plan,
        reads_pain=viewer.reads_pain,
        is_pain_told=bool(raw.pains or record.pains),
        is_cut=record.is_cut,
        tried=tried_for(student, user, newest, WEEKS),
        this_opens=person.opens,
        next_opens=person.opens + WEEK,
    )


def _facts(student: Student, person: BoardPerson) -> list[str]:
    facts = [f"{student.get_hand_display()}, lead coach {student.lead_coach}"]
    if student.plays_seated:
        facts.append("plays seated")
    if person.next_lesson and person.next_lesson >= person.today:
        facts.append(f"next lesson {date_words(person.next_lesson)}")
    if person.next_event and person.next_event >= person.today:
        name = person.next_event_name or "an event"
        facts.append(f"{name} {date_words(person.next_event)}")
    return facts


def _is_shown(opens: date, frame: _Frame) -> bool:
    """Not the weeks before the student came, unless something is kept of them."""
    record = frame.record
    kept = (record.tallies, record.weeks, record.chains, record.lines, record.excused)
    came = opens + WEEK > frame.student.joined_on
    return came or any(rows.get(opens) for rows in kept)


def _week(opens: date, frame: _Frame) -> WeekView:
    record, viewer = frame.record, frame.viewer
    tally, week = record.tallies.get(opens), record.weeks.get(opens)
    parts, sessions = _parts(tally, week, record, opens), _sessions(opens, frame)
    bar = _bar(opens, tally or WeekTally(), frame.scale)
    return WeekView(
        opens=opens,
        days=f"{date_words(opens)} to {date_words(opens + WEEK - timedelta(days=1))}",
        is_now=opens == frame.this_opens,
        bar=mark_safe(draw(bar)),  # noqa: S308 (draw escapes its words)
        bar_words=bar.label,
        figures=figures_of(tally) if tally else [],
        excused=_excused(record.excused.get(opens, [])),
        sent=_sent(week, viewer),
        note=week.note if week else "",
        parts=parts,
        sessions=sessions,
        lines=[
            CoachLineView(str(line.author), _moment(line.at, viewer), line.text)
            for line in record.lines.get(opens, [])
        ],
        holds=_holds(len(parts), len(sessions)),
        spread=spread_words(tally.minutes_by_day, tally.planned_by_day, opens, frame.today)
        if tally
        else "",
        may_count_for=[(part["part"], part["name"]) for part in (tally.parts if tally else [])],
    )


def _parts(
    tally: WeekTally | None, week: Week | None, record: StudentRecord, opens: date
) -> list[WeekPartView]:
    """Each part; who asked for it where that was not whoever sent the week."""
    sender = str(week.author_id) if week else ""
    return [
        part_view(
            part,
            opens,
            asked_by=record.names.get(part["by"], "") if part.get("by", sender) != sender else "",
        )
        for part in (tally.parts if tally else [])
    ]


def _sessions(opens: date, frame: _Frame) -> list[SessionView]:
    pains, reads_pain = frame.record.pains, frame.viewer.reads_pain
    swaps = frame.record.swaps if frame.viewer.may_plan and opens in frame.record.weeks else None
    return [
        session_view(
            chain,
            pains.get(chain.now.pk, []),
            frame.student,
            reads_pain=reads_pain,
            swaps=swaps,
        )
        for chain in frame.record.chains.get(opens, [])
    ]


def _bar(opens: date, tally: WeekTally, scale: float) -> WorkBar:
    asked, done, extra = tally.asked_minutes, tally.credited_minutes, extra_of(tally)
    return WorkBar(asked, done, extra, None, in_words(asked, done, extra), scale, str(opens))


def _excused(days: list[date]) -> str:
    return f"Excused: {listed(date_words(day) for day in days)}." if days else ""


def _sent(week: Week | None, viewer: Viewer) -> str:
    if week is None:
        return "No week was sent."
    words = f"Sent {_moment(week.sent_at, viewer)} by {week.author}" if week.sent_at else "Sent"
    if week.amended_at:
        words += f", changed {_moment(week.amended_at, viewer)}"
    return f"{words}."


def _moment(at: datetime, viewer: Viewer) -> str:
    local = at.astimezone(viewer.clock)
    return f"{date_words(local.date())} {local:%H:%M}"


def _holds(parts: int, visits: int) -> str:
    """What unfolding the week shows: '3 parts, 5 visits'."""
    counts = ((parts, "part"), (visits, "visit"))
    return ", ".join(f"{count} {noun}{'' if count == 1 else 's'}" for count, noun in counts)
