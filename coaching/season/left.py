"""How many visits a season still has: at the student's own rate, not the asked one. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor
from statistics import median

FEWEST_WEEKS = 3


@dataclass(frozen=True, slots=True)
class VisitsLeft:
    """Weeks left, and visits a week as they are done and as they are asked, with their sums.

    `n`: on how many past open weeks the rates stand.
    """

    weeks: int
    usual: float
    asked: float
    n: int

    @property
    def at_usual(self) -> int:
        return floor(self.weeks * self.usual + 1e-9)

    @property
    def as_asked(self) -> int:
        return floor(self.weeks * self.asked + 1e-9)


def visits_left(weeks: int, done: Sequence[float], asked: Sequence[float]) -> VisitsLeft | None:
    """Visits left in `weeks` weeks, from past open weeks.

    Parameters
    ----------
    weeks : int
        Weeks still to come that are not excused whole.
    done, asked : sequence of float
        Visits (days at practice) done and asked in each past open week.

    Returns
    -------
    VisitsLeft, or None with fewer than three past weeks.

    Raises
    ------
    ValueError
        Sequences of different lengths, or fewer than no weeks.

    Notes
    -----
    House rule, not a published one: the rate is the median of these weeks.

    Examples
    --------
    >>> left = visits_left(11, [2, 2, 1, 2, 3, 2], [4, 4, 4, 4, 4, 4])
    >>> left.at_usual, left.as_asked
    (22, 44)
    """
    if len(done) != len(asked) or weeks < 0:
        raise ValueError("As many weeks done as asked, and none below zero to come.")
    if len(done) < FEWEST_WEEKS:
        return None
    return VisitsLeft(weeks, median(done), median(asked), len(done))


def in_words(left: VisitsLeft | None, weeks: int, known: int) -> str:
    """One sentence, with what it stands on."""
    if weeks <= 0:
        return "No weeks are left in this season."
    if left is None:
        return (
            f"{_weeks(weeks)} left. It is too soon to say how many visits. We know {known} "
            f"week{'' if known == 1 else 's'} and need {FEWEST_WEEKS}."
        )
    words = (
        f"{_weeks(weeks)} left. With the usual {_visits(left.usual)} a week that makes "
        f"{_visits(left.at_usual, 'more visit')}"
    )
    if left.as_asked > left.at_usual:
        words += f", not the {left.as_asked} asked"
    return f"{words}. The usual comes from {left.n} past weeks."


def _weeks(weeks: int) -> str:
    return "1 week" if weeks == 1 else f"{weeks} weeks"


def _visits(count: float, one: str = "visit") -> str:
    return f"{count:g} {one}{'' if count == 1 else 's'}"
