"""Between the stock swings: are two neighbours really different, and what lies between them?

All distances in metres.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt

from practice.measures.answers import BadData, Estimate, TooLittle
from practice.measures.arrays import finite, share
from practice.measures.days import LEAST_BALLS, DayLevel
from practice.measures.wedges import Cell, expected_miss

# How far carry may bend between two stock swings: standard deviation, as a part of the
# step, of the bend at full weight (house rule; a quarter of that is left halfway).
BEND = 0.25


@dataclass(frozen=True, slots=True)
class Between:
    """The mean carry of a swing between two known ones, and where its next ball lands."""

    mean: Estimate
    next_ball: Estimate
    spread: float


def between(shorter: DayLevel, longer: DayLevel, part: float, *, level: float = 0.95) -> Between:
    """Carry of a swing that lies between two known ones, by interpolation.

    Parameters
    ----------
    shorter, longer : DayLevel
        Carries in metres of the two known swings, over their days: neighbouring lengths of
        one club, or neighbouring clubs at one length.
    part : float
        How far from the shorter (0) to the longer (1): of the swing's length, or of
        the loft between two clubs.
    level : float

    Returns
    -------
    Between; its next ball is one of another day.

    Raises
    ------
    BadData
        `part` outside [0, 1], or level outside (0, 1).

    Notes
    -----
    Mean and variance are interpolated linearly, days in both: the error of a level holds how
    days differ, and a next ball varies from day to day and within one. To the errors of the
    two means comes that of the straight line itself: carry may bend between the two by
    BEND x step x part x (1 - part) (one standard deviation; house rule).
    Degrees of freedom by Welch and Satterthwaite.

    References
    ----------
    JCGM 100:2008 (Guide to the Expression of Uncertainty in Measurement), 5.1.2 and
    G.4 (combined standard uncertainty, effective degrees of freedom).

    Examples
    --------
    >>> from practice.measures.days import level_over_days
    >>> hip = level_over_days([[50, 51, 49], [50, 52]], "m")
    >>> chest = level_over_days([[62, 60, 61], [63, 62]], "m")
    >>> found = between(hip, chest, 0.5)
    >>> found.mean.low < 56 < found.mean.high < found.next_ball.high
    True
    """
    from scipy.special import stdtrit

    share(level)
    if not 0 <= finite(part, "part") <= 1:
        raise BadData("The part must lie between 0 and 1.")
    a, b = shorter.estimate, longer.estimate
    mean = (1 - part) * a.value + part * b.value
    bend = (BEND * (b.value - a.value) * part * (1 - part)) ** 2
    parts = [(1 - part, shorter), (part, longer)]
    of_mean = [(w * x.error) ** 2 for w, x in parts]
    of_ball = [w * (x.within**2 + x.between**2) for w, x in parts]

    def around(variances: list[float]) -> Estimate:
        known = sum(variances)
        below = sum(v**2 / x.freedom for v, (_, x) in zip(variances, parts, strict=True))
        freedom = (known + bend) ** 2 / below if below else 1e9
        reach = float(stdtrit(freedom, (1 + level) / 2)) * sqrt(known + bend)
        return Estimate(mean, "m", mean - reach, mean + reach, a.n + b.n, level)

    both = [m + s for m, s in zip(of_mean, of_ball, strict=True)]
    return Between(around(of_mean), around(both), sqrt(sum(both) + bend))


@dataclass(frozen=True, slots=True)
class InBetween:
    """A swing for a target between two lengths of one club: how far between, and how sure."""

    shorter: Cell
    longer: Cell
    part: float
    carry: Between
    expected: float


def in_between(
    card: Mapping[Cell, DayLevel], target: float, *, level: float = 0.95
) -> list[InBetween] | TooLittle:
    """The swings between two neighbouring lengths of one club that reach a target, best first.

    Parameters
    ----------
    card : mapping of Cell to DayLevel
        Carries of each cell in metres, over their days.
    target : float
        Metres, above 0.
    level : float

    Returns
    -------
    list of InBetween, perhaps empty (the target lies between no two lengths of one
    club), or TooLittle if no club has two lengths.

    Raises
    ------
    BadData
        The target not positive, or level outside (0, 1).

    Notes
    -----
    House rule: the lengths of a club are ordered by their level. The interval is
    that of `between`; the expected miss that of `expected_miss` at its spread.
    """
    if not finite(target, "target") > 0:
        raise BadData("The target must be above zero.")
    share(level)
    means = {cell: known.estimate.value for cell, known in card.items()}
    pairs = []
    for club in sorted({cell.club for cell in card}):
        lengths = sorted((c for c in card if c.club == club), key=lambda c: (means[c], c))
        pairs += list(pairwise(lengths))
    if not pairs:
        return TooLittle("No club has two swings with three balls each.", 0, LEAST_BALLS)
    found = []
    for a, b in pairs:
        if means[a] < target < means[b]:
            part = (target - means[a]) / (means[b] - means[a])
            carry = between(card[a], card[b], part, level=level)
            found.append(InBetween(a, b, part, carry, expected_miss(0.0, carry.spread)))
    return sorted(found, key=lambda each: (each.expected, each.shorter))
