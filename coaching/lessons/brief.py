"""The door note in twenty seconds: a few short lines, which fit on one screen of a phone."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.urls import reverse

from coaching.board.student_words import amount_done
from coaching.lessons.models import Lesson
from coaching.standing.phrases import date_words
from practice.clips.queries import ones_to_copy
from practice.compliance.models import WeekTally
from shared.people.models import Student
from shared.weeks import practice_day

MOST_LETTERS = 56
# A feel drifts: asked again after so many days (our choice).
FEEL_DAYS = 21


@dataclass(frozen=True, slots=True)
class BriefLine:
    label: str
    words: str
    href: str = ""


def short(text: str) -> str:
    """Cut between words where it is too long; the whole of it stands further down.

    Examples
    --------
    >>> short("stay in the barrel")
    'stay in the barrel'
    >>> len(short("seven " * 30)) <= MOST_LETTERS
    True
    """
    if len(text) <= MOST_LETTERS:
        return text
    return text[: MOST_LETTERS - 1].rpartition(" ")[0].rstrip(",;: ") + " …"


def brief_lines(said: Mapping[str, str]) -> list[BriefLine]:
    """In their order, what is empty left out."""
    return [BriefLine(label, short(words)) for label, words in said.items() if words]


def last_words(last: Lesson | None, today: date) -> dict[str, str]:
    """The cue and the feel of the first priority, and how old they are."""
    found = next(iter(last.findings.all()), None) if last else None
    if last is None or found is None:
        return {}
    days = (today - practice_day(last.at, last.student.time_zone)).days
    old = f" ({days} days old: ask again)" if days > FEEL_DAYS else ""
    room = MOST_LETTERS - len(old) - 2
    feel = found.feel if len(found.feel) <= room else f"{found.feel[: room - 2]} …"
    return {
        "Cue": f"“{found.cue}”" if found.cue else "",
        "Feel": f"“{feel}”{old}" if feel else "",
    }


def done_words(tallies: Sequence[WeekTally]) -> str:
    """Of the newest week in which anything was done: sessions by part."""
    busy = [tally for tally in tallies if any(part["sessions_done"] for part in tally.parts)]
    for tally in busy[:1] or tallies[:1]:
        parts = [part for part in tally.parts if not part["removed"]]
        words = ", ".join(map(_part, parts))
        return words if tally is tallies[0] else f"Week of {date_words(tally.opens)}: {words}"
    return ""


def _part(part: Mapping[str, Any]) -> str:
    if part["credit"] is None:
        return f"{part['name']} excused"
    return f"{part['name']} {amount_done(part)}"


def clip_line(student: Student, drills: Iterable[UUID]) -> list[BriefLine]:
    """The clip to copy of the first of these drills that has one. Two queries at most."""
    order = list(drills)
    clips = ones_to_copy(student, order)
    for drill in order:
        if drill in clips:
            href = reverse("clips:watch", args=[clips[drill].pk])
            return [BriefLine("To copy", "watch the clip", href)]
    return []
