"""What ending nearer is worth: strokes to hole out by distance, as published for tour players.

Distances in metres.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from practice.measures.answers import Estimate, TooLittle
from practice.measures.arrays import Array, Numbers, numbers, share, some_numbers

FOOT = 0.3048  # NIST SP 811 (2008), appendix B.8: exact.
# Feet from the hole, and putts on average from there.
PUTTS = (
    (0, 1.0), (2, 1.01), (3, 1.04), (4, 1.13), (5, 1.23), (6, 1.34), (7, 1.42), (8, 1.50),
    (9, 1.56), (10, 1.61), (15, 1.78), (20, 1.87), (30, 1.98), (40, 2.06), (50, 2.14),
    (60, 2.21), (90, 2.40),
)  # fmt: skip
FARTHEST = PUTTS[-1][0] * FOOT
LEAST_DAYS = 3


def putts_from(ends: Numbers) -> Array:
    """Putts on average from these distances, as many values as given.

    Raises
    ------
    BadData
        No distance, or one negative or not finite.

    Notes
    -----
    Linear between the printed distances. What lies farther than 90 feet counts as 90 feet
    away (house rule): it is hardly on a green.

    References
    ----------
    Broadie, M. (2014). Every Shot Counts, putts of tour players by distance (from memory;
    the tests hold it to shares of one, two and three putts as others print them).
    """
    feet = some_numbers(ends, "distances", least=0) / FOOT
    printed, strokes = zip(*PUTTS, strict=True)
    found: Array = np.interp(feet, printed, strokes)
    return found


@dataclass(frozen=True, slots=True)
class Saved:
    """How far balls end off (median), strokes from there, and strokes saved a ball."""

    ends: float
    strokes: float
    saves: Estimate


def saved_by_nearer(
    days: Sequence[Numbers], nearer: float = 0.2, *, level: float = 0.95
) -> Saved | TooLittle:
    """Strokes that would be saved a ball if each ended nearer by this share.

    Parameters
    ----------
    days : sequence of sequences of float
        How far from the hole the balls of each day ended; empty days are left out.
    nearer : float
        Share of the distance, in (0, 1).
    level : float
        Coverage of the interval, in (0, 1).

    Returns
    -------
    Saved, or TooLittle below three days.

    Raises
    ------
    BadData
        A distance negative or not finite, or a share outside (0, 1).

    Notes
    -----
    Each day gives its mean; the interval is Student's t over the days, since balls of one
    day are alike.

    References
    ----------
    Student (1908). Biometrika 6, 1-25; strokes as `putts_from`.

    Examples
    --------
    >>> saved_by_nearer([[3, 4], [5, 2], [3, 6]]).saves.value > 0
    True
    """
    from scipy.stats import t

    share(nearer, "share")
    share(level)
    groups = [each for each in (numbers(day, "distances", least=0) for day in days) if each.size]
    if len(groups) < LEAST_DAYS:
        return TooLittle("What is saved takes three days.", len(groups), LEAST_DAYS)
    by_day = [float((putts_from(day) - putts_from(day * (1 - nearer))).mean()) for day in groups]
    every = np.concatenate(groups)
    mean, error = float(np.mean(by_day)), float(np.std(by_day, ddof=1) / np.sqrt(len(by_day)))
    half = float(t.ppf((1 + level) / 2, len(by_day) - 1)) * error
    saves = Estimate(mean, "strokes", mean - half, mean + half, every.size, level)
    return Saved(float(np.median(every)), float(putts_from(every).mean()), saves)
