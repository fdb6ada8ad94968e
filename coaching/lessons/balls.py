"""Balls that a coach counts in a lesson, clean or not, kept as one line of text. Pure.

`<drill>=50:1101,70:10;<drill>=…`: of a drill, at a felt 50 percent four balls in their
order, the third of them not clean.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from shared.kit.refused import Refused

MOST_TEXT = 1200
MOST_STEPS = 12
_STEP = re.compile(r"([1-9]\d|100):([01]{1,100})")


@dataclass(frozen=True, slots=True)
class CountedBalls:
    """The balls of one drill at one felt effort, in percent."""

    drill: UUID
    effort: int
    balls: str

    @property
    def reps(self) -> int:
        return len(self.balls)

    @property
    def clean(self) -> int:
        return self.balls.count("1")


def read_balls(text: str) -> list[CountedBalls]:
    """The counts by drill, the lowest effort first. Raises Refused.

    Examples
    --------
    >>> [(each.effort, each.clean, each.reps) for each in read_balls(
    ...     "00000000-0000-4000-8000-000000000000=70:10,50:1101")]
    [(50, 3, 4), (70, 1, 2)]
    """
    found: dict[tuple[UUID, int], CountedBalls] = {}
    for line in filter(None, text.split(";")):
        drill, _, steps = line.partition("=")
        for step in steps.split(","):
            each = _counted(drill, step)
            if (each.drill, each.effort) in found:
                raise Refused("A step is counted twice.")
            found[each.drill, each.effort] = each
    if len(found) > MOST_STEPS or len(text) > MOST_TEXT:
        raise Refused(f"At most {MOST_STEPS} steps are counted for one priority.")
    return [found[key] for key in sorted(found, key=lambda key: (str(key[0]), key[1]))]


def _counted(drill: str, step: str) -> CountedBalls:
    read = _STEP.fullmatch(step)
    if read is None:
        raise Refused("At a step from 10 to 100 percent 1 to 100 balls are counted.")
    try:
        return CountedBalls(UUID(drill), int(read[1]), read[2])
    except ValueError:
        raise Refused("The drill of a count is not known.") from None


def said(counted: Iterable[CountedBalls], names: Mapping[UUID, str]) -> str:
    """'Effort ladder at 60: 7 of 9 clean', each step."""
    return "; ".join(
        f"{names[each.drill]} at {each.effort}: {each.clean} of {each.reps} clean"
        for each in counted
        if each.drill in names
    )
