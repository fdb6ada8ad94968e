"""Days, not balls: figures over several days, of which each has its own form.

Balls of one day are not independent: a second day tells more than ten more balls. Every
level here counts the spread between days with the spread within one.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import sqrt
from statistics import median

import numpy as np
from numpy.typing import NDArray

from practice.measures.answers import Estimate, TooLittle
from practice.measures.arrays import Array, Numbers, numbers, share
from practice.measures.grain import grain_of
from practice.measures.rates import counts, score_interval
from practice.measures.usual import USUAL_BALLS, USUAL_REPS, DaySpread

# A normal sample of n: the variance of its median is near pi / (2 (n + pi/2 - 1)) of one value's.
_MEDIAN = np.pi / 2
_OF_MEDIAN_DISTANCE = 0.37


@dataclass(frozen=True, slots=True)
class DayLevel:
    """A level over days, and what it stands on; spreads in the unit of the data.

    `estimate.n` counts balls, `balls` those of each day.
    """

    estimate: Estimate
    balls: tuple[int, ...]
    between: float
    within: float
    freedom: float

    @property
    def days(self) -> int:
        return len(self.balls)

    @property
    def half(self) -> float:
        return (self.estimate.high - self.estimate.low) / 2

    @property
    def error(self) -> float:
        """The standard error, with days in it."""
        return self.half / _quantile(self.freedom, self.estimate.level)

    def with_days(self, more: int) -> float:
        """The half width after so many more days of a usual number of balls."""
        usual = float(np.median(self.balls))
        return self._half_of([*self.balls, *[usual] * more], self.freedom + more)

    def with_balls(self, more: int) -> float:
        """The half width after so many more balls on the last day."""
        return self._half_of([*self.balls[:-1], self.balls[-1] + more], self.freedom)

    def days_until(self, within: float, most: int = 60) -> int | None:
        """How many more usual days until it is known to plus or minus this; None: over `most`."""
        found = (more for more in range(most + 1) if self.with_days(more) <= within)
        return next(found, None)

    def _half_of(self, balls: Sequence[float], freedom: float) -> float:
        now, then = (_error(self, np.array(each, np.float64)) for each in (self.balls, balls))
        quantiles = (_quantile(each, self.estimate.level) for each in (freedom, self.freedom))
        return self.half * sqrt(then / now) * next(quantiles) / next(quantiles)


def level_over_days(
    days: Sequence[Numbers],
    unit: str,
    usual: DaySpread = USUAL_BALLS,
    *,
    coarsest: float = 0.0,
    level: float = 0.95,
) -> DayLevel | TooLittle:
    """The usual figure of a student whose days differ, from the median of each day.

    Parameters
    ----------
    days : sequence of sequences of float
        The balls of each day in time order, any unit; empty days are left out.
    unit : str
    usual : DaySpread
    coarsest : float
        The coarsest step in which they are typed, in their unit; see `grain_of`.
    level : float
        Coverage of the interval, in (0, 1).

    Returns
    -------
    DayLevel, or TooLittle below 3 balls.

    Raises
    ------
    BadData
        A value is not finite, or `level` is outside (0, 1).

    Notes
    -----
    Each day weighs 1 / (between^2 + variance of its median). The variance of the weighted
    mean is that of Hartung and Knapp, (sum of w (m - mean)^2) / ((k - 1) sum of w), with what
    is known beforehand joined as `usual.freedom` days that differ just as much as expected
    (house rule), and Student's t, whose freedom counts too how well the balls tell their own
    spread. With nothing known beforehand it is theirs exactly.

    References
    ----------
    Hartung, J. & Knapp, G. (2001). Statistics in Medicine 20, 3875-3889; Sidik, K. &
    Jonkman, J. N. (2002). Statistics in Medicine 21, 3153-3159; Satterthwaite, F. E. (1946).
    Biometrics Bulletin 2, 110-114.

    Examples
    --------
    >>> one = level_over_days([[58, 60, 61, 59, 62, 60, 57, 61, 60, 59]], "m")
    >>> three = level_over_days([[58, 60, 61], [59, 62, 60], [57, 61, 60, 59]], "m")
    >>> one.half > three.half
    True
    """
    groups = [each for each in (numbers(day, "values of a day") for day in days) if each.size]
    share(level)
    n = sum(each.size for each in groups)
    if n < LEAST_BALLS:
        return TooLittle("A level needs three balls.", n, LEAST_BALLS)
    grain = grain_of(np.concatenate(groups), coarsest)
    middles = np.array([_middle(each) for each in groups])
    sizes = np.array([each.size for each in groups])
    spread, told = _within(np.concatenate(groups), sizes, middles)
    within = sqrt(spread + grain**2)
    if within == 0:
        return TooLittle("No spread was recorded.", n, n + 1)
    own = within**2 * of_median(sizes.astype(np.float64))
    between = between_days(middles, own, usual, usual.ratio * within)
    mean, error, whole = weighted_mean(middles, own + between**2, usual)
    freedom = _freedom_of(whole, usual, told)
    reach = _quantile(freedom, level) * error
    estimate = Estimate(mean, unit, mean - reach, mean + reach, n, level)
    return DayLevel(estimate, tuple(each.size for each in groups), between, within, freedom)


LEAST_BALLS = 3


def _freedom_of(whole: float, usual: DaySpread, told: float) -> float:
    """Degrees of freedom of a level's error, whose balls' spread has so much freedom itself.

    Days are known beforehand to differ by so many spreads of a ball. The less the days
    themselves tell, the more hangs on that spread, and of one day its few balls alone tell it.
    Squared relative errors, 2 / freedom each, add up (Satterthwaite 1946, Biometrics
    Bulletin 2, 110-114).
    """
    known = usual.freedom / whole
    return 1 / (1 / whole + known**2 / max(1.0, told))


def of_median(sizes: Array) -> Array:
    """Variance of the median of so many normal values, each of variance 1.

    House rule: pi / (2 (n + pi/2 - 1)), which is exact for one and for very many.
    """
    found: Array = _MEDIAN / (sizes + _MEDIAN - 1)
    return found


def _within(balls: Array, sizes: NDArray[np.int64], middles: Array) -> tuple[float, float]:
    """Variance of a ball about its own day, at most twice that of the usual balls, and its
    degrees of freedom: the median of the distances tells as much as 0.37 of as many balls
    (Rousseeuw, P. J. & Croux, C. 1993. J. Am. Stat. Assoc. 88, 1273-1283).

    `balls` of all days in a row, with how many are of each and the median of each.
    """
    parted = sizes > 1
    if not parted.any():
        return float(balls.var(ddof=1)) / 2, 1.0
    away = np.abs(balls - np.repeat(middles, sizes))[np.repeat(parted, sizes)]
    freedom = away.size - int(parted.sum())
    means = np.add.reduceat(balls, np.cumsum(sizes) - sizes) / sizes
    plain = float(((balls - np.repeat(means, sizes)) ** 2).sum()) / freedom
    robust = (1.4826 * float(np.median(away))) ** 2 * away.size / freedom
    if robust and 2 * robust < plain:
        return 2 * robust, _OF_MEDIAN_DISTANCE * freedom
    return plain, float(freedom)


def _middle(balls: Array) -> float:
    """The median; of the few balls of a day in a tenth of the time that NumPy takes."""
    return float(median(balls.tolist()))


def between_days(middles: Array, own: Array, usual: DaySpread, known: float) -> float:
    """Standard deviation between days: the moment estimate joined with what is `known`.

    House rule: what is known counts as `usual.freedom` days of one's own.
    """
    k = middles.size
    if k < 2:
        return known
    excess = float(middles.var(ddof=1)) - float(own.mean())
    joined = ((k - 1) * max(excess, 0.0) + usual.freedom * known**2) / (k - 1 + usual.freedom)
    return sqrt(joined)


def weighted_mean(middles: Array, variances: Array, usual: DaySpread) -> tuple[float, float, float]:
    """Mean over days, its standard error, and the degrees of freedom of that.

    References: Hartung & Knapp (2001), as `level_over_days`.
    """
    weights = 1 / variances
    first = float(middles[0])  # Of one day its own figure, to the last digit.
    mean = first + float((weights * (middles - first)).sum() / weights.sum())
    freedom = middles.size - 1 + usual.freedom
    squares = float((weights * (middles - mean) ** 2).sum())
    scale = (squares + usual.freedom) / freedom
    w = weights / weights.sum()
    error = sqrt(scale * alike_variance(w * np.sqrt(variances), usual.alike))
    return mean, error, freedom


def alike_variance(parts: Array, alike: float) -> float:
    """Variance of a sum of day figures with these standard deviations as its parts.

    Neighbouring days correlate as `alike_days` has it (House rule).
    """
    return float(parts @ alike_days(parts.size, alike) @ parts)


def alike_days(days: int, alike: float) -> Array:
    """Correlations of days in a row: `alike` from one to the next, and its powers (House rule)."""
    return (_kept if days <= MOST_KEPT else _alike_days)(days, alike)


def _alike_days(days: int, alike: float) -> Array:
    apart = np.abs(np.subtract.outer(np.arange(days), np.arange(days)))
    found: Array = alike ** apart.astype(np.float64)
    found.flags.writeable = False
    return found


# Many students have as many days, and it takes longer than what it is for. Those of years are
# not kept: of a thousand days it is eight megabytes.
MOST_KEPT = 100
_kept = lru_cache(maxsize=128)(_alike_days)


def _quantile(freedom: float, level: float) -> float:
    from scipy.special import stdtrit

    return float(stdtrit(freedom, (1 + level) / 2))


def _error(found: DayLevel, balls: Array) -> float:
    """Variance of a level that stands on so many balls a day, with these spreads."""
    days = found.between**2 + found.within**2 * of_median(balls)
    return 1 / float((1 / days).sum())


@dataclass(frozen=True, slots=True)
class DayShare:
    """A share over days. `worth`: of how many independent tries it is worth, at most all."""

    estimate: Estimate
    days: int
    worth: float
    freedom: float


def share_over_days(
    days: Sequence[tuple[int, int]], usual: DaySpread = USUAL_REPS, *, level: float = 0.95
) -> DayShare | TooLittle:
    """A share of tries on several days, of which each has its own form.

    Parameters
    ----------
    days : sequence of (successes, tries)
        One pair a day in time order; days without a try are left out.
    usual : DaySpread
    level : float

    Returns
    -------
    DayShare, the estimate in shares of 1, or TooLittle without a try.

    Raises
    ------
    BadData
        Not whole numbers, more successes than tries, or level outside (0, 1).

    Notes
    -----
    The variance between days, from the days themselves joined with what is known
    beforehand, makes the tries of a day worth fewer independent ones (the design effect);
    the interval is Wilson's on that worth, with Student's t in place of the normal
    quantile.

    References
    ----------
    Rao, J. N. K. & Scott, A. J. (1992). Biometrics 48, 577-585 (effective sample size of
    clustered binary data); Korn, E. L. & Graubard, B. I. (1998). Survey Methodology 24,
    193-201; Newcombe (1998) as
    `score_interval`.

    Examples
    --------
    >>> one, four = share_over_days([(8, 40)]), share_over_days([(2, 10)] * 4)
    >>> one.worth < four.worth
    True
    """
    for successes, tries in days:
        counts(successes, tries)
    share(level)
    kept = [(successes, tries) for successes, tries in days if tries]
    if not kept:
        return TooLittle("Nothing was tried yet.", 0, 1)
    clean, of = (np.array(each, dtype=np.float64) for each in zip(*kept, strict=True))
    p = float(clean.sum() / of.sum())
    worth = effective_tries(clean, of, usual)
    freedom = of.size - 1 + usual.freedom
    low, high = score_interval(p, worth, _quantile(freedom, level))
    return DayShare(Estimate(p, "share", low, high, int(of.sum()), level), of.size, worth, freedom)


def effective_tries(clean: Array, tries: Array, usual: DaySpread) -> float:
    """Of how many independent tries these are worth, at most all of them.

    References: Rao & Scott (1992), as `share_over_days`.
    """
    p = (float(clean.sum()) + 0.5) / (float(tries.sum()) + 1)
    known = usual.ratio**2 / (1 + usual.ratio**2)
    like = known
    if tries.size > 1:
        total = float(tries.sum())
        usual_size = (total - float((tries**2).sum()) / total) / (tries.size - 1)
        squares = float((tries * (clean / tries - p) ** 2).sum()) / (tries.size - 1)
        own = (squares / (p * (1 - p)) - 1) / max(usual_size - 1, 1.0)
        own = min(max(own, 0.0), 1.0)
        like = ((tries.size - 1) * own + usual.freedom * known) / (tries.size - 1 + usual.freedom)
    # Variance of the pooled share, in units of p (1 - p): each day's own and the days' likeness.
    w = tries / tries.sum()
    between = alike_variance(w * sqrt(like), usual.alike)
    within = float((w**2 * (1 - like) / tries).sum())
    return min(float(tries.sum()), 1 / (between + within))
