"""The door note in twenty seconds: a few short lines, which fit on one screen of a phone."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.urls import reverse

from coaching.board.student_text import amount_done
from coaching.lessons.models import Lesson
from practice.clips.models import Clip
from practice.compliance.models import WeekTally
from shared.kit.text import capital
from shared.kit.weeks import practice_day

MOST_WORDS = 7
# Words that no short form ends with: they lead on to what is left out.
LEAD_ON = frozenset(
    [
        "a",
        "an",
        "and",
        "as",
        "at",
        "before",
        "by",
        "for",
        "from",
        "in",
        "into",
        "is",
        "of",
        "on",
        "or",
        "than",
        "that",
        "the",
        "then",
        "to",
        "until",
        "when",
        "while",
        "with",
        "without",
    ]
)
# Words of the whole block, the limits with it; what is needed least goes first.
MOST_ON_TOP = 60
NEEDED_LEAST = ("Numbers", "Clean", "Ahead", "Asks", "Feel", "Done")
TO_COPY = 3  # "watch the clip" is added at the end.
# A feel drifts: asked again after so many days (our choice).
FEEL_DAYS = 21


@dataclass(frozen=True, slots=True)
class BriefLine:
    label: str
    words: str
    href: str = ""


def short(text: str, most: int = MOST_WORDS) -> str:
    """The short form of a longer text: its first clauses as far as they fit, else its first
    words. The whole of it stands further down, so nothing marks the cut.

    Examples
    --------
    >>> short("Ball speed is down 5 mph, and has stayed down for three test days.")
    'Ball speed is down 5 mph'
    >>> short("swinging a heavy bucket of water without spilling")
    'swinging a heavy bucket of water'
    """
    words = text.split()
    if len(words) <= most:
        return text.rstrip(".")
    fitting = [n for n in range(1, most + 1) if words[n - 1][-1] in ",;:."]
    kept = words[: fitting[-1] if fitting else most]
    while len(kept) > 1 and kept[-1].lower() in LEAD_ON:
        kept.pop()
    return " ".join(kept).rstrip(",;:.")


def brief_lines(said: Mapping[str, str], limits: Iterable[str] = ()) -> list[BriefLine]:
    """In their order, what is empty left out, and so few that with the limits above them a
    glance takes them in."""
    room = MOST_ON_TOP - TO_COPY - sum(len(words.split()) for words in limits)
    lines = [BriefLine(label, short(words)) for label, words in said.items() if words]
    for label in NEEDED_LEAST:
        if sum(len(line.words.split()) for line in lines) > room:
            lines = [line for line in lines if line.label != label]
    return lines


def last_feel(last: Lesson | None, today: date) -> dict[str, str]:
    """The feel of the first priority, and whether it is old."""
    found = next(iter(last.findings.all()), None) if last else None
    if last is None or found is None:
        return {}
    days = (today - practice_day(last.at, last.student.time_zone)).days
    old = " (ask again)" if days > FEEL_DAYS else ""
    return {
        "Feel": f"“{short(found.feel, MOST_WORDS - len(old.split()))}”{old}" if found.feel else "",
    }


def done_words(tallies: Sequence[WeekTally], today: date) -> str:
    """Of the newest week in which anything was done: whole parts only, as many as fit."""
    busy = [tally for tally in tallies if any(part["sessions_done"] for part in tally.parts)]
    for tally in busy[:1] or tallies[:1]:
        parts = [part for part in tally.parts if not part["removed"]]
        weeks = (today - tally.opens).days // 7
        if weeks > 1:
            return "Nothing this week or last"
        return _fitting(["last week"] if weeks else [], parts)
    return ""


def _fitting(said: list[str], parts: Sequence[Mapping[str, Any]]) -> str:
    for n, part in enumerate(parts):
        more = [*said, _part(part)]
        if n == 0 and len(" ".join(more).split()) > MOST_WORDS:
            more = [*said, f"priority 1 {_went(part)}"]
        if len(" ".join(more).split()) > MOST_WORDS:
            break
        said = more
    return capital(", ".join(said))


def _part(part: Mapping[str, Any]) -> str:
    return f"{part['name']} {_went(part)}"


def _went(part: Mapping[str, Any]) -> str:
    return "excused" if part["credit"] is None else amount_done(part)


def clip_line(clips: Mapping[UUID, Clip], drills: Iterable[UUID]) -> list[BriefLine]:
    """The clip to copy of the first of these drills that has one."""
    for drill in drills:
        if drill in clips:
            href = reverse("clips:watch", args=[clips[drill].pk])
            return [BriefLine("To copy", "watch the clip", href)]
    return []
