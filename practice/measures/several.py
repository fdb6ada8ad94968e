"""Several figures beside each other: which pairs differ, and how much of the worst is chance."""

from dataclasses import dataclass
from functools import cache
from math import sqrt

import numpy as np

from practice.measures.answers import BadData, TooLittle
from practice.measures.arrays import Array, Numbers, finite, numbers, same_length

LEAST_SEVERAL = 3


def beyond_range(q: float, groups: int, freedom: float) -> float:
    """The chance that a studentised range is beyond q though no group differs.

    Parameters
    ----------
    q : float
        The largest difference of two means over the standard error of one, 0 or more.
    groups : int
        Of how many means, at least 2.
    freedom : float
        Degrees of freedom of the error, above 0.

    Raises
    ------
    BadData
        q below 0, fewer than two groups, or no freedom.

    Notes
    -----
    By quadrature: over the least of the means, and over the error. Not
    `scipy.stats.studentized_range`, which says the same: `scipy.stats` takes 46 MB of each
    worker.

    References
    ----------
    Pearson, E. S. & Hartley, H. O. (1966). Biometrika Tables for Statisticians I, table 29.

    Examples
    --------
    >>> round(beyond_range(3.877, 3, 10), 3)
    0.05
    """
    from scipy.special import chdtri, gammaln, ndtr

    finite(q, "range", least=0)
    if not finite(groups, "groups") >= 2 or not finite(freedom, "freedom") > 0:
        raise BadData("A range is of two groups at least, with some freedom.")
    least, weights = _grid(-8.0, 8.0)
    density = np.exp(-(least**2) / 2) / sqrt(2 * np.pi) * weights
    # Twice half the freedom times the square of the error is chi-square.
    ends = (sqrt(float(chdtri(freedom, p)) / freedom) for p in (1 - 1e-12, 1e-12))
    error, of_error = _grid(*ends)
    logs = (freedom - 1) * np.log(error) - freedom * error**2 / 2
    logs += np.log(2) + freedom / 2 * np.log(freedom / 2) - gammaln(freedom / 2)
    within = ndtr(least[:, None] + q * error) - ndtr(least)[:, None]
    inside = groups * density @ np.clip(within, 0.0, 1.0) ** (groups - 1)
    return float(min(1.0, max(0.0, 1 - inside @ (np.exp(logs) * of_error))))


def _grid(low: float, high: float) -> tuple[Array, Array]:
    """Places and weights of Gauss and Legendre between two ends."""
    places, weights = _rule()
    half = (high - low) / 2
    return low + half * (places + 1), half * weights


@cache
def _rule() -> tuple[Array, Array]:
    """Of 96 places between -1 and 1: thirty milliseconds, and the same every time."""
    places, weights = np.polynomial.legendre.leggauss(96)
    return places, weights


def chance_alike(
    difference: float, errors: tuple[float, float], groups: int, freedom: float
) -> float:
    """The chance of so large a difference between any two of several that do not differ.

    Parameters
    ----------
    difference : float
        Of the means of one pair, any unit.
    errors : (float, float)
        Their standard errors, same unit, above 0.
    groups : int
        How many means were compared with each other.
    freedom : float
        Degrees of freedom of the errors.

    Raises
    ------
    BadData
        An error not above 0, or as `beyond_range`.

    References
    ----------
    Kramer, C. Y. (1956). Biometrics 12, 307-310 (Tukey's test with unequal errors); Games,
    P. A. & Howell, J. F. (1976). J. Educational Statistics 1, 113-125 (each with its own).
    """
    if not min(finite(each, "standard error") for each in errors) > 0:
        raise BadData("The standard errors must be above zero.")
    one, other = errors
    q = abs(finite(difference, "difference")) / sqrt((one**2 + other**2) / 2)
    return beyond_range(q, groups, freedom)


def drawn_in(figures: Numbers, variances: Numbers) -> tuple[float, ...] | TooLittle:
    """What each of several figures would come back to by itself: the worst is partly chance.

    Parameters
    ----------
    figures : sequence of float, length k
        One of each part or distance, any unit.
    variances : sequence of float, length k
        Of each, above 0, squared unit.

    Returns
    -------
    tuple of float, or TooLittle below three figures.

    Raises
    ------
    BadData
        Lengths differ, a value not finite, or a variance not above 0.

    Notes
    -----
    Each is drawn towards the mean of all, by what of their spread is chance; how far they
    truly differ is the moment estimate of DerSimonian and Laird.

    References
    ----------
    Robinson, G. K. (1991). Statistical Science 6, 15-32; DerSimonian, R. & Laird, N. (1986).
    Controlled Clinical Trials 7, 177-188.

    Examples
    --------
    >>> [round(each, 1) for each in drawn_in([4.0, 0.0, -1.0, 1.0], [2.0] * 4)]
    [2.7, 0.4, -0.1, 1.0]
    """
    x, v = numbers(figures, "figures"), numbers(variances, "variances", least=0)
    same_length(x, v)
    if x.size < LEAST_SEVERAL:
        return TooLittle("Three figures show how far such figures differ.", x.size, LEAST_SEVERAL)
    if v.min() <= 0:
        raise BadData("The variances must be above zero.")
    found = random_effects(x, v)
    drawn = found.mean + found.between / (found.between + v) * (x - found.mean)
    return tuple(drawn.tolist())


@dataclass(frozen=True, slots=True)
class RandomEffects:
    """The mean of figures that truly differ by the variance `between`."""

    mean: float
    between: float


def random_effects(figures: Array, variances: Array) -> RandomEffects:
    """The moment estimate of how far several figures differ, and their mean.

    Figures in any unit, each with its variance above 0.

    References
    ----------
    DerSimonian & Laird (1986), as `drawn_in`.
    """
    w = 1 / variances
    away = figures - float((w * figures).sum() / w.sum())
    excess = float((w * away**2).sum()) - (figures.size - 1)
    between = max(0.0, excess / float(w.sum() - (w**2).sum() / w.sum()))
    weights = 1 / (between + variances)
    return RandomEffects(float((weights * figures).sum() / weights.sum()), between)
