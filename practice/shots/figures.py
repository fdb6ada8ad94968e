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


FIGURES = MappingProxyType(
    {
        "target": Limit(1, 450, "m"),
        "carry": Limit(0, 450, "m"),
        "total": Limit(0, 500, "m"),
        "side": Limit(-200, 200, "m"),
        "ball_speed": Limit(1, 120, "m/s"),
        "club_speed": Limit(1, 90, "m/s"),
    }
)
