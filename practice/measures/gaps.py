"""Between the stock swings: are two neighbours really different, and what lies between them?

All distances in metres.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt

from practice.measures.answers import BadData, Estimate, TooLittle
from practice.measures.arrays import Array, Numbers, finite, numbers, share
from practice.measures.wedges import Cell, expected_miss

# How far carry may bend between two stock swings: standard deviation, as a part of the
# step, of the bend at full weight (house rule; a quarter of that is left halfway).
BEND = 0.25
LEAST_FOR_BETWEEN = 3


def _cells(card: Mapping[Cell, Numbers], fewest: int) -> dict[Cell, Array]:
    cells = {cell: numbers(balls, "carries", least=0) for cell, balls in card.items()}
    return {cell: balls for cell, balls in cells.items() if balls.size >= fewest}


@dataclass(frozen=True, slots=True)
class Between:
    """The mean carry of a swing between two known ones, and where its next ball lands."""

    mean: Estimate
    next_ball: Estimate
    spread: float


def between(
    shorter: Numbers, longer: Numbers, part: float, *, level: float = 0.95
) -> Between | TooLittle:
    """Carry of a swing that lies between two known ones, by interpolation.

    Parameters
    ----------
    shorter, longer : sequence of float
        Carries in metres of the two known swings: neighbouring lengths of one club, or
        neighbouring clubs at one length.
    part : float
        How far from the shorter (0) to the longer (1): of the swing's length, or of
        the loft between two clubs.
    level : float

    Returns
    -------
    Between, or TooLittle if either has fewer than 3 balls.

    Raises
    ------
    BadData
        A carry negative or not finite, `part` outside [0, 1], or level outside (0, 1).

    Notes
    -----
    Mean and variance are interpolated linearly. To the errors of the two means comes
    that of the straight line itself: carry may bend between the two by
    BEND x step x part x (1 - part) (one standard deviation; house rule).
    Degrees of freedom by Welch and Satterthwaite.

    References
    ----------
    JCGM 100:2008 (Guide to the Expression of Uncertainty in Measurement), 5.1.2 and
    G.4 (combined standard uncertainty, effective degrees of freedom).

    Examples
    --------
    >>> found = between([50, 51, 49, 50, 52], [62, 60, 61, 63, 62], 0.5)
    >>> round(found.mean.value, 1), round(found.next_ball.low, 1), round(found.next_ball.high, 1)
    (56.0, 53.0, 59.0)
    """
    from scipy.special import stdtrit

    a = numbers(shorter, "carries", least=0)
    b = numbers(longer, "carries", least=0)
    share(level)
    if not 0 <= finite(part, "part") <= 1:
        raise BadData("The part must lie between 0 and 1.")
    fewer = min(a.size, b.size)
    if fewer < LEAST_FOR_BETWEEN:
        return TooLittle("A swing between two needs three balls of each.", fewer, LEAST_FOR_BETWEEN)
    mean = (1 - part) * float(a.mean()) + part * float(b.mean())
    bend = (BEND * float(b.mean() - a.mean()) * part * (1 - part)) ** 2
    parts = [(1 - part, a), (part, b)]
    of_mean = [w**2 * float(x.var(ddof=1)) / x.size for w, x in parts]
    of_ball = [w * float(x.var(ddof=1)) for w, x in parts]

    def around(variances: list[float], sizes: list[int]) -> Estimate:
        known = sum(variances)
        below = sum(v**2 / (n - 1) for v, n in zip(variances, sizes, strict=True))
        freedom = (known + bend) ** 2 / below if below else 1e9
        reach = float(stdtrit(freedom, (1 + level) / 2)) * sqrt(known + bend)
        return Estimate(mean, "m", mean - reach, mean + reach, a.size + b.size, level)

    sizes = [a.size, b.size]
    both = [m + s for m, s in zip(of_mean, of_ball, strict=True)]
    return Between(around(of_mean, sizes), around(both, sizes), sqrt(sum(both) + bend))


@dataclass(frozen=True, slots=True)
class InBetween:
    """A swing for a target between two lengths of one club: how far between, and how sure."""

    shorter: Cell
    longer: Cell
    part: float
    carry: Between
    expected: float


def in_between(
    card: Mapping[Cell, Numbers], target: float, *, level: float = 0.95
) -> list[InBetween] | TooLittle:
    """The swings between two neighbouring lengths of one club that reach a target, best first.

    Parameters
    ----------
    card : mapping of Cell to sequence of float
        Carries of each cell in metres; cells under 3 balls are left out.
    target : float
        Metres, above 0.
    level : float

    Returns
    -------
    list of InBetween, perhaps empty (the target lies between no two lengths of one
    club), or TooLittle if no club has two lengths with 3 balls.

    Raises
    ------
    BadData
        A carry negative or not finite, the target not positive, or level outside (0, 1).

    Notes
    -----
    House rule: the lengths of a club are ordered by their mean carry. The interval is
    that of `between`; the expected miss that of `expected_miss` at its spread.
    """
    if not finite(target, "target") > 0:
        raise BadData("The target must be above zero.")
    share(level)
    cells = _cells(card, LEAST_FOR_BETWEEN)
    means = {cell: float(balls.mean()) for cell, balls in cells.items()}
    pairs = []
    for club in sorted({cell.club for cell in cells}):
        lengths = sorted((c for c in cells if c.club == club), key=lambda c: (means[c], c))
        pairs += list(pairwise(lengths))
    if not pairs:
        return TooLittle("No club has two swings with three balls each.", 0, LEAST_FOR_BETWEEN)
    found = []
    for a, b in pairs:
        if means[a] < target < means[b]:
            part = (target - means[a]) / (means[b] - means[a])
            carry = between(cells[a], cells[b], part, level=level)
            if isinstance(carry, Between):
                found.append(InBetween(a, b, part, carry, expected_miss(0.0, carry.spread)))
    return sorted(found, key=lambda each: (each.expected, each.shorter))
