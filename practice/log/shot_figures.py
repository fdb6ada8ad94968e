"""What may be measured of a ball, and between which limits a number can be true.

The limits are wide of everything that has been hit (common practice, no source): they
catch a slip of the finger and a wrong unit, not a good day.
"""

from dataclasses import dataclass
from types import MappingProxyType

LENGTHS = ("hip", "chest", "full")
MOST_BALLS = 300


@dataclass(frozen=True, slots=True)
class Limit:
    """The least and the most, in SI, and the unit as it is said."""

    low: float
    high: float
    unit: str


# A ball leaves at most so many times as fast as the club came: with the liveliest face that
# the rules allow and a heavy head it is 1.49 (momentum and restitution); beyond this one of
# the two was mistyped or measured wrongly.
MOST_SMASH = 1.55


def smash_fault(ball_speed: float | None, club_speed: float | None) -> str:
    """A sentence where the ball is faster than that club can make it, or nothing."""
    if ball_speed is None or club_speed is None or ball_speed <= MOST_SMASH * club_speed:
        return ""
    return (
        f"A ball leaves at most {MOST_SMASH} times as fast as the club came. "
        "Look at both speeds again."
    )


FIGURES = MappingProxyType(
    {
        "target": Limit(1, 450, "m"),
        "carry": Limit(0, 450, "m"),
        "total": Limit(0, 500, "m"),
        "side": Limit(-200, 200, "m"),
        "ball_speed": Limit(1, 110, "m/s"),
        "club_speed": Limit(1, 80, "m/s"),
    }
)
