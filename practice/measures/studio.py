"""How much days differ by themselves, learnt from everybody who is taught in one place.

One student's first days say next to nothing about how far his days differ. Those of the
others say much: what they show is known beforehand of every one of them.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import repeat
from math import exp, sqrt

import numpy as np

from practice.measures.answers import BadData
from practice.measures.arrays import Array, Numbers, finite, numbers, same_length
from practice.measures.days import alike_days, of_median
from practice.measures.rates import counts
from practice.measures.roots import root
from practice.measures.usual import DaySpread

# A line is taken off each: what is left of fewer days than these tells nothing.
LEAST_DAYS = 5
MOST_DAYS = 40
LEAST_STUDENTS = 4
# What the house knows counts for so many students, and so many pairs of neighbouring days
# (house rules).
HOUSE_STUDENTS, HOUSE_PAIRS, HOUSE_PAIRS_OF_TRIES = 4, 20, 10
MOST_ALIKE = 0.9
_LEAST_RATIO = 1e-3


@dataclass(frozen=True, slots=True)
class DaySeries:
    """Day figures of one student in time order, what is straight in them taken off.

    `errors` is the variance that each has from its few balls, in the figures' unit squared.
    """

    figures: Array
    errors: Array
    _off: Array = field(init=False, repr=False)

    def __post_init__(self) -> None:
        same_length(self.figures, self.errors)
        if self.figures.size < LEAST_DAYS:
            raise BadData("Days of one student need to be five at least.")
        places = np.arange(self.figures.size, dtype=np.float64)
        design = np.column_stack([np.ones_like(places), places])
        projection = design @ np.linalg.inv(design.T @ design) @ design.T
        object.__setattr__(self, "_off", np.eye(places.size) - projection)

    @property
    def left(self) -> Array:
        return self._off @ self.figures

    def covariance(self, between: float, alike: float) -> Array:
        """Of what is left, where days differ by the variance `between` and are so alike."""
        whole = between * alike_days(self.figures.size, alike) + np.diag(self.errors)
        found: Array = self._off @ whole @ self._off
        return found


def series_of_figures(figures: Numbers) -> DaySeries | None:
    """Of one figure a test day, any unit; None below five days. House rule."""
    x = numbers(figures, "day figures")[-MOST_DAYS:]
    return DaySeries(x, np.zeros_like(x)) if x.size >= LEAST_DAYS else None


def series_of_balls(days: Sequence[Numbers], *, of_medians: bool) -> DaySeries | None:
    """Of balls day by day, in units of the spread of a ball within a day.

    None below five days, or where the balls of no day differ. House rule: medians or means,
    as the claim that is made of them takes.
    """
    groups = [each for each in (numbers(day, "balls of a day") for day in days) if each.size]
    groups = groups[-MOST_DAYS:]
    sizes = np.array([float(each.size) for each in groups])
    spare = float(sizes.sum()) - sizes.size
    squares = sum(float(((each - each.mean()) ** 2).sum()) for each in groups)
    if len(groups) < LEAST_DAYS or not spare or not squares:
        return None
    middle = np.median if of_medians else np.mean
    within = sqrt(squares / spare)
    figures = np.array([float(middle(each)) / within for each in groups])
    return DaySeries(figures, of_median(sizes) if of_medians else 1 / sizes)


def series_of_shares(days: Sequence[tuple[float, int]]) -> DaySeries | None:
    """Of successes of tries day by day, in units of the spread of one try. House rule.

    None below five days with a try, or where all or none succeeded. Successes need not be
    whole, as `change_of_shares` says.
    """
    for successes, tries in days:
        finite(successes, "successes")
        counts(0, tries)
    kept = [(successes, tries) for successes, tries in days if tries][-MOST_DAYS:]
    if len(kept) < LEAST_DAYS:
        return None
    clean, of = (np.array(each, dtype=np.float64) for each in zip(*kept, strict=True))
    p = float(clean.sum() / of.sum())
    if not 0 < p < 1:
        return None
    return DaySeries(clean / of / sqrt(p * (1 - p)), 1 / of)


def spread_of_days(
    found: Sequence[DaySeries], house: DaySpread, *, of_tries: bool = False
) -> DaySpread:
    """How days of students in one place differ, as known beforehand of each of them.

    Parameters
    ----------
    found : sequence of Series
        One of each student (or of each of his swings), all in one unit.
    house : DaySpread
        What is known without them, in the same unit.
    of_tries : bool
        They are shares of tries, of which a day has few.

    Returns
    -------
    DaySpread
        The house's own below four.

    Notes
    -----
    A straight line is taken off each series, so that who improves steadily does not count
    for one whose days differ. Spread and likeness are those at which the sum of squares and
    the sum of products of neighbours of what is left equal their expectations, which an
    autoregression of order 1 gives exactly, however short the series (method of moments).
    How much the students differ among themselves in spread gives the degrees of freedom for
    which it stands, by `prior_of`. The house's own counts on as six days, four students and
    twenty pairs of neighbours (house rules). Few tries hide what neighbours have in common: there
    a pair counts for what is seen of it, the house's as ten, and days that differ less than the
    house has it are taken for less alike in proportion (house rules; of how far balls end off, 12
    of 100 gains worth having were so said not to be there: see `manage.py evaluate_claims`).

    References
    ----------
    Smyth, G. K. (2004). Statistical Applications in Genetics and Molecular Biology 3 (1),
    article 3; for the bias that is so avoided: Marriott, F. H. C. & Pope, J. A. (1954).
    Biometrika 41, 390-402.
    """
    if len(found) < LEAST_STUDENTS:
        return house
    alike = _alike(found, house, of_tries=of_tries)
    between = _between(found, alike)
    expected = [each.covariance(between, alike) for each in found]
    sizes = np.array([float(np.trace(each)) for each in expected])
    freedoms = sizes**2 / np.array([float((each * each).sum()) for each in expected])
    ratios = np.array([float(each.left @ each.left) for each in found]) / sizes
    scale, freedom = prior_of(np.maximum(ratios, _LEAST_RATIO), freedoms)
    own, days = len(found), float(freedoms.sum())
    spread = (days * scale * between + house.freedom * house.ratio**2) / (days + house.freedom)
    worth = (own / freedom + HOUSE_STUDENTS / house.freedom) / (own + HOUSE_STUDENTS)
    return DaySpread(sqrt(spread), min(1 / worth, days + house.freedom), alike, own)


def _between(found: Sequence[DaySeries], alike: float) -> float:
    """The variance between days at which the squares are those expected, 0 at least."""
    squares = sum(float(each.left @ each.left) for each in found)
    errors = sum(float(np.trace(each.covariance(0.0, alike))) for each in found)
    parts = sum(
        float(np.trace(each.covariance(1.0, alike) - each.covariance(0.0, alike))) for each in found
    )
    return max(0.0, (squares - errors) / parts)


def _alike(found: Sequence[DaySeries], house: DaySpread, *, of_tries: bool) -> float:
    """Correlation of neighbouring days, with the house's own joined as so many pairs."""
    seen = sum(float(each.left[1:] @ each.left[:-1]) for each in found)

    def short(alike: float) -> float:
        between = _between(found, alike)
        expected = (np.trace(each.covariance(between, alike), offset=1) for each in found)
        return seen - float(sum(expected))

    low, high = short(-MOST_ALIKE), short(MOST_ALIKE)
    if low <= 0 or high >= 0:
        own = -MOST_ALIKE if low <= 0 else MOST_ALIKE
    else:
        own = root(short, -MOST_ALIKE, MOST_ALIKE, within=1e-4)
    pairs: float = sum(each.figures.size - 1 for each in found)
    house_pairs, known = HOUSE_PAIRS, house.alike
    if of_tries:
        between = _between(found, own)
        pairs = sum(map(_pairs_worth, found, repeat(between)))
        house_pairs = HOUSE_PAIRS_OF_TRIES
        known *= min(1.0, between / house.ratio**2) if house.ratio else 1.0
    joined = (pairs * own + house_pairs * known) / (pairs + house_pairs)
    return min(max(joined, 0.0), MOST_ALIKE)


def _pairs_worth(series: DaySeries, between: float) -> float:
    """How many pairs of neighbouring days, known without the error of their few balls, tell as
    much of likeness."""
    parts = between / (between + series.errors) if between else np.zeros_like(series.errors)
    return float((parts[1:] * parts[:-1]).sum())


def prior_of(variances: Numbers, freedoms: Numbers) -> tuple[float, float]:
    """The prior of a variance, as a scaled inverse chi-square, from several estimates of such.

    Parameters
    ----------
    variances : sequence of float, above 0
        One estimate of each student, any unit.
    freedoms : sequence of float, above 0
        Its degrees of freedom.

    Returns
    -------
    (scale, freedom)
        In the unit of the variances; the freedom is infinite where they differ by chance alone.

    Raises
    ------
    BadData
        Fewer than two, different numbers of them, or one not above 0.

    References
    ----------
    Smyth, G. K. (2004), as `spread_of_days`, section 6.2: moments of log F.
    """
    from scipy.special import digamma, polygamma

    x, d = numbers(variances, "variances", least=0), numbers(freedoms, "freedoms", least=0)
    same_length(x, d)
    if x.size < 2 or min(x.min(), d.min()) <= 0:
        raise BadData("A prior takes two variances above zero, and their freedoms.")
    logs = np.log(x) - digamma(d / 2) + np.log(d / 2)
    excess = float(logs.var(ddof=1) - polygamma(1, d / 2).mean())
    if excess <= 0:
        return float(np.average(x, weights=d)), float("inf")
    half = trigamma_at(excess)
    return exp(float(logs.mean() + digamma(half)) - float(np.log(half))), 2 * half


def trigamma_at(value: float) -> float:
    """Where the trigamma function has this value, above 0.

    References
    ----------
    Smyth, G. K. (2004), as `spread_of_days`, appendix: Newton's steps on its reciprocal.

    Examples
    --------
    >>> round(trigamma_at(1.6449340668), 6)
    1.0
    """
    from scipy.special import polygamma

    if not finite(value, "value") > 0:
        raise BadData("The trigamma function is above zero.")
    y = 0.5 + 1 / value
    for _ in range(100):
        tri = float(polygamma(1, y))
        step = tri * (1 - tri / value) / float(polygamma(2, y))
        y += step
        if -step / y < 1e-10:
            break
    return y
