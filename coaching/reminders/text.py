"""What the mails say. Never a word of blame, never a minor's name in a subject. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Protocol

from shared.kit import text


class MailItem(Protocol):
    """One thing a coach wrote; `text` is empty where the words are for the page alone."""

    @property
    def what(self) -> str: ...
    @property
    def by(self) -> str: ...
    @property
    def text(self) -> str: ...


@dataclass(frozen=True, slots=True)
class Letter:
    """A mail before it is set in type: a subject, paragraphs, one link."""

    subject: str
    paragraphs: tuple[str, ...]
    link_words: str
    lines: tuple[str, ...] = ()
    # Why there is no link to stop these mails, where there is none.
    must: str = ""
    # In whose name it goes, beside the studio's.
    by: str = ""
    # What a locked screen may show: no name, nothing of health, no words but the reader's own plan.
    short: str = ""


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
    whole = text.minutes(minutes)
    return "1 minute" if whole == 1 else f"{whole} minutes"


def part_sentence(part: PartWords) -> str:
    """'Part 1, 12 minutes: wall-back turns. Your words: “tail stays on the fence”.'"""
    said = _part_alone(part)
    return f"{said} Your words: “{part.cue}”." if part.cue else said


def _part_alone(part: PartWords) -> str:
    where = f", {part.where}" if part.where else ""
    return f"Part {part.priority}, {_minutes(part.minutes)}{where}: {part.name}."


def _for_child(child: str) -> tuple[str, ...]:
    return (f"For {child}:",) if child else ()


def practice_call(part: PartWords, *, child: str) -> Letter:
    return Letter(
        f"Practice today: part {part.priority}, {_minutes(part.minutes)}",
        (*_for_child(child), part_sentence(part)),
        "Open today’s practice",
        short=_part_alone(part),
    )


def midweek_offer(part: PartWords, *, visits_left: int, child: str) -> Letter:
    left = "1 visit is" if visits_left == 1 else f"{visits_left} visits are"
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
        short=f"Part {part.priority} alone takes {_minutes(part.minutes)}.",
    )


def new_week(opens: date, note: str, parts: Sequence[PartWords], *, child: str) -> Letter:
    ready = f"The week that starts on {opens:%A} {opens.day} {opens:%B} is ready."
    words = (f"Your coach’s words: “{note}”",) if note else ()
    return Letter(
        "Your new week is here" if not child else "The new week is here",
        (*_for_child(child), ready, *words),
        "Look at the week",
        tuple(f"{p.priority}. {p.name}, {_minutes(p.minutes)} each time" for p in parts),
        short=ready,
    )


def lesson_tomorrow(*, child: str) -> Letter:
    return Letter(
        "Lesson tomorrow",
        (
            *_for_child(child),
            (
                "There is a lesson tomorrow. Any question? Put it in a note today. It will be "
                "read before the lesson."
            ),
        ),
        "Open this week",
        short="Any question? Put it in a note with today’s practice.",
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
        short=f"{name}. Any result is useful.",
    )


def written(item: MailItem, *, child: str) -> str:
    """'Ana Coach answered: “yes, both feet”', or where to look for it."""
    first = item.by
    match item.what:
        case "report":
            return f"{first} has sent a report" + (f" about {child}." if child else ".")
        case "clip":
            return f"{first} has sent a clip" + (f": “{item.text}”" if item.text else ".")
        case "answer" if item.text:
            return f"{first} answered: “{item.text}”"
        case "answer":
            return f"{first} has answered. The words are on the page, not in this mail."
        case "change":
            return item.text
    return f"{first} wrote: “{item.text}”"


def from_the_coach(items: Sequence[MailItem], *, child: str) -> Letter:
    """What was written, alone. Subjects name no child and nothing of what is inside."""
    names = {item.by for item in items}
    by = next(iter(names)) if len(names) == 1 else ""
    what = {item.what for item in items}
    noun = {
        "line": "a few words",
        "answer": "an answer",
        "report": "a report",
        "clip": "a clip",
        "change": "a changed week",
    }
    subject = f"{noun[next(iter(what))]} from your coach" if len(what) == 1 else "From your coach"
    if child:
        subject = subject.replace("your", "the")
    return Letter(
        subject[0].upper() + subject[1:],
        (*_for_child(child), *(written(item, child=child) for item in items)),
        "Look at the week" if what == {"change"} else "Read it on the page",
        by=by,
        short="Open it to read.",
    )


def with_plan(letter: Letter, plan: str) -> Letter:
    """The same letter with what its reader meant to do. A phone shows that alone."""
    if not plan:
        return letter
    said = f"The plan: {plan}"
    return replace(letter, paragraphs=(*letter.paragraphs, said), short=plan)


def calls_stop(many: int, *, child: str) -> Letter:
    """Said once, and an offer: nothing here is a reproach."""
    return Letter(
        "Do these reminders help?",
        (
            *_for_child(child),
            (
                f"The last {many} reminders were followed by no practice within a day. Perhaps the "
                "hour is wrong. So they stop here; the week and everything in it stays as it is."
            ),
            "Choose another hour, other days or a plan of your own on the page.",
        ),
        "Choose another hour",
        short="They stop here. Another hour can be chosen on the page.",
    )


def with_written(letter: Letter, items: Sequence[MailItem], *, child: str) -> Letter:
    """The same letter, with what a coach wrote after its own matter."""
    more = tuple(written(item, child=child) for item in items)
    short = f"{letter.short} There is something new from the coach too." if more else letter.short
    return replace(letter, paragraphs=(*letter.paragraphs, *more), short=short)


def coach_monday(lines: Sequence[str], last_week: str) -> Letter:
    paragraphs = (last_week,) if last_week else ()
    start = "This is where your students stand this morning, those who need you first."
    subject, button = "Your week: who needs you", "Open Who needs me"
    return Letter(subject, (*paragraphs, start), button, tuple(lines))


def coach_evening(lines: Sequence[str]) -> Letter:
    return Letter(
        "Tomorrow’s lessons",
        ("They stand in order, with how each student is doing. The door notes are on the page.",),
        "Open today’s lessons",
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
                f"{name} has told of pain with today’s practice. What it touches has stopped, and "
                f"the coach knows. The words are on the page, not in this mail."
            ),
            (
                "If it is bad or gets worse, see a doctor. If it is urgent, call your local "
                "emergency number."
            ),
        ),
        "Open the week",
        must="This one cannot be switched off while you are the guardian.",
    )
