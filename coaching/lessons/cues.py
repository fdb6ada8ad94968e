"""One current cue for each priority, with its owner and date, and how often it changed. Pure.

More than two changes in thirty days are told (our choice): a move learned by one cue and
then by another is learned by neither.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from shared.kit.text import many

LATELY = timedelta(days=30)
MOST_CHANGES = 2


@dataclass(frozen=True, slots=True)
class SaidCue:
    """A cue as it was written in a lesson; `place` 0 is priority 1."""

    place: int
    fault: str
    cue: str
    by: str
    day: date


@dataclass(frozen=True, slots=True)
class CurrentCue:
    """The latest cue of a priority: whose, since when, and its changes in thirty days."""

    place: int
    fault: str
    cue: str
    by: str
    since: date
    changes: int

    @property
    def is_restless(self) -> bool:
        return self.changes > MOST_CHANGES


def current_cues(said: Sequence[SaidCue], today: date) -> list[CurrentCue]:
    """The cue that stands for each priority, priority 1 first.

    Parameters
    ----------
    said : sequence of Said
        Of one student, oldest first. The same words again are no change, whoever says
        them: the owner is whoever said them first, and `since` is that day.
    today : date
        The last of the thirty days in which changes are counted.
    """
    standing: dict[int, CurrentCue] = {}
    for each in said:
        before = standing.get(each.place)
        if before and _same(before.cue, each.cue):
            continue
        changed = bool(before) and today - LATELY < each.day <= today
        changes = (before.changes if before else 0) + changed
        standing[each.place] = CurrentCue(
            each.place, each.fault, each.cue, each.by, each.day, changes
        )
    return [standing[place] for place in sorted(standing)]


def _same(one: str, other: str) -> bool:
    return one.strip().casefold() == other.strip().casefold()


def restless_words(cues: Sequence[CurrentCue]) -> list[str]:
    """A sentence for each priority whose cue changed too often, as a reason to agree on one."""
    return [
        f"The cue of priority {cue.place + 1} changed {many(cue.changes, 'time')} in 30 days. "
        f"Agree on one first."
        for cue in cues
        if cue.is_restless
    ]
