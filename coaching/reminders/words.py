"""What the mails say. Never a word of blame, never a minor's name in a subject. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Letter:
    """A mail before it is set in type: a subject, paragraphs, one link."""

    subject: str
    paragraphs: tuple[str, ...]
    link_words: str
    lines: tuple[str, ...] = ()
    # Why there is no link to stop these mails, where there is none.
    must: str = ""


@dataclass(frozen=True, slots=True)
class PartWords:
    """One part as a reminder speaks of it."""

    priority: int
    minutes: float
    name: str
    cue: str
    # Where it is meant to be that day, if that was said.
    where: str = ""


def _minutes(minutes: float) -> str:
    whole = max(1, round(minutes))
    return "1 minute" if whole == 1 else f"{whole} minutes"


def part_sentence(part: PartWords) -> str:
    """'Part 1, 12 minutes: wall-back turns. Your words: “tail stays on the fence”.'"""
    where = f", {part.where}" if part.where else ""
    said = f"Part {part.priority}, {_minutes(part.minutes)}{where}: {part.name}."
    return f"{said} Your words: “{part.cue}”." if part.cue else said


def _for_child(child: str) -> tuple[str, ...]:
    return (f"For {child}:",) if child else ()


def practice_call(part: PartWords, *, child: str) -> Letter:
    return Letter(
        f"Practice today: part {part.priority}, {_minutes(part.minutes)}",
        (*_for_child(child), part_sentence(part)),
        "Open today's practice",
    )


def midweek_offer(part: PartWords, *, sessions_left: int, child: str) -> Letter:
    left = "1 session is" if sessions_left == 1 else f"{sessions_left} sessions are"
    return Letter(
        "Would a shorter week suit?",
        (
            *_for_child(child),
            (
                f"{left} left this week. Would a shorter version suit? "
                f"Part {part.priority} alone takes {_minutes(part.minutes)}."
            ),
            part_sentence(part),
        ),
        "Open this week",
    )


def new_week(opens: date, note: str, parts: Sequence[PartWords], *, child: str) -> Letter:
    day = f"{opens:%A} {opens.day} {opens:%B}"
    words = (f"Your coach's words: “{note}”",) if note else ()
    return Letter(
        "Your new week is here" if not child else "The new week is here",
        (*_for_child(child), f"The week that starts on {day} is ready.", *words),
        "Look at the week",
        tuple(f"{p.priority}. {p.name}, {_minutes(p.minutes)} a session" for p in parts),
    )


def lesson_tomorrow(*, child: str) -> Letter:
    return Letter(
        "Lesson tomorrow",
        (
            *_for_child(child),
            (
                "There is a lesson tomorrow. Any question? Put it in a note with today's practice, "
                "and it will be read before the lesson."
            ),
        ),
        "Open this week",
    )


def test_tomorrow(name: str, *, child: str) -> Letter:
    return Letter(
        "Test tomorrow",
        (
            *_for_child(child),
            (
                f"Tomorrow is the day for the test: {name}. It shows what has moved since the last "
                "one; any result is useful."
            ),
        ),
        "See what to bring",
    )


def coach_monday(lines: Sequence[str], last_week: str) -> Letter:
    paragraphs = (last_week,) if last_week else ()
    start = "This is where your students stand this morning, those who need you first."
    subject, button = "Your week: who needs you", "Open Who needs me"
    return Letter(subject, (*paragraphs, start), button, tuple(lines))


def coach_evening(lines: Sequence[str]) -> Letter:
    return Letter(
        "Tomorrow's lessons",
        ("In order, with where each student stands tonight; the door notes are on the page.",),
        "Open Next up",
        tuple(lines),
    )


def pain_told_to_coach(name: str) -> Letter:
    return Letter(
        "Something hurts: please look",
        (
            (
                f"{name} has told of pain. What it touches has stopped until you clear it; "
                "nobody loses by telling. The words are on the care page, not in this mail."
            ),
        ),
        "Open the care page",
        must="This one cannot be switched off: somebody has to look.",
    )


def pain_told_to_guardian(name: str) -> Letter:
    return Letter(
        "Something hurts: please look",
        (
            (
                f"{name} has told of pain with today's practice. What it touches has stopped, and "
                "the coach has been told. The words are on the page, not in this mail."
            ),
            (
                "If it is bad or gets worse, see a physician; in an emergency call your local "
                "emergency number."
            ),
        ),
        "Open the week",
        must="This one cannot be switched off while you are the guardian.",
    )
