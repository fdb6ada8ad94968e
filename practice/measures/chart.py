"""Is it steady from session to session? The individuals chart, its run rules, and the EWMA.

Feed it one figure per session (the session's median), in time order. Shots of one
session are not independent and must not be mixed in.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from practice.measures.answers import TooLittle
from practice.measures.arrays import Array, Numbers, numbers

# Expected range of two standard normal values, as the handbook prints it (2/sqrt(pi) = 1.12838).
D2 = 1.128
# Upper limit factor of a moving range of two: 1 + 3 sqrt(2 - 4/pi) / (2/sqrt(pi)).
D4 = 3.267
LEAST_FOR_LIMITS = 10

Found = NDArray[np.bool_]
Pattern = Callable[[Array], Found]


@dataclass(frozen=True, slots=True)
class ControlLimits:
    """Centre and limits of an individuals chart, in the unit of its data."""

    centre: float
    low: float
    high: float
    mean_range: float
    range_high: float
    n: int

    @property
    def sigma(self) -> float:
        """Session-to-session spread by the moving range, in the unit of the data."""
        return self.mean_range / D2


def individuals(values: Numbers, *, least: int = LEAST_FOR_LIMITS) -> ControlLimits | TooLittle:
    """Limits of an individuals chart from the mean moving range.

    Parameters
    ----------
    values : sequence of float, length n
        One figure per session, in time order, any unit.
    least : int
        Fewer sessions than this give no limits.

    Returns
    -------
    Limits, or TooLittle
        TooLittle also when every value is the same: no variation was recorded.

    Raises
    ------
    BadData
        A value is not finite.

    Notes
    -----
    The spread comes from the moving range, not from the standard deviation: a
    trend swells the one but not the other. Uses the rounded d2 = 1.128 of the
    source; with 3 sigma limits one session in about 370 falls outside by chance.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (individuals charts).

    Examples
    --------
    >>> chart = individuals([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
    >>> round(chart.high, 4)
    55.8041
    """
    x = numbers(values)
    if x.size < max(2, least):
        return TooLittle("Limits need more sessions.", x.size, max(2, least))
    mean_range = float(np.abs(np.diff(x)).mean())
    if mean_range == 0:
        return TooLittle("No variation was recorded.", x.size, x.size + 1)
    centre, reach = float(x.mean()), 3 * mean_range / D2
    return ControlLimits(
        centre, centre - reach, centre + reach, mean_range, D4 * mean_range, x.size
    )


class Rule(StrEnum):
    """Run rules, each read on one side of the centre line."""

    BEYOND_3 = "one session beyond three sigma"
    TWO_OF_THREE = "two of three sessions beyond two sigma"
    FOUR_OF_FIVE = "four of five sessions beyond one sigma"
    EIGHT_IN_A_ROW = "eight sessions in a row on one side"
    SIX_RISING = "six sessions steadily rising or falling"
    FOURTEEN_ALTERNATING = "fourteen sessions alternating up and down"


# One rule for a jump and one for a trend: all four Western Electric rules together
# give a false alarm every 92 sessions instead of every 370.
USUAL_RULES = (Rule.BEYOND_3, Rule.SIX_RISING)


def signals(z: Numbers, rules: tuple[Rule, ...] = USUAL_RULES) -> dict[Rule, tuple[int, ...]]:
    """Where a standardised series breaks run rules.

    Parameters
    ----------
    z : sequence of float, length n
        (value - centre) / sigma per session, in time order.
    rules : tuple of Rule

    Returns
    -------
    dict
        Per rule the 0-based indices of the sessions that complete the pattern.

    Raises
    ------
    BadData
        A value is not finite.

    References
    ----------
    Western Electric Statistical Quality Control Handbook (1956) for the first four
    (eight in a row; Nelson asks for nine); Nelson, L. S. (1984). Journal of Quality
    Technology 16, 237-239 for the others.

    Examples
    --------
    >>> signals([0.0, 3.2, 0.0])[Rule.BEYOND_3]
    (1,)
    """
    array = numbers(z)
    return {
        rule: tuple(np.flatnonzero(_PATTERNS[rule](array)).tolist() if array.size else ())
        for rule in rules
    }


def _of_last(count: int, window: int, beyond: float) -> Pattern:
    def complete(z: Array) -> Found:
        # The pattern may be complete before the window is.
        found = np.zeros(z.size, dtype=bool)
        for side in (1.0, -1.0):
            outside = side * z > beyond
            recent = np.convolve(outside, np.ones(window, dtype=int))[: z.size]
            found |= outside & (recent >= count)
        return found

    return complete


def _run_of(steps: Found, length: int) -> Found:
    """Where so many steps in a row, each up to the session it leads to, have come true."""
    found = np.zeros(steps.size + 1, dtype=bool)
    if steps.size >= length:
        found[length:] = np.convolve(steps, np.ones(length, dtype=int), "valid") == length
    return found


def _six_rising(z: Array) -> Found:
    steps = np.diff(z)
    return _run_of(steps > 0, 5) | _run_of(steps < 0, 5)


def _fourteen_alternating(z: Array) -> Found:
    steps = np.diff(z)
    turns = steps[1:] * steps[:-1] < 0
    return np.concatenate([[False], _run_of(turns, 12)])[: z.size]


_PATTERNS: dict[Rule, Pattern] = {
    Rule.BEYOND_3: lambda z: np.abs(z) > 3,
    Rule.TWO_OF_THREE: _of_last(2, 3, 2.0),
    Rule.FOUR_OF_FIVE: _of_last(4, 5, 1.0),
    Rule.EIGHT_IN_A_ROW: _of_last(8, 8, 0.0),
    Rule.SIX_RISING: _six_rising,
    Rule.FOURTEEN_ALTERNATING: _fourteen_alternating,
}
