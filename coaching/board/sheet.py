"""Where does one student stand? One sheet for the coach: the present, not the history."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import DateField, UUIDField

from coaching.board.addresses import addresses
from coaching.board.queries import one_student
from coaching.board.read import BoardPerson
from coaching.board.rows import BoardRow, row_of
from coaching.lessons.cues import CurrentCue
from coaching.lessons.current_cues import CueLine, cue_line, cues_asked
from coaching.lessons.numbers import numbers_asked
from coaching.messages.queries import question_asked
from coaching.season.limits_pages import LimitsShown, limits_shown
from coaching.season.models import Phase, Priority
from coaching.season.near import near_asked
from coaching.season.reached import reached_words
from coaching.season.read import stands_asked
from practice.compliance.limits import limits_asked
from practice.numbers.now.values import Numbers
from practice.weeks.models import Excusal
from practice.weeks.queries import this_opening
from shared.kit.text import capital, date_words, day_words
from shared.people.models import Student, User
from shared.people.today import calendar_day
from shared.site.prepared import Prepared
from shared.site.together import Rows

REASON_SENTENCES = 2
MOST_PRIORITIES = 3


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One thing and what is said of it."""

    label: str
    words: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """What templates/board/sheet.html needs, and nothing else."""

    student_id: str
    name: str
    goal: str
    facts: str
    row: BoardRow
    # The first words of the reason; all of it is under *How was this worked out?*
    reason: str
    about: tuple[SheetLine, ...]
    numbers: tuple[SheetLine, ...]
    ahead: tuple[SheetLine, ...]
    said: tuple[SheetLine, ...]
    may_plan: bool
    # The one button that stands out is what is advised; on the day of a lesson to begin it.
    begins_first: bool
    reads_pain: bool
    # Whether what it stands on holds any pain of the last weeks.
    is_pain_told: bool
    limits: LimitsShown


def sheet(user: User, student: Student, now: datetime) -> Sheet:
    """One sheet. One query, and up to twelve more where what tests say is not kept."""
    on = calendar_day(user, now)
    stands, cues = stands_asked(student, on), cues_asked(student, user, on)
    question, numbers = question_asked(student, now), numbers_asked(student)
    away, limits = Rows(_away, student=student.pk, today=on), limits_asked(student)
    near = near_asked(student, this_opening(student))
    beside = (stands, cues, question, *numbers.rows(), away, near, limits)
    judged, raw, viewer = one_student(user, student, now, *beside)
    person, to = judged.person, addresses()
    row = row_of(judged, raw, viewer, to)
    phase, priorities = stands.answer
    asks = question.answer if viewer.reads_pain else ""
    return Sheet(
        student_id=str(student.pk),
        name=student.name,
        goal=student.goal,
        facts=_facts(student, user),
        row=row,
        reason=first_sentence(row.reason, REASON_SENTENCES),
        about=_about(cues.answer, user, priorities, on, judged.facts.numbers),
        numbers=tuple(
            SheetLine(title, first_sentence(answer))
            for title, answer in (
                *numbers.said(user, to_student=False),
                *numbers.minutes_said(),
            )
        ),
        ahead=_ahead(away.answer, person, phase, on),
        said=_lines({"Asks": asks, "Wrote": row.note if not asks else "", "You": row.line}),
        limits=limits_shown(user, student, limits=limits.answer, near=near.answer),
        may_plan=viewer.may_plan,
        begins_first=person.next_lesson == on or not row.shorter_url,
        reads_pain=viewer.reads_pain,
        is_pain_told=bool(raw.pains),
    )


def first_sentence(text: str, most: int = 1) -> str:
    """The answer without what stands on it, which is one tap away; its first sentences.

    Examples
    --------
    >>> first_sentence("Up, held. 14 test days.")
    'Up, held.'
    >>> first_sentence("65.5 m flies long")
    '65.5 m flies long'
    >>> first_sentence("One. Two. Three.", 2)
    'One. Two.'
    """
    sentences = text.split(". ")
    return ". ".join(sentences[:most]) + ("." if len(sentences) > most else "")


def _lines(said: dict[str, str]) -> tuple[SheetLine, ...]:
    return tuple(SheetLine(label, words) for label, words in said.items() if words)


def _facts(student: Student, user: User) -> str:
    """What is otherwise than usual: the hand, a chair, another lead coach."""
    said = [student.get_hand_display()] if student.hand != Student.Hand.RIGHT else []
    if student.plays_seated:
        said.append("plays seated")
    if student.lead_coach_id != user.pk:
        said.append(f"lead coach {student.lead_coach}")
    return " · ".join(said)


def _about(
    said: list[CurrentCue], user: User, priorities: list[Priority], today: date, numbers: Numbers
) -> tuple[SheetLine, ...]:
    """The first priorities with their stage, and the cue in the student's words under each."""
    cues = {cue.place + 1: cue_line(cue, today) for cue in said}
    named = {priority.place: priority for priority in priorities}
    places = sorted({*named, *cues})[:MOST_PRIORITIES]
    reached = {
        place: reached_words(priority, numbers, {}, user.speed_unit)
        for place, priority in named.items()
    }
    return tuple(
        _of_place(place, named.get(place), cues.get(place), reached.get(place, ""))
        for place in places
    )


def _of_place(
    place: int, priority: Priority | None, cue: CueLine | None, reached: str
) -> SheetLine:
    """'1. Stage Flow', and the name and cue beside it; 'Priority 1' without a stage. `reached`:
    of a speed, whose figure is known without the ladder."""
    label = f"Priority {place}"
    if priority and priority.stage:
        label = f"{place}. Stage {priority.get_stage_display()}"
    words = [priority.name if priority else "", f"“{cue.cue}”" if cue else ""]
    return SheetLine(label, ". ".join(filter(None, [": ".join(filter(None, words)), reached])))


_away = Prepared(
    lambda student, today: Excusal.objects.filter(
        student=student, withdrawn_at=None, last__gte=today
    ).order_by("first")[:1],
    student=UUIDField,
    today=DateField,
)


def _ahead(
    spans: list[Excusal], person: BoardPerson, phase: Phase | None, today: date
) -> tuple[SheetLine, ...]:
    away = spans[0] if spans else None
    lesson = person.next_lesson if person.next_lesson and person.next_lesson >= today else None
    event = person.next_event if person.next_event and person.next_event >= today else None
    name = person.next_event_name or "Event"
    return _lines(
        {
            "Lesson": capital(day_words(lesson, today)) if lesson else "none noted",
            "Event": f"{name} {day_words(event, today)}" if event else "",
            "Phase": f"{phase.name} until {date_words(phase.last)}" if phase else "",
            "Away": f"until {day_words(away.last, today)}" if away else "",
        }
    )
