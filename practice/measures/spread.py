"""How much of the scatter is from session to session, and how much within a session."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log, sqrt

import numpy as np

from practice.measures.answers import BadData, Estimate, TooLittle
from practice.measures.arrays import Array, Numbers, numbers, share
from practice.measures.roots import root

LEAST_SESSIONS = 3


@dataclass(frozen=True, slots=True)
class Components:
    """Variances between and within sessions, in the squared unit of the data.

    `between` is never negative; `between_anova` is the unbiased estimate, which may be,
    and then says that the between-session spread cannot be told from zero.
    """

    mean: float
    between: float
    within: float
    between_anova: float
    sessions: int
    n: int
    restricted_deviance: float

    @property
    def distinguishable(self) -> bool:
        return self.between_anova > 0


def components(sessions: Sequence[Numbers]) -> Components | TooLittle:
    """Between- and within-session variance by REML; sessions may differ in size.

    Parameters
    ----------
    sessions : sequence of sequences of float
        The values of each session, any unit. Empty sessions are left out.

    Returns
    -------
    Components, or TooLittle
        TooLittle with fewer than 3 sessions, or if no session has two values.

    Raises
    ------
    BadData
        A value is not finite.

    Notes
    -----
    Model y = mean + session + error. Balanced data with a positive ANOVA estimate
    give the ANOVA answer exactly; otherwise the restricted likelihood is profiled
    over the ratio of the two variances, with 0 as its lowest value.

    References
    ----------
    Davies, O. L. & Goldsmith, P. L. (1972). Statistical Methods in Research and
    Production, 6.4; Searle, Casella & McCulloch (1992). Variance Components.
    """
    groups = [
        group for group in (numbers(each, "values of a session") for each in sessions) if group.size
    ]
    sizes = np.array([group.size for group in groups])
    if len(groups) < LEAST_SESSIONS or (sizes < 2).all():
        return TooLittle("Spread needs more sessions of at least two.", len(groups), LEAST_SESSIONS)
    within_squares = sum(float(((group - group.mean()) ** 2).sum()) for group in groups)
    anova = _anova(groups, sizes, within_squares)
    ratio = _best_ratio(groups, sizes, within_squares)
    mean, within, deviance = _profile(ratio, groups, sizes, within_squares)
    return Components(mean, ratio * within, within, anova, len(groups), int(sizes.sum()), deviance)


def _anova(groups: list[Array], sizes: Array, within_squares: float) -> float:
    total, count = int(sizes.sum()), len(groups)
    grand = sum(float(group.sum()) for group in groups) / total
    between_squares = sum(g.size * (float(g.mean()) - grand) ** 2 for g in groups)
    usual_size = (total - float((sizes**2).sum()) / total) / (count - 1)
    between_mean = between_squares / (count - 1)
    within_mean = within_squares / (total - count)
    return (between_mean - within_mean) / usual_size


def _profile(
    ratio: float, groups: list[Array], sizes: Array, within_squares: float
) -> tuple[float, float, float]:
    """Mean, within-session variance and deviance at one ratio of the variances."""
    means = np.array([group.mean() for group in groups])
    weights = sizes / (1 + sizes * ratio)
    mean = float((weights * means).sum() / weights.sum())
    squares = within_squares + float((weights * (means - mean) ** 2).sum())
    freedom = int(sizes.sum()) - 1
    within = squares / freedom
    deviance = freedom * (log(2 * np.pi * within) + 1) + float(np.log1p(sizes * ratio).sum())
    deviance += log(float(weights.sum()))
    return mean, within, deviance


def _best_ratio(groups: list[Array], sizes: Array, within_squares: float) -> float:
    """The ratio of variances at which the slope of the restricted deviance is zero."""
    if within_squares == 0:
        raise BadData("All values within each session are the same: no spread was recorded.")
    means = np.array([group.mean() for group in groups])
    freedom = int(sizes.sum()) - 1

    def slope(ratio: float) -> float:
        weights = sizes / (1 + sizes * ratio)
        away = means - (weights * means).sum() / weights.sum()
        squares = within_squares + (weights * away**2).sum()
        fit = freedom * ((weights * away) ** 2).sum() / squares
        return float(weights.sum() - (weights**2).sum() / weights.sum() - fit)

    if slope(0.0) >= 0:
        return 0.0
    high = 1.0
    while slope(high) < 0:
        high *= 4
        if high > 1e12:
            raise BadData("The values within sessions do not differ enough to tell.")
    return root(slope, 0.0, high)


def spread(values: Numbers, unit: str, *, level: float = 0.95) -> Estimate | TooLittle:
    """Standard deviation with its chi-square interval.

    Parameters
    ----------
    values : sequence of float, length n
        Independent figures, for example one per session.
    unit : str
        The unit of the values, and of the answer.
    level : float
        Coverage of the interval, in (0, 1).

    Returns
    -------
    Estimate, or TooLittle below 3 values.

    Raises
    ------
    BadData
        A value is not finite, or `level` is outside (0, 1).

    Notes
    -----
    From 5 values the interval runs from 0.60 to 2.87 times the estimate: almost useless.

    References
    ----------
    NIST/SEMATECH e-Handbook, 1.3.5.8 (chi-square test for the standard deviation).
    """
    from scipy.special import chdtri

    x = numbers(values)
    share(level)
    if x.size < 3:
        return TooLittle("A spread needs three values.", x.size, 3)
    sd, freedom, tail = float(x.std(ddof=1)), x.size - 1, (1 - level) / 2
    low, high = (sd * sqrt(freedom / float(chdtri(freedom, p))) for p in (tail, 1 - tail))
    return Estimate(sd, unit, low, high, x.size, level)
