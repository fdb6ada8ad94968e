"""Shares and counts from few observations, with intervals that stay inside what can be."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from practice.measures.answers import BadData, Estimate, TooLittle
from practice.measures.arrays import finite, share

Z80, Z95 = 1.2815515655446004, 1.959963984540054


def counts(successes: int, tries: int) -> None:
    """Raise BadData unless 0 <= successes <= tries, both whole numbers."""
    whole = all(
        isinstance(each, int | np.integer) and not isinstance(each, bool)
        for each in (successes, tries)
    )
    if not whole or not 0 <= successes <= tries:
        raise BadData("Successes must be whole and not more than the tries.")


def wilson(successes: int, tries: int, *, z: float = Z95) -> tuple[float, float] | TooLittle:
    """Score interval of a share, without continuity correction.

    Parameters
    ----------
    successes, tries : int
    z : float
        Normal quantile; 1.96 for 95 %, 1.2816 for 80 %.

    Returns
    -------
    (low, high) in [0, 1], or TooLittle with no tries.

    Raises
    ------
    BadData
        Not whole numbers, or more successes than tries.

    References
    ----------
    Newcombe, R. G. (1998). Statistics in Medicine 17, 857-872, method 3.

    Examples
    --------
    >>> low, high = wilson(81, 263)
    >>> round(low, 4), round(high, 4)
    (0.2553, 0.3662)
    """
    counts(successes, tries)
    finite(z, "normal quantile", least=0)
    if not tries:
        return TooLittle("Nothing was tried yet.", 0, 1)
    p, stretch = successes / tries, 1 + z * z / tries
    centre = (p + z * z / (2 * tries)) / stretch
    reach = z * sqrt(p * (1 - p) / tries + z * z / (4 * tries**2)) / stretch
    return max(0.0, centre - reach), min(1.0, centre + reach)


def clean_share(successes: int, tries: int, *, level: float = 0.95) -> Estimate | TooLittle:
    """A share with its Jeffreys interval, 0 at none and 1 at all.

    Raises
    ------
    BadData
        As `wilson`, or level outside (0, 1).

    References
    ----------
    Brown, L. D., Cai, T. T. & DasGupta, A. (2001). Statistical Science 16, 101-133.
    """
    from scipy.special import betaincinv

    counts(successes, tries)
    share(level)
    if not tries:
        return TooLittle("Nothing was tried yet.", 0, 1)
    tail = (1 - level) / 2
    a, b = successes + 0.5, tries - successes + 0.5
    low = 0.0 if successes == 0 else float(betaincinv(a, b, tail))
    high = 1.0 if successes == tries else float(betaincinv(a, b, 1 - tail))
    return Estimate(successes / tries, "share", low, high, tries, level)


def count_interval(count: int, *, level: float = 0.95) -> tuple[float, float]:
    """Exact interval of a Poisson mean from one count.

    Raises
    ------
    BadData
        Count negative or not whole, level outside (0, 1).

    References
    ----------
    Garwood, F. (1936). Biometrika 28, 437-442.

    Examples
    --------
    >>> low, high = count_interval(10)
    >>> round(low, 3), round(high, 2)
    (4.795, 18.39)
    """
    from scipy.special import chdtri

    counts(count, count)
    share(level)
    tail = (1 - level) / 2
    low = float(chdtri(2 * count, 1 - tail)) / 2 if count else 0.0
    return low, float(chdtri(2 * (count + 1), tail)) / 2


def chance_of_at_least(
    need: int, more: int, *, done: int, missed: int, prior: tuple[float, float] = (1.0, 1.0)
) -> float:
    """Chance of at least `need` successes in `more` tries, after these done and missed.

    Parameters
    ----------
    need, more : int
        What is still needed, and how many tries are left.
    done, missed : int
        The record so far.
    prior : (a, b)
        Beta prior, both above 0.

    Raises
    ------
    BadData
        Counts negative or not whole, prior not positive.

    References
    ----------
    Beta-binomial predictive distribution; Gelman et al. (2013). Bayesian Data
    Analysis, 2.

    Examples
    --------
    >>> round(chance_of_at_least(2, 3, done=6, missed=2), 6)
    0.763636
    """
    from scipy.stats import betabinom

    for each in (need, more, done, missed):
        counts(0, each)
    if not min(finite(each, "prior") for each in prior) > 0:
        raise BadData("Both parts of the prior must be above zero.")
    return float(betabinom.sf(need - 1, more, prior[0] + done, prior[1] + missed))


@dataclass(frozen=True, slots=True)
class Shrunk:
    """Rates drawn towards their common mean by `factor` (1 keeps them, 0 replaces them)."""

    mean: float
    factor: float
    rates: tuple[float, ...]


def shrunk_rates(rates: Sequence[float], tries: int) -> Shrunk | TooLittle:
    """Rates of several students from equally many tries, drawn towards their common mean.

    Parameters
    ----------
    rates : sequence of float in [0, 1], length k
    tries : int
        Tries behind each rate.

    Returns
    -------
    Shrunk, or TooLittle below 4 students.

    Raises
    ------
    BadData
        A rate outside [0, 1], or no tries.

    References
    ----------
    Efron, B. & Morris, C. (1977). Scientific American 236 (5), 119-127.
    """
    from practice.measures.arrays import numbers

    y = numbers(rates, "rates", least=0)
    counts(0, tries)
    if not tries or (y.size and y.max() > 1):
        raise BadData("Rates lie between 0 and 1 and stand on at least one try.")
    if y.size < 4:
        return TooLittle("Drawing rates together needs four students.", y.size, 4)
    mean = float(y.mean())
    squares = float(((y - mean) ** 2).sum())
    if squares == 0:
        return Shrunk(mean, 0.0, tuple(y.tolist()))
    factor = 1 - (y.size - 3) * mean * (1 - mean) / tries / squares
    factor = min(1.0, max(0.0, factor))
    return Shrunk(mean, factor, tuple((mean + factor * (y - mean)).tolist()))
