"""What a measure can answer: an estimate with its certainty, or that there is too little."""

from dataclasses import dataclass
from enum import IntEnum


class BadData(ValueError):
    """A number that cannot be: NaN, infinite, negative where it must not be, nothing at all."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with its unit, interval and the number of observations it stands on."""

    value: float
    unit: str
    low: float
    high: float
    n: int
    level: float = 0.95


@dataclass(frozen=True, slots=True)
class TooLittle:
    """Too little to say: how many observations there are, and how many would do."""

    reason: str
    have: int
    need: int

    @property
    def missing(self) -> int:
        return max(0, self.need - self.have)


class Evidence(IntEnum):
    """How a number was got, weakest first; a conclusion prints the weakest it leans on.

    House rule, not a published one.
    """

    FROM_MEMORY = 1
    COUNTED = 2
    COACH_CHECKED = 3
    MEASURED = 4

    @property
    def words(self) -> str:
        return self.name.lower().replace("coach_", "coach-").replace("_", " ")


def weakest(*kinds: Evidence) -> Evidence:
    """The kind of evidence that a conclusion from all of these may claim. House rule.

    Raises
    ------
    BadData
        Nothing was given.
    """
    if not kinds:
        raise BadData("A conclusion needs at least one kind of evidence.")
    return min(kinds)
