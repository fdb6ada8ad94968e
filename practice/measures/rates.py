"""Shares and counts from few observations, with intervals that stay inside what can be."""

from math import hypot, sqrt
from statistics import NormalDist

import numpy as np

from practice.measures.answers import BadData, Estimate, TooLittle
from practice.measures.arrays import finite, share

Z95 = 1.959963984540054


def counts(successes: int, tries: int) -> None:
    """Raise BadData unless 0 <= successes <= tries, both whole numbers."""
    whole = all(
        isinstance(each, int | np.integer) and not isinstance(each, bool)
        for each in (successes, tries)
    )
    if not whole or not 0 <= successes <= tries:
        raise BadData("Successes must be whole and not more than the tries.")


def score_interval(share: float, tries: float, z: float = Z95) -> tuple[float, float]:
    """Score interval of a share, without continuity correction.

    Parameters
    ----------
    share : float in [0, 1]
    tries : float
        How many independent ones it is worth, above 0; need not be whole.
    z : float
        Quantile of the normal, or of Student's t.

    Returns
    -------
    (low, high) in [0, 1]

    Raises
    ------
    BadData
        A share outside [0, 1], no tries, or a quantile below 0.

    References
    ----------
    Newcombe, R. G. (1998). Statistics in Medicine 17, 857-872, method 3.

    Examples
    --------
    >>> low, high = score_interval(81 / 263, 263)
    >>> round(low, 4), round(high, 4)
    (0.2553, 0.3662)
    """
    finite(z, "normal quantile", least=0)
    if not finite(tries, "tries") > 0 or not 0 <= finite(share, "share") <= 1:
        raise BadData("A share lies between 0 and 1 and stands on something.")
    stretch = 1 + z * z / tries
    centre = (share + z * z / (2 * tries)) / stretch
    reach = z * sqrt(share * (1 - share) / tries + z * z / (4 * tries**2)) / stretch
    return max(0.0, centre - reach), min(1.0, centre + reach)


def score_difference(
    successes: int, tries: int, others: int, other_tries: int, *, level: float = 0.95
) -> Estimate:
    """How much larger one share is than another, of two independent groups.

    Parameters
    ----------
    successes, tries, others, other_tries : int
        Of the group that may be larger, and of the one it is compared with.
    level : float in (0, 1), optional
        Of the interval, which is built from the score interval of each share.

    Returns
    -------
    Estimate
        In shares, between -1 and 1.

    Raises
    ------
    BadData
        Not whole numbers, more successes than tries, or none tried in a group.

    References
    ----------
    Newcombe, R. G. (1998). Statistics in Medicine 17, 873-890, method 10.
    """
    counts(successes, tries)
    counts(others, other_tries)
    z = NormalDist().inv_cdf(0.5 + share(level) / 2)
    if not tries or not other_tries:
        raise BadData("A share stands on something in both groups.")
    one, two = successes / tries, others / other_tries
    (low1, high1), (low2, high2) = (
        score_interval(one, tries, z),
        score_interval(two, other_tries, z),
    )
    down, up = hypot(one - low1, high2 - two), hypot(high1 - one, two - low2)
    many = tries + other_tries
    return Estimate(one - two, "share", one - two - down, one - two + up, many, level)


def clean_share(successes: int, tries: int, *, level: float = 0.95) -> Estimate | TooLittle:
    """A share with its Jeffreys interval, 0 at none and 1 at all.

    Raises
    ------
    BadData
        Not whole numbers, more successes than tries, or level outside (0, 1).

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
