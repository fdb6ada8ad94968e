"""A diary's weight: how far what somebody says he did runs above what was counted.

Pairs of the same visit or set, said and checked, give a ratio a student; students of one
place lend each other what few pairs cannot tell.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, sqrt

import numpy as np

from practice.measures.answers import BadData, Estimate, TooLittle
from practice.measures.arrays import Array, Numbers, numbers, share
from practice.measures.several import LEAST_SEVERAL, random_effects

Pair = tuple[float, float]
LEAST_CHECKS = 3
# One said figure is off by a fifth, and students differ by as much (common practice, no source);
# it counts for so many checks, and so many students.
USUAL_SPREAD = 0.2
HOUSE_CHECKS, HOUSE_STUDENTS = 6, 4


@dataclass(frozen=True, slots=True)
class Overcount:
    """The logarithm of said over checked of one student.

    `error`: its standard error; `spread`: how one check lies about it; `checks` are the
    student's own, `students` those of the place with any.
    """

    mean: float
    error: float
    spread: float
    freedom: float
    checks: int
    students: int


def overcount(own: Sequence[Pair], others: Sequence[Sequence[Pair]] = ()) -> Overcount | TooLittle:
    """How far above what was checked a student's own figures run.

    Parameters
    ----------
    own : sequence of (said, checked)
        Of the same visit or set, one unit within a pair, both above 0.
    others : sequence of such
        Of each other student of the place.

    Returns
    -------
    Overcount, or TooLittle below 3 pairs of his own.

    Raises
    ------
    BadData
        A figure is not finite, or not above 0.

    Notes
    -----
    Means of log ratios, one a student, with the spread within students pooled. From three
    students on each is drawn to the mean of all (DerSimonian and Laird); how far they differ
    and the spread within are joined with the house's own as four students and six checks
    (house rules).

    References
    ----------
    DerSimonian, R. & Laird, N. (1986). Controlled Clinical Trials 7, 177-188; Robinson, G. K.
    (1991). Statistical Science 6, 15-32; Bland, J. M. & Altman, D. G. (1999). Statistical
    Methods in Medical Research 8, 135-160 (ratios of two ways of measuring, by logarithms).

    Examples
    --------
    >>> found = overcount([(20, 16), (30, 25), (15, 12), (20, 18)])
    >>> round(exp(found.mean), 2)
    1.2
    """
    logs = [_log_ratios(pairs) for pairs in (own, *others) if len(pairs)]
    if len(own) < LEAST_CHECKS:
        return TooLittle("Too few visits were checked.", len(own), LEAST_CHECKS)
    spare = sum(each.size - 1 for each in logs)
    squares = sum(float(((each - each.mean()) ** 2).sum()) for each in logs)
    freedom = float(spare + HOUSE_CHECKS)
    spread = sqrt((squares + HOUSE_CHECKS * USUAL_SPREAD**2) / freedom)
    means = np.array([float(each.mean()) for each in logs])
    errors = spread**2 / np.array([float(each.size) for each in logs])
    mean, error = float(means[0]), float(errors[0])
    if len(logs) >= LEAST_SEVERAL:
        seen = random_effects(means, errors).between
        more = len(logs) - 1
        between = (more * seen + HOUSE_STUDENTS * USUAL_SPREAD**2) / (more + HOUSE_STUDENTS)
        weights = 1 / (between + errors)
        all_of_them = float((weights * means).sum() / weights.sum())
        pull = error / (between + error)
        mean += pull * (all_of_them - mean)
        error = between * pull + pull**2 / float(weights.sum())
    return Overcount(mean, sqrt(error), spread, freedom, len(own), len(logs))


def _log_ratios(pairs: Sequence[Pair]) -> Array:
    said, checked = (numbers(each, "figures", least=0) for each in zip(*pairs, strict=True))
    if min(said.min(), checked.min()) <= 0:
        raise BadData("What was said and what was checked must be above zero.")
    found: Array = np.log(said / checked)
    return found


def by_the_clock(
    said: Numbers, found: Overcount, *, timed: float = 0.0, level: float = 0.95
) -> Estimate | TooLittle:
    """What visits of which only the student's own minutes are known are likely to have been.

    Parameters
    ----------
    said : sequence of float
        Minutes of each visit, 0 or more.
    found : Overcount
    timed : float
        Minutes beside them that a clock has measured.
    level : float
        Coverage of the interval, in (0, 1).

    Returns
    -------
    Estimate in minutes, or TooLittle where nothing was said.

    Raises
    ------
    BadData
        A figure below zero or not finite, or level outside (0, 1).

    Notes
    -----
    House rule: said over the ratio, with the doubt about the ratio and how single visits lie
    about it, each by its part of the sum; Student's t.

    References
    ----------
    As `overcount`.

    Examples
    --------
    >>> found = by_the_clock([20, 20, 20], Overcount(0.182, 0.05, 0.2, 20, 6, 4))
    >>> round(found.value), round(found.low), round(found.high)
    (50, 38, 65)
    """
    from scipy.special import stdtrit

    minutes = numbers(said, "minutes", least=0)
    (clock,) = numbers([timed], "timed minutes", least=0)
    share(level)
    total = float(minutes.sum())
    if not total:
        return TooLittle("No minutes were told.", 0, 1)
    parts = float(((minutes / total) ** 2).sum())
    reach = float(stdtrit(found.freedom, (1 + level) / 2))
    reach *= sqrt(found.error**2 + found.spread**2 * parts)
    value, low, high = (
        float(clock) + total * exp(-found.mean + turn) for turn in (0.0, -reach, reach)
    )
    return Estimate(value, "min", low, high, found.checks, level)
