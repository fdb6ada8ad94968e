"""At what effort does the new move fall apart? Clean reps by felt effort, and the next dose."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import log, sqrt

import numpy as np

from practice.measures.answers import BadData, TooLittle
from practice.measures.arrays import Array, finite, numbers, same_length, share
from practice.measures.days import alike_days, share_over_days
from practice.measures.rates import Z95, counts
from practice.measures.usual import USUAL_REPS, DaySpread


class Holds(StrEnum):
    HOLDS = "holds"
    BREAKS = "breaks"
    NOT_SETTLED = "not settled"
    TOO_FEW = "too few"


LEAST_REPS, LEAST_DAYS, REPS_TO_HOLD = 12, 2, 20
HOLDING_SHARE, SURE_SHARE = 0.70, 0.60


def holds(days: Sequence[tuple[int, int]], usual: DaySpread = USUAL_REPS) -> Holds:
    """Whether a move holds at one step.

    Parameters
    ----------
    days : sequence of (clean, reps)
        Scored reps of each day at the step, last 21 days.
    usual : DaySpread
        How much days of one student differ by themselves.

    Raises
    ------
    BadData
        Not whole numbers, or more clean than reps.

    Notes
    -----
    House rule, not a published one, on the 80 % interval of `share_over_days`: *holds* from
    20 reps on 2 days at a share of 0.70 or more with the lower bound at 0.60 or more;
    *breaks* from 12 reps on 2 days with the upper bound below 0.70; else not settled.

    Examples
    --------
    >>> alike = DaySpread(0.0, freedom=1e9)
    >>> [str(holds([(each, 10)] * 3, alike)) for each in (8, 5, 7)]
    ['holds', 'breaks', 'not settled']
    """
    found = share_over_days(days, usual, level=0.80)
    if isinstance(found, TooLittle) or found.days < LEAST_DAYS or found.estimate.n < LEAST_REPS:
        return Holds.TOO_FEW
    share = found.estimate
    if share.n >= REPS_TO_HOLD and share.value >= HOLDING_SHARE and share.low >= SURE_SHARE:
        return Holds.HOLDS
    return Holds.BREAKS if share.high < HOLDING_SHARE else Holds.NOT_SETTLED


LEAST_CHECKED = 20


def self_score_gap(pairs: Sequence[tuple[int, int, int]]) -> int | TooLittle:
    """How many points of 100 the student's own clean count runs above the coach's.

    Parameters
    ----------
    pairs : sequence of (student's clean, coach's clean, reps)

    Returns
    -------
    int, or TooLittle below 20 checked reps.

    Raises
    ------
    BadData
        A clean count above its reps.

    Notes
    -----
    House rule, not a published one.

    Examples
    --------
    >>> self_score_gap([(8, 5, 10), (9, 6, 10), (7, 6, 10)])
    23
    """
    for own, checked, reps in pairs:
        counts(own, reps)
        counts(checked, reps)
    total = sum(reps for _, _, reps in pairs)
    if total < LEAST_CHECKED:
        return TooLittle("The coach has checked too few reps.", total, LEAST_CHECKED)
    return round(100 * sum(own - checked for own, checked, _ in pairs) / total)


@dataclass(frozen=True, slots=True)
class Curve:
    """Chance of a clean rep by effort: logit p = intercept + slope * effort (percent).

    `covariance` is that of (intercept, slope).
    """

    intercept: float
    slope: float
    covariance: tuple[tuple[float, float], tuple[float, float]]
    efforts: tuple[float, ...]
    n: int

    def chance(self, effort: float) -> float:
        return float(1 / (1 + np.exp(-(self.intercept + self.slope * effort))))

    def slope_interval(self, z: float = Z95) -> tuple[float, float]:
        reach = z * sqrt(self.covariance[1][1])
        return self.slope - reach, self.slope + reach


MOST_EFFORT, FULL_EFFORT = 110.0, 100.0


def clean_curve(
    efforts: Sequence[float],
    clean: Sequence[int],
    reps: Sequence[int],
    *,
    days: Sequence[int] | None = None,
    usual: DaySpread = USUAL_REPS,
) -> Curve | TooLittle:
    """Logistic curve of clean reps by effort, kept finite by Firth's penalty.

    Parameters
    ----------
    efforts : sequence of float, length k
        Percent, 0 to 110.
    clean, reps : sequence of int, length k
    days : sequence of int, length k, optional
        The place in time of the day of each count; none: no two are alike by their day.
    usual : DaySpread
        How much days of one student differ by themselves.

    Returns
    -------
    Curve, or TooLittle with fewer than two efforts or 12 reps, or where it does not settle.

    Raises
    ------
    BadData
        Lengths differ, an effort out of range, or more clean than reps.

    Notes
    -----
    The penalty (half the log determinant of the information, Jeffreys' prior) keeps
    the estimate finite when every rep at low effort is clean and every one at high
    effort is not, where plain maximum likelihood runs off to infinity. What a day adds, all
    its steps share: its covariance is that of the scores, with the likeness of reps of one
    day from the days themselves joined with what is known beforehand (house rule).

    References
    ----------
    Firth, D. (1993). Biometrika 80, 27-38; Heinze, G. & Schemper, M. (2002).
    Statistics in Medicine 21, 2409-2419; Liang, K.-Y. & Zeger, S. L. (1986). Biometrika 73,
    13-22 (covariance of an estimate by clusters, working as if independent).
    """
    x = numbers(efforts, "efforts", least=0)
    k, n = numbers(clean, "clean reps", least=0), numbers(reps, "reps", least=0)
    same_length(x, k, n)
    if x.size and x.max() > MOST_EFFORT:
        raise BadData(f"An effort above {MOST_EFFORT:g} percent is not one.")
    for successes, tries in zip(clean, reps, strict=True):
        counts(int(successes), int(tries))
    tried = n > 0
    if len(set(x[tried])) < 2 or n.sum() < LEAST_REPS:
        return TooLittle("A curve needs two efforts and twelve reps.", int(n.sum()), LEAST_REPS)
    # Effort is centred and scaled for the iteration only.
    centre, scale = float(np.average(x, weights=n)), 10.0
    design = np.column_stack([np.ones_like(x), (x - centre) / scale])
    try:
        beta, inverse = firth(design, k, n)
    except BadData:  # It did not settle: more reps will tell.
        return TooLittle("The curve does not settle on these reps.", int(n.sum()), int(n.sum()) + 1)
    if days is not None:
        inverse = _by_days(design, (beta, inverse), (k, n, numbers(days, "days", least=0)), usual)
    back = np.array([[1.0, -centre / scale], [0.0, 1 / scale]])
    intercept, slope = back @ beta
    covariance = back @ inverse @ back.T
    (a, b), (c, d) = covariance.tolist()
    rows = ((a, b), (c, d))
    return Curve(float(intercept), float(slope), rows, tuple(x[tried].tolist()), int(n.sum()))


def _by_days(
    design: Array, fit: tuple[Array, Array], counted: tuple[Array, Array, Array], usual: DaySpread
) -> Array:
    """Covariance of the coefficients where reps of one day are alike."""
    (beta, inverse), (clean, tries, day) = fit, counted
    same_length(clean, day)
    p = 1 / (1 + np.exp(-(design @ beta)))
    own, spread = tries * p * (1 - p), tries * np.sqrt(p * (1 - p))
    _, which = np.unique(day, return_inverse=True)
    of_day = np.eye(int(which.max()) + 1)[:, which]
    more = of_day.shape[0] - 1
    like = usual.ratio**2 / (1 + usual.ratio**2)
    # Clean reps of whole days beside those expected: how much more they vary than independent
    # ones would. How alike neighbours are is what is known: the few days of one ladder tell too
    # little of it, and hide likeness more often than they show it.
    off, room = of_day @ (clean - tries * p), of_day @ spread
    alone, most = float(own.sum()), float((room**2).sum())
    if more and most > alone:
        seen = (float((off**2).sum()) * (more + 1) / more - alone) / (most - alone)
        # What days show joins what is known as so many days more.
        known = usual.freedom * like
        like = max(0.0, (more * min(max(seen, -1.0), 1.0) + known) / (more + usual.freedom))
    within = (1 - like) * design.T @ (design * own[:, None])
    pulls = of_day @ (design * spread[:, None])
    between = like * pulls.T @ alike_days(more + 1, usual.alike) @ pulls
    found: Array = inverse @ (within + between) @ inverse
    return found


def firth(design: Array, successes: Array, tries: Array) -> tuple[Array, Array]:
    """Firth-penalised logistic regression of grouped counts.

    Parameters
    ----------
    design : array, shape (k, p)
        Columns of the model, the constant among them.
    successes, tries : array, shape (k,)

    Returns
    -------
    (coefficients of shape (p,), inverse information of shape (p, p))

    Raises
    ------
    BadData
        The iteration does not settle, or the columns depend on each other.

    Notes
    -----
    Scoring steps, halved until the penalised likelihood does not fall, as in Heinze and
    Schemper: whole steps may jump to and fro for ever where the efforts part clean from not.

    References
    ----------
    As `clean_curve`.
    """
    beta: Array = np.zeros(design.shape[1])
    found = _penalised(beta, design, successes, tries)
    for _ in range(MOST_STEPS):
        step = found.step
        if np.abs(step).max() < SETTLED:
            return beta, found.inverse
        step /= max(1.0, float(np.abs(step).max()) / 2)
        beta, found = _uphill(beta, step, found, (design, successes, tries))
    raise BadData("The curve does not settle on these numbers.")


MOST_STEPS, SETTLED, HALVINGS, NOTHING = 500, 1e-9, 40, 1e-13


@dataclass(frozen=True, slots=True)
class _Penalised:
    """The penalised likelihood at one place: its log, the step up it, the inverse information."""

    likelihood: float
    step: Array
    inverse: Array


def _penalised(beta: Array, design: Array, successes: Array, tries: Array) -> _Penalised:
    logits = design @ beta
    p = 1 / (1 + np.exp(-logits))
    weights = tries * p * (1 - p)
    information = design.T @ (design * weights[:, None])
    size, inverse = _inverted(information)
    hat = weights * np.einsum("ij,jk,ik->i", design, inverse, design)
    likelihood = successes @ logits - tries @ np.logaddexp(0.0, logits) + log(size) / 2
    score = design.T @ (successes - tries * p + hat * (0.5 - p))
    # The penalty adds the weight of a rep to each effort; without it a step over one rep is
    # twice too long.
    with_penalty = (tries + hat) * p * (1 - p)
    step = _inverted(design.T @ (design * with_penalty[:, None]))[1] @ score
    return _Penalised(float(likelihood), step, inverse)


def _inverted(matrix: Array) -> tuple[float, Array]:
    """Determinant and inverse; by hand of two columns, in a fifth of the time that NumPy takes."""
    if len(matrix) == 2:
        (a, b), (c, d) = matrix.tolist()
        size = a * d - b * c
        turned = np.array([[d, -b], [-c, a]])
    else:
        size = float(np.linalg.det(matrix))
        turned = size * np.linalg.inv(matrix) if size > 0 else matrix
    if not size > 0:
        raise BadData("The efforts cannot be told apart.")
    found: Array = turned / size
    return size, found


def _uphill(
    beta: Array, step: Array, found: _Penalised, data: tuple[Array, Array, Array]
) -> tuple[Array, _Penalised]:
    """The step, halved until the penalised likelihood does not fall: it then has to settle."""
    for _ in range(HALVINGS):
        there = _penalised(beta + step, *data)
        if there.likelihood >= found.likelihood - NOTHING * (1 + abs(found.likelihood)):
            return beta + step, there
        step = step / 2
    return beta + step, there


class Reach(StrEnum):
    FOUND = "found"
    HOLDS_AT_ALL = "holds at all efforts tried"
    AT_NONE = "not yet at any effort tried"
    NO_SLOPE = "effort makes no difference that can be told yet"


@dataclass(frozen=True, slots=True)
class HighestEffort:
    """The effort (percent) at which the chance of clean falls to the criterion."""

    reach: Reach
    criterion: float
    effort: float | None = None
    low: float | None = None
    high: float | None = None
    n: int = 0


def highest_effort(curve: Curve, criterion: float = 0.8, *, z: float = Z95) -> HighestEffort:
    """The highest effort at which the move holds at the coach's criterion.

    Parameters
    ----------
    curve : Curve
    criterion : float
        Share of clean reps, in (0, 1).
    z : float
        Normal quantile of the interval (delta method).

    Raises
    ------
    BadData
        Criterion outside (0, 1).

    Notes
    -----
    A figure is given only if the slope is surely below zero and the effort lies
    within those tried; otherwise it is said in words. The interval ends at full effort, or
    at the highest tried where that is more.

    References
    ----------
    Dobson, A. J. & Barnett, A. G. (2008). An Introduction to Generalized Linear
    Models, 7.3 (dose-response, effective dose); delta method.
    """
    share(criterion, "criterion")
    finite(z, "normal quantile", least=0)
    lowest, highest = min(curve.efforts), max(curve.efforts)
    if curve.slope_interval(z)[1] >= 0:
        sure = min(curve.chance(lowest), curve.chance(highest)) >= criterion
        return HighestEffort(Reach.HOLDS_AT_ALL if sure else Reach.NO_SLOPE, criterion, n=curve.n)
    effort = (log(criterion / (1 - criterion)) - curve.intercept) / curve.slope
    if effort >= highest:
        return HighestEffort(Reach.HOLDS_AT_ALL, criterion, n=curve.n)
    if effort <= lowest:
        return HighestEffort(Reach.AT_NONE, criterion, n=curve.n)
    gradient = np.array([-1 / curve.slope, -effort / curve.slope])
    reach = z * sqrt(float(gradient @ np.array(curve.covariance) @ gradient))
    low, high = max(0.0, effort - reach), min(max(FULL_EFFORT, highest), effort + reach)
    return HighestEffort(Reach.FOUND, criterion, effort, low, high, curve.n)


def step_ratio(target: float) -> float:
    """Back step over forward step in effort, for a ladder that settles at this clean share.

    A clean rep raises the effort by a step, another lowers it by this many.

    Parameters
    ----------
    target : float
        Share of clean reps, in (0, 1).

    Raises
    ------
    BadData
        Target outside (0, 1).

    References
    ----------
    Kaernbach, C. (1991). Perception & Psychophysics 49, 227-229.

    Examples
    --------
    >>> step_ratio(0.75)
    3.0
    """
    return share(target, "target") / (1 - target)


def next_effort(
    effort: float, clean: int, reps: int, *, target: float = 0.8, step: float = 5.0
) -> float:
    """The next session's effort by the weighted up-down rule, in percent.

    Parameters
    ----------
    effort : float
        Percent of this session.
    clean, reps : int
        This session's reps at it.
    target : float
        Clean share to settle at.
    step : float
        How far an all-clean session goes up, in points.

    Returns
    -------
    float, from 30 to 100, to the nearest 5; the same effort with no reps.

    Raises
    ------
    BadData
        Counts or target impossible, or the step not positive.

    Notes
    -----
    Applies Kaernbach's steps to the session as a whole: up for the clean share, back
    `step_ratio` times for the rest, so that no move is expected at the target.

    References
    ----------
    As `step_ratio`.

    Examples
    --------
    >>> next_effort(60, 10, 10), next_effort(80, 4, 10)
    (65.0, 75.0)
    """
    counts(clean, reps)
    finite(effort, "effort", least=0)
    share(target, "target")
    if not finite(step, "step") > 0:
        raise BadData("The step must be above zero.")
    if not reps:
        return effort
    rate = clean / reps
    move = step * (rate - (1 - rate) * step_ratio(target))
    # A poor session goes back one step at most: the day's form is not the move.
    move = max(move, -step)
    return float(min(100.0, max(30.0, 5 * round((effort + move) / 5))))
