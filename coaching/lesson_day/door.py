"""The door note: what happened since the last lesson, readable as the student comes in."""

from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import DateField, UUIDField

from coaching.board.kept import standings_asked
from coaching.board.queries import said_from
from coaching.board.student_text import figures_of, part_view
from coaching.lesson_day.brief import (
    MOST_WORDS,
    BriefLine,
    brief_lines,
    clip_line,
    done_words,
    last_feel,
    short,
)
from coaching.lesson_day.note_pages import LastNote, notes_of
from coaching.lesson_day.proposal import (
    ProposalAsked,
    ProposalRow,
    proposal_after,
    proposal_asked,
)
from coaching.lessons import queries
from coaching.lessons.cues import CurrentCue, restless_words
from coaching.lessons.current_cues import CueLine, cue_line, cues_asked
from coaching.lessons.models import Lesson
from coaching.lessons.numbers import NumbersAsked, ladder_said, numbers_asked
from coaching.messages.queries import question_asked
from coaching.season.limits_pages import LimitsShown, limits_shown
from coaching.season.near import Near, near_asked
from practice.care.limits import HURT_DAYS
from practice.care.models import PainNote
from practice.care.queries import told_last
from practice.care.rules import sign_words
from practice.clips.models import Clip
from practice.clips.queries import copies_asked
from practice.compliance.models import WeekTally
from practice.drills.dose import DoseError, parse
from practice.log.models import Entry
from practice.weeks.queries import this_opening
from shared.kit.text import date_words, day_words
from shared.kit.weeks import practice_day, week_start
from shared.people.models import Student, User
from shared.people.today import calendar_day, today_of
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows, together

MOST_WEEKS = 3
MOST_NOTES = 6
FIRST_BALLS = 5
WEEK = timedelta(weeks=1)


@dataclass(frozen=True, slots=True)
class PartLine:
    name: str
    words: str


@dataclass(frozen=True, slots=True)
class WeekLines:
    days: str
    figures: tuple[tuple[str, str], ...]
    parts: tuple[PartLine, ...]


@dataclass(frozen=True, slots=True)
class DoorSaid:
    day: str
    text: str


@dataclass(frozen=True, slots=True)
class Proposed:
    name: str
    carry: str
    reason: str


@dataclass(frozen=True, slots=True)
class DoorNote:
    student_id: str
    name: str
    since: str
    last: tuple[LastNote, ...]
    # The cue that stands for priority 1, and what is said of cues that changed too often.
    cue: CueLine | None
    restless: tuple[str, ...]
    state: str
    reason: str
    care: str
    weeks: tuple[WeekLines, ...]
    written: tuple[DoorSaid, ...]
    pain: tuple[DoorSaid, ...]
    reads_pain: bool
    proposed: tuple[Proposed, ...]
    first_balls: str
    numbers: tuple[tuple[str, str], ...]
    brief: tuple[BriefLine, ...]
    limits: LimitsShown


def door_note(user: User, student: Student, now: datetime) -> DoorNote:
    """One page. At most seven queries, however long the history, and more where the student's
    line or what tests say does not stand."""
    # The weeks go by the student's practice day, the words by the day on the coach's wall.
    today, on = practice_day(now, student.time_zone), calendar_day(user, now)
    asked = _asked(user, student, now)
    together(*asked.rows(), *asked.numbers.rows(), *asked.proposal.rows())
    says = said_from(user, asked.line, now)[student.pk]
    last, cues = asked.last.answer, asked.cues.answer
    since = _since(last, student, today)
    proposal = proposal_after(last, student, asked.proposal)
    rows = proposal.rows
    tallies = _tallies(asked.tallies.answer, student, since)
    pain = _pain(asked.pains.answer, student, since) if says.reads_pain else ()
    moved = asked.numbers.moved_said(user, to_student=False)
    ladder = ladder_said(asked.proposal.ladders.answer, to_student=False)
    limits = limits_shown(user, student, limits=proposal.limits, near=asked.near.answer)
    first_balls, ahead = _first_balls(rows, limits.cautioned), _ahead(student, on)
    cue = next((each for each in cues if each.place == 0), None)
    brief = brief_lines(
        {
            "Cue": f"“{short(cue.cue)}”" if cue else "",
            **last_feel(last, today),
            "Done": done_words(tallies, today),
            "Clean": first_in_short(ladder),
            "Numbers": first_in_short(moved),
            "Hurts": "; ".join(f"{said.text}, {said.day}" for said in pain[:1]),
            "Asks": asked.question.answer if says.reads_pain else "",
            "Ahead": ahead,
            "Begin": _in_short(first_balls),
        },
        limits.said,
    )
    return DoorNote(
        student_id=str(student.pk),
        name=student.name,
        since=_since_words(last, user, on),
        last=notes_of(last) if last else (),
        cue=cue_line(cue, on) if cue else None,
        restless=tuple(restless_words(cues)),
        state=says.state,
        reason="" if says.is_care else says.reason,
        care=says.reason if says.is_care else "",
        weeks=tuple(map(_week, tallies)),
        written=_written(asked.notes.answer, since) if says.reads_pain else (),
        pain=pain,
        reads_pain=says.reads_pain,
        proposed=tuple(_proposed(row) for row in rows),
        first_balls=first_balls,
        numbers=(*moved, *ladder),
        brief=(*brief, *clip_line(asked.clips.answer, [UUID(row.key) for row in rows])),
        limits=limits,
    )


@dataclass(frozen=True, slots=True)
class _Asked:
    """What the page stands on, and is asked in one."""

    line: Rows
    last: Question[Lesson | None]
    cues: Question[list[CurrentCue]]
    tallies: Question[list[WeekTally]]
    pains: Question[list[Any]]
    notes: Question[list[Any]]
    question: Question[str]
    near: Question[Near]
    clips: Question[dict[UUID, Clip]]
    numbers: NumbersAsked
    proposal: ProposalAsked

    def rows(self) -> tuple[Question[Any], ...]:
        own = (self.line, self.last, self.cues, self.tallies, self.pains, self.notes)
        return (*own, self.question, self.near, self.clips)


def _asked(user: User, student: Student, now: datetime) -> _Asked:
    today = practice_day(now, student.time_zone)
    who, earliest = student.pk, today - (MOST_WEEKS - 1) * WEEK
    numbers = numbers_asked(student)
    return _Asked(
        line=standings_asked([who]),
        last=queries.last_asked(student, now),
        cues=cues_asked(student, user, today),
        tallies=Rows(_weeks, student=who, first=_opening(earliest, student), last=today),
        pains=Rows(_pains, student=who, since=min(earliest, _hurt_since(student))),
        notes=Rows(_notes, student=who, since=earliest),
        question=question_asked(student, now),
        near=near_asked(student, this_opening(student)),
        clips=copies_asked(student),
        numbers=numbers,
        proposal=proposal_asked(student, ladders=numbers.ladders),
    )


def _in_short(first_balls: str) -> str:
    """'Ladder: the first 5 at 50' of the whole sentence."""
    return first_balls.removesuffix(", before anything is said.").removesuffix(" percent")


def _since(last: Lesson | None, student: Student, today: date) -> date:
    """The day of the last lesson; three weeks ago where it is longer, or there is none."""
    earliest = today - (MOST_WEEKS - 1) * WEEK
    if last is None:
        return earliest
    return max(earliest, last.at.astimezone(ZoneInfo(student.time_zone)).date())


def _since_words(last: Lesson | None, user: User, today: date) -> str:
    if last is None:
        return "No lesson is written down yet."
    day = last.at.astimezone(ZoneInfo(user.time_zone)).date()
    away = (today - day).days
    return f"Last lesson {day_words(day, today)}" + (f", {away} days ago." if away > 1 else ".")


def first_in_short(said: Sequence[tuple[str, str]]) -> str:
    """The first of the answers in short, with what it is about where there is room for both."""
    for title, answer in said:
        kept = short(answer)
        both = f"{title}: {kept}"
        return both if len(both.split()) <= MOST_WORDS else kept
    return ""


def _opening(day: date, student: Student) -> date:
    return week_start(day, student.studio.first_weekday)


_weeks = Prepared(
    lambda student, first, last: WeekTally.objects.filter(
        student=student, opens__range=(first, last)
    ).order_by("-opens"),
    student=UUIDField,
    first=DateField,
    last=DateField,
)


def _tallies(read: list[WeekTally], student: Student, since: date) -> list[WeekTally]:
    first = _opening(since, student)
    return [tally for tally in read if tally.opens >= first][:MOST_WEEKS]


def _week(tally: WeekTally) -> WeekLines:
    standing = [part for part in tally.parts if not part["removed"]]
    return WeekLines(
        days=f"{date_words(tally.opens)} to {date_words(tally.opens + timedelta(days=6))}",
        figures=tuple(figures_of(tally)),
        parts=tuple(_part(part, tally.opens) for part in standing),
    )


def _part(part: dict[str, Any], opens: date) -> PartLine:
    view = part_view(part, opens)
    clean = [f"{step.label}: {step.clean}" for step in view.steps if step.clean]
    return PartLine(view.name, "; ".join(filter(None, [view.sessions or "excused", *clean])))


_notes = Prepared(
    lambda student, since: (
        Entry.objects.filter(student=student, counts=True, day__gte=since)
        .exclude(note="")
        .order_by("-day", "-at")
        .values_list("day", "note")[:MOST_NOTES]
    ),
    student=UUIDField,
    since=DateField,
)


def _written(read: Iterable[tuple[date, str]], since: date) -> tuple[DoorSaid, ...]:
    """What the student wrote with the sessions; pain may be in it, so for those who read it."""
    return tuple(DoorSaid(date_words(day), note) for day, note in read if day >= since)


_pains = Prepared(
    lambda student, since: (
        told_last(PainNote.objects.filter(student=student, day__gte=since, level__gt=0))
        .order_by("-day")
        .values_list("day", "where", "level", "signs")[:MOST_NOTES]
    ),
    student=UUIDField,
    since=DateField,
)


def _hurt_since(student: Student) -> date:
    return today_of(student) - timedelta(days=HURT_DAYS)


def _pain(
    read: Iterable[tuple[date, str, int, list[str]]], student: Student, since: date
) -> tuple[DoorSaid, ...]:
    # What hurt in the last fortnight is no less true for a lesson since.
    since = min(since, _hurt_since(student))
    return tuple(
        DoorSaid(
            date_words(day), ", ".join([f"{where or 'somewhere'} {level}/10", *sign_words(signs)])
        )
        for day, where, level, signs in read
        if day >= since
    )


def _ahead(student: Student, today: date) -> str:
    event = student.next_event
    if event is None or event < today:
        return ""
    name = student.next_event_name or "Event"
    days = (event - today).days
    return f"{name} {day_words(event, today)}" + (f", in {days} days" if days > 1 else "")


def _proposed(row: ProposalRow) -> Proposed:
    suggested = row.choice("").carry
    label = "new" if row.is_new and not row.went else suggested.value
    return Proposed(row.name, label, row.reason)


def _first_balls(rows: Sequence[ProposalRow], cautioned: Container[UUID]) -> str:
    """The first step, as suggested, of the first part that may be done, bears no caution of a
    screening and does not begin hard: how the lesson may begin."""
    for row in rows:
        spec = row.choice("").spec
        if spec is None or str(spec.drill) != row.key or row.stopped or spec.drill in cautioned:
            continue
        try:
            step = parse(str(spec.dose)).steps[0]
        except DoseError:
            continue
        if step.is_hard:
            continue
        effort = f" at {step.effort} percent" if step.effort is not None else ""
        return f"{row.name}: the first {FIRST_BALLS}{effort}, before anything is said."
    return ""
