"""Did a test move? The difference between two stretches of it, with its interval."""

from math import sqrt

from practice.measures.answers import BadData, Estimate, TooLittle
from practice.measures.arrays import Numbers, numbers, share
from practice.measures.rates import wilson

LEAST_EACH = 2


def share_difference(
    before: tuple[int, int], now: tuple[int, int], *, level: float = 0.95
) -> Estimate | TooLittle:
    """A share now less the share before, with its interval; positive is better.

    Parameters
    ----------
    before, now : (successes, tries)
        Whole numbers, of independent tries.
    level : float
        Coverage of the interval, in (0, 1).

    Returns
    -------
    Estimate in shares of 1, `n` the tries of both, or TooLittle if either has none.

    Raises
    ------
    BadData
        Not whole numbers, more successes than tries, or level outside (0, 1).

    References
    ----------
    Newcombe, R. G. (1998). Statistics in Medicine 17, 873-890, method 10 (from the
    score interval of each share).

    Examples
    --------
    >>> found = share_difference((48, 80), (56, 70))
    >>> round(found.low, 4), round(found.high, 4)
    (0.0524, 0.3339)
    """
    from scipy.stats import norm

    z = float(norm.ppf((1 + share(level)) / 2))
    old, new = (wilson(successes, tries, z=z) for successes, tries in (before, now))
    if isinstance(old, TooLittle) or isinstance(new, TooLittle):
        return TooLittle("Both stretches need a try.", min(before[1], now[1]), 1)
    was, is_ = before[0] / before[1], now[0] / now[1]
    value = is_ - was
    low = value - sqrt((is_ - new[0]) ** 2 + (old[1] - was) ** 2)
    high = value + sqrt((new[1] - is_) ** 2 + (was - old[0]) ** 2)
    return Estimate(value, "share", low, high, before[1] + now[1], level)


def mean_difference(
    before: Numbers, now: Numbers, unit: str, *, level: float = 0.95
) -> Estimate | TooLittle:
    """A mean now less the mean before, with its interval; the spreads may differ.

    Parameters
    ----------
    before, now : sequence of float
        Independent figures of each stretch, any unit.
    unit : str
        Of the figures, and of the answer.
    level : float
        Coverage of the interval, in (0, 1).

    Returns
    -------
    Estimate, or TooLittle with fewer than 2 figures in either.

    Raises
    ------
    BadData
        A value is not finite, level outside (0, 1), or nothing varies.

    References
    ----------
    Welch, B. L. (1947). Biometrika 34, 28-35; NIST/SEMATECH e-Handbook, 1.3.5.3.
    """
    from scipy.stats import t

    old, new = numbers(before, "figures before"), numbers(now, "figures now")
    share(level)
    if min(old.size, new.size) < LEAST_EACH:
        have = min(old.size, new.size)
        return TooLittle("Both stretches need two figures.", have, LEAST_EACH)
    parts = [float(each.var(ddof=1)) / each.size for each in (old, new)]
    if sum(parts) == 0:
        raise BadData("The figures of each stretch are all the same: no spread was recorded.")
    freedom = sum(parts) ** 2 / sum(
        part**2 / (each.size - 1) for part, each in zip(parts, (old, new), strict=True)
    )
    reach = float(t.ppf((1 + level) / 2, freedom)) * sqrt(sum(parts))
    value = float(new.mean() - old.mean())
    return Estimate(value, unit, value - reach, value + reach, old.size + new.size, level)
