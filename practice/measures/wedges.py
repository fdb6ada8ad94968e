"""The wedge card: carry by club and swing length, its holes, and what to hit from a distance.

All distances in metres.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import erf, exp, pi, sqrt

import numpy as np

from practice.measures.answers import BadData, TooLittle
from practice.measures.arrays import Array, Numbers, finite, numbers, share
from practice.measures.grain import grain_of

LEAST_FOR_CELL = 2
LEAST_FOR_MISS = 8
FAR = 80.0
HOLE_NEAR, HOLE_FAR, TWIN, ODD = 10.0, 13.0, 3.0, 6.0


@dataclass(frozen=True, slots=True, order=True)
class Cell:
    """One swing: a club at a swing length."""

    club: str
    length: str


def robust_spread(carries: Numbers, coarsest: float = 0.0) -> float | TooLittle:
    """The spread of the usual balls in metres, from the median of their distances to the median.

    Parameters
    ----------
    carries : sequence of float, length n
        Metres.
    coarsest : float
        The coarsest step in which they are typed, metres; what it hides joins in quadrature.

    Returns
    -------
    float, or TooLittle below 5 balls.

    Raises
    ------
    BadData
        A carry is negative or not finite.

    Notes
    -----
    Times 1.4826, and times the factor by which it falls short in a small sample.

    References
    ----------
    Rousseeuw, P. J. & Croux, C. (1993). J. Am. Stat. Assoc. 88, 1273-1283; Croux, C. &
    Rousseeuw, P. J. (1992). Computational Statistics 1, 411-428 (factors for small samples).

    Examples
    --------
    >>> round(robust_spread([58, 59, 60, 61, 62]) / 1.206, 4)
    1.4826
    """
    x = numbers(carries, "carries", least=0)
    if x.size < LEAST_FOR_SPREAD:
        return TooLittle("A robust spread needs five balls.", x.size, LEAST_FOR_SPREAD)
    plain = float(np.median(np.abs(x - np.median(x)))) * 1.482602218505602
    factor = _SMALL[x.size] if x.size in _SMALL else x.size / (x.size - 0.8)
    return sqrt((factor * plain) ** 2 + grain_of(x, coarsest) ** 2 * (coarsest > 0))


LEAST_FOR_SPREAD = 5
_SMALL = {5: 1.206, 6: 1.200, 7: 1.140, 8: 1.129, 9: 1.107}


@dataclass(frozen=True, slots=True)
class CarryStep:
    """Two neighbours of the card by carry, and the metres between them."""

    shorter: Cell
    longer: Cell
    from_m: float
    to_m: float

    @property
    def gap(self) -> float:
        return self.to_m - self.from_m

    @property
    def is_hole(self) -> bool:
        return self.gap > (HOLE_NEAR if self.from_m < FAR else HOLE_FAR)

    @property
    def is_twin(self) -> bool:
        return self.gap < TWIN


def steps(card: Mapping[Cell, float]) -> list[CarryStep]:
    """The neighbours of a card in order of carry: where the holes and the twins are.

    Parameters
    ----------
    card : mapping of Cell to float
        Mean carry of each cell, metres.

    Returns
    -------
    list of Step, one fewer than cells

    Raises
    ------
    BadData
        A carry is negative or not finite.

    Notes
    -----
    House rule (common practice, no source): a hole is more than 10 m under 80 m and
    more than 13 m above; twins are less than 3 m apart.
    """
    numbers(card.values(), "carries", least=0)
    ordered = sorted(card.items(), key=lambda item: (item[1], item[0]))
    return [CarryStep(a, b, low, high) for (a, low), (b, high) in pairwise(ordered)]


def odd_clubs(shorter: Mapping[str, float], longer: Mapping[str, float]) -> list[str]:
    """Clubs whose step from one swing length to the next differs by more than 6 m from the median.

    Parameters
    ----------
    shorter, longer : mapping of club to carry in metres, at two swing lengths

    Raises
    ------
    BadData
        A carry is negative or not finite.

    Notes
    -----
    House rule (common practice, no source): usually a typing error or a fuller swing.

    Examples
    --------
    >>> hip = {"60": 26, "54": 34, "48": 43, "43": 52}
    >>> chest = {"60": 33, "54": 42, "48": 52, "43": 73}
    >>> odd_clubs(hip, chest)
    ['43']
    """
    numbers([*shorter.values(), *longer.values()], "carries", least=0)
    gains = {club: longer[club] - shorter[club] for club in shorter if club in longer}
    if len(gains) < 3:
        return []
    usual = float(np.median(list(gains.values())))
    return [club for club, gain in gains.items() if abs(gain - usual) > ODD]


@dataclass(frozen=True, slots=True)
class Miss:
    """How balls at one target came out: 'long', 'short', 'centred' or 'not settled', and wide."""

    word: str
    wide: bool
    mean_error: float
    spread: float
    n: int


def miss(carries: Numbers, target: float, *, reach: float | None = None) -> Miss | TooLittle:
    """Is this distance missed, and how?

    Parameters
    ----------
    carries : sequence of float, length n
        Metres, all at one target.
    target : float
        Metres, above 0.
    reach : float, optional
        How closely the mean is known over its days, metres: the half width of its interval.
        Without it the balls are taken for independent, and it is two standard errors.

    Returns
    -------
    Miss, or TooLittle below 8 balls.

    Raises
    ------
    BadData
        A carry or the reach negative or not finite, or the target not positive.

    Notes
    -----
    House rule (common practice, no source): long or short if the mean error is more
    than its reach and at least 2 m or 3 %; centred if it is under that;
    wide if the spread is above 2.5 m or 7 %.
    """
    x = numbers(carries, "carries", least=0)
    if not finite(target, "target") > 0:
        raise BadData("The target must be above zero.")
    if x.size < LEAST_FOR_MISS:
        return TooLittle("A verdict needs eight balls at one target.", x.size, LEAST_FOR_MISS)
    error, spread = float(x.mean()) - target, float(x.std(ddof=1))
    large = max(2.0, 0.03 * target)
    known = 2 * spread / sqrt(x.size) if reach is None else finite(reach, "reach", least=0)
    sure = abs(error) > known
    if abs(error) < large:
        word = "centred"
    elif sure:
        word = "long" if error > 0 else "short"
    else:
        word = "not settled"
    return Miss(word, spread > max(2.5, 0.07 * target), error, spread, x.size)


def expected_miss(mean_error: float, spread: float) -> float:
    """Mean absolute miss of a normal carry, in the unit of its arguments.

    Parameters
    ----------
    mean_error : float
        Mean carry less target.
    spread : float
        Standard deviation, not negative.

    Raises
    ------
    BadData
        Not finite, or the spread negative.

    References
    ----------
    Leone, F. C., Nelson, L. S. & Nottingham, R. B. (1961). Technometrics 3, 543-550
    (folded normal distribution).

    Examples
    --------
    >>> round(expected_miss(0, 1), 6)
    0.797885
    """
    finite(mean_error, "mean error")
    finite(spread, "spread", least=0)
    if spread == 0:
        return abs(mean_error)
    ratio = mean_error / spread
    return spread * sqrt(2 / pi) * exp(-(ratio**2) / 2) + mean_error * erf(ratio / sqrt(2))


@dataclass(frozen=True, slots=True)
class Choice:
    """A swing for a target: by how much it is off on average, and how far balls end from it.

    `spread` is the one that `expected` is reckoned with.
    """

    cell: Cell
    off: float
    expected: float
    n: int
    spread: float


def best_swings(
    card: Mapping[Cell, Numbers], target: float, *, most: int = 3
) -> list[Choice] | TooLittle:
    """The swings with the smallest expected miss at a target, best first.

    Parameters
    ----------
    card : mapping of Cell to sequence of float
        Carries of each cell in metres; cells under 2 balls are left out.
    target : float
        Metres, above 0.
    most : int
        How many to give.

    Returns
    -------
    list of Choice, or TooLittle if no cell has 2 balls.

    Raises
    ------
    BadData
        A carry negative or not finite, or the target not positive.

    Notes
    -----
    The spread of a cell of few balls is drawn towards that of the whole card
    (inverse-gamma weight of five balls, house rule), so that a cell does not look
    best because its three balls happened to fall together. House rule; the expected
    miss itself is that of `expected_miss`.
    """
    if not finite(target, "target") > 0:
        raise BadData("The target must be above zero.")
    cells = {cell: numbers(balls, "carries", least=0) for cell, balls in card.items()}
    cells = {cell: balls for cell, balls in cells.items() if balls.size >= LEAST_FOR_CELL}
    if not cells:
        return TooLittle("No swing of the card has two balls yet.", 0, LEAST_FOR_CELL)
    common = _common_variance(cells)
    choices = [_choice(cell, balls, target, common) for cell, balls in cells.items()]
    return sorted(choices, key=lambda choice: (choice.expected, choice.cell))[:most]


PRIOR_BALLS = 5


def _common_variance(cells: Mapping[Cell, Array]) -> float:
    """Variance within cells, relative to the square of their mean carry."""
    squares = sum(
        float(((b - b.mean()) ** 2).sum()) / max(float(b.mean()), 1.0) ** 2 for b in cells.values()
    )
    return squares / sum(b.size - 1 for b in cells.values())


def _choice(cell: Cell, balls: Array, target: float, common: float) -> Choice:
    mean = float(balls.mean())
    own = float(((balls - mean) ** 2).sum())
    prior = PRIOR_BALLS * common * max(mean, 1.0) ** 2
    variance = (own + prior) / (balls.size - 1 + PRIOR_BALLS)
    # The mean itself is known to within its own error; that error is part of the miss.
    spread = sqrt(variance * (1 + 1 / balls.size))
    return Choice(cell, mean - target, expected_miss(mean - target, spread), balls.size, spread)


def next_ball_ellipse(
    depth: Numbers, line: Numbers, *, level: float = 0.95
) -> "Ellipse | TooLittle":
    """The ellipse that holds the next ball with this chance.

    Parameters
    ----------
    depth, line : sequence of float, length n
        Metres long (+) or short (-), and right (+) or left (-), of one swing at one target.
    level : float

    Returns
    -------
    Ellipse, or TooLittle below 10 balls.

    Raises
    ------
    BadData
        Lengths differ, values not finite, or all balls on one line.

    Notes
    -----
    The covariance is estimated from these balls, so the factor is Hotelling's and not
    chi-square's: from ten balls the textbook ellipse is 36 % too small.

    References
    ----------
    Johnson, R. A. & Wichern, D. W. (2007). Applied Multivariate Statistical Analysis, 5.4.
    """
    from scipy.special import fdtri

    x, y = numbers(depth, "depths"), numbers(line, "lines")
    share(level)
    if x.size != y.size:
        raise BadData("The lists differ in length.")
    n = x.size
    if n < 10:
        return TooLittle("An ellipse needs ten balls.", n, 10)
    values, vectors = np.linalg.eigh(np.cov(x, y))
    if values[0] <= 1e-12 * values[1]:
        raise BadData("All balls lie on one line.")
    factor = 2 * (n - 1) * (n + 1) / (n * (n - 2)) * float(fdtri(2, n - 2, level))
    angle = float(np.degrees(np.arctan2(vectors[1, 1], vectors[0, 1]))) % 180
    return Ellipse(
        float(x.mean()),
        float(y.mean()),
        sqrt(values[1] * factor),
        sqrt(values[0] * factor),
        angle,
        factor,
        n,
    )


@dataclass(frozen=True, slots=True)
class Ellipse:
    """Centre and half axes in metres; the angle of the longer axis from depth, degrees."""

    depth: float
    line: float
    longer: float
    shorter: float
    angle: float
    factor: float
    n: int
