"""Where it is going: a robust slope, a line with its bands, and when a target is reached."""

from dataclasses import dataclass
from enum import StrEnum
from math import sqrt

import numpy as np

from practice.measures.answers import BadData, Estimate, TooLittle
from practice.measures.arrays import Array, Numbers, finite, numbers, same_length, share
from practice.measures.grain import grain_of

LEAST_SESSIONS = 8
LEAST_SPAN_DAYS = 21
MOST_SESSIONS = 1000
GOLDEN = (sqrt(5) - 1) / 2


def robust_slope(
    days: Numbers,
    values: Numbers,
    unit: str,
    *,
    level: float = 0.95,
    least: int = LEAST_SESSIONS,
    alike: float = 0.0,
    coarsest: float = 0.0,
) -> Estimate | TooLittle:
    """Median of all pairwise slopes, with its interval.

    Parameters
    ----------
    days : sequence of float, length n
        Days since the first session. Repeats are allowed.
    values : sequence of float, length n
        One figure per session.
    unit : str
        Unit of the values; the answer is in this unit per day.
    level : float
        Coverage of the interval, in (0, 1).
    least : int
        Fewer sessions say nothing.
    alike : float
        How alike neighbouring sessions are: a correlation, in [0, 1).
    coarsest : float
        The coarsest step in which values are typed, in their unit; see `grain_of`. 0: as measured.

    Returns
    -------
    Estimate, or TooLittle with too few sessions or all of them on one day.

    Raises
    ------
    BadData
        Lengths differ, a value is not finite, `alike` outside [0, 1), or more than MOST_SESSIONS
        sessions.

    Notes
    -----
    Pass one figure per session, never shots. Where sessions are alike the variance of Kendall's S
    is multiplied as by Hamed and Rao; the correlation falls off by `alike` from one session to the
    next, and that of ranks follows from it (Pearson 1907).
    Time and memory grow with n squared. The ends of the interval are slopes that were seen,
    at the nearest ranks, as Sen and `scipy.stats.theilslopes` take them; Gilbert (1987)
    interpolates between two, which moves an end by less than the gap between them.
    Values typed in steps make many slopes exactly none, on which the ends then lie too soon: by
    simulation (steps of a ball's spread, 10 to 60 days) 90 to 92 of 100 held a slope of 0.013
    steps a week, and 99 to 100 no slope. So with `coarsest` values that are alike are spread
    evenly over their step first (Machado and Santos Silva).

    References
    ----------
    Sen, P. K. (1968). Journal of the American Statistical Association 63, 1379-1389;
    Gilbert, R. O. (1987). Statistical Methods for Environmental Pollution Monitoring, 16.4;
    Hamed, K. H. & Rao, A. R. (1998). Journal of Hydrology 204, 182-196;
    Machado, J. A. F. & Santos Silva, J. M. C. (2005). Journal of the American Statistical
    Association 100, 1226-1237 (jittering).

    Examples
    --------
    >>> robust_slope([0, 7, 14, 21, 28], [60, 60.5, 61, 61.5, 62], "m/s", least=5).value * 7
    0.5
    """
    x, y = _series(days, values)
    share(level)
    if x.size < least or np.ptp(x) == 0:
        return TooLittle(
            "A trend needs more sessions, on several days.", x.size, max(least, x.size)
        )
    y = _apart(x, y, coarsest)
    later = x[:, None] > x
    slopes = np.sort((y[:, None] - y)[later] / (x[:, None] - x)[later])
    low, high = _places_of_sens_interval(x, y, level, _times_variance(x.size, alike))
    return Estimate(
        float(np.median(slopes)),
        f"{unit} a day",
        float(slopes[low]),
        float(slopes[high]),
        x.size,
        level,
    )


def _apart(x: Array, y: Array, coarsest: float) -> Array:
    """The values spread over the step in which they were typed, where any are alike.

    By multiples of the golden ratio, which lie evenly and have no trend.
    """
    step = sqrt(12) * grain_of(y, coarsest)
    if not step or np.unique(y).size == y.size:
        return y
    place = np.empty(x.size)
    place[np.lexsort((y, x))] = np.arange(1, x.size + 1)
    return y + step * (GOLDEN * place % 1 - 0.5)


def _times_variance(sessions: int, alike: float) -> float:
    """By how much sessions that are alike multiply the variance of Kendall's S, at least 1."""
    n = sessions
    if finite(alike, "how alike sessions are", least=0) >= 1:
        raise BadData("How alike sessions are is a correlation below one.")
    lags = np.arange(1, n - 2)
    of_ranks = 6 / np.pi * np.arcsin(alike**lags / 2)
    together = float(((n - lags) * (n - lags - 1) * (n - lags - 2) * of_ranks).sum())
    return 1 + 2 * together / (n * (n - 1) * max(1, n - 2))


def _places_of_sens_interval(x: Array, y: Array, level: float, times: float) -> tuple[int, int]:
    """Where the interval's ends lie among the sorted slopes: Sen (1968), 2.6, with ties.

    Not `scipy.stats.theilslopes`, which says the same: `scipy.stats` takes 46 MB of each worker.
    """
    from scipy.special import ndtri

    def pairs_tied(values: Array) -> float:
        times = np.unique(values, return_counts=True)[1]
        return float((times * (times - 1) * (2 * times + 5)).sum())

    n = x.size
    variance = (n * (n - 1) * (2 * n + 5) - pairs_tied(x) - pairs_tied(y)) / 18
    reach = float(ndtri((1 + level) / 2)) * sqrt(max(times * variance, 0.0))
    pairs = int((x[:, None] > x).sum())
    low, high = round((pairs - reach) / 2) - 1, round((pairs + reach) / 2)
    return max(low, 0), min(high, pairs - 1)


@dataclass(frozen=True, slots=True)
class FittedLine:
    """A least-squares line through session figures; slope per day, all else in their unit."""

    intercept: float
    slope: float
    slope_error: float
    residual: float
    mean_day: float
    squares: float
    n: int

    def at(self, day: float) -> float:
        return self.intercept + self.slope * day

    def band(self, day: float, *, level: float = 0.95, one_new: bool = True) -> tuple[float, float]:
        """Interval at a day: for one new session, or (`one_new` False) for the line itself.

        Raises
        ------
        BadData
            `level` is outside (0, 1).
        """
        from scipy.special import stdtrit

        share(level)
        inside = 1 / self.n + (day - self.mean_day) ** 2 / self.squares + (1 if one_new else 0)
        reach = float(stdtrit(self.n - 2, (1 + level) / 2)) * self.residual * sqrt(inside)
        return self.at(day) - reach, self.at(day) + reach

    def slope_interval(self, level: float = 0.95) -> tuple[float, float]:
        """Interval of the slope, in the unit per day."""
        from scipy.special import stdtrit

        share(level)
        reach = float(stdtrit(self.n - 2, (1 + level) / 2)) * self.slope_error
        return self.slope - reach, self.slope + reach


def line(days: Numbers, values: Numbers, *, least: int = 3) -> FittedLine | TooLittle:
    """Least-squares line of session figures on days.

    Parameters
    ----------
    days, values : sequence of float, length n
    least : int, optional
        Sessions that a line needs.

    Returns
    -------
    Line, or TooLittle below `least` sessions (never under 3) or with all on one day.

    Raises
    ------
    BadData
        Lengths differ, a value is not finite, or more than MOST_SESSIONS sessions.

    References
    ----------
    Kutner, Nachtsheim, Neter & Li (2005). Applied Linear Statistical Models, chapters 1-2.
    """
    x, y = _series(days, values)
    need = max(3, least)
    if x.size < need or np.ptp(x) == 0:
        return TooLittle("A line needs more sessions, on several days.", x.size, max(need, x.size))
    mean_x, mean_y = float(x.mean()), float(y.mean())
    squares = float(((x - mean_x) ** 2).sum())
    slope = float(((x - mean_x) * (y - mean_y)).sum()) / squares
    left = (y - mean_y) - slope * (x - mean_x)
    residual = sqrt(float((left**2).sum()) / (x.size - 2))
    return FittedLine(
        mean_y - slope * mean_x, slope, residual / sqrt(squares), residual, mean_x, squares, x.size
    )


@dataclass(frozen=True, slots=True)
class GoalDays:
    """Days (on the scale of the data) at which a target may be reached at this trend.

    earliest: the upper limit for one session reaches it; likely: the line does;
    secure: the lower limit does. None: not within the horizon.
    """

    earliest: float | None
    likely: float | None
    secure: float | None
    n: int


def goal_days(
    fit: FittedLine, target: float, *, horizon: float, level: float = 0.95
) -> GoalDays | None:
    """When a target is reached if the trend went on in a straight line.

    Parameters
    ----------
    fit : Line
        From `line`, at least LEAST_SESSIONS sessions over LEAST_SPAN_DAYS to be shown.
    target : float
        In the unit of the values.
    horizon : float
        Last day looked at; no further than the observed span again.
    level : float
        Coverage of the limits for one new session.

    Returns
    -------
    GoalDays, or None if the slope cannot be told from zero or points away: not on this trend.

    Raises
    ------
    BadData
        Target or horizon not finite, or `level` outside (0, 1).

    Notes
    -----
    Learning curves flatten, so a straight line is optimistic.

    References
    ----------
    Draper, N. R. & Smith, H. (1998). Applied Regression Analysis, 3.2 (inverse prediction).
    """
    finite(target, "target")
    finite(horizon, "horizon")
    low, high = fit.slope_interval(level)
    if low <= 0 <= high:
        return None
    steep, middle = abs(fit.slope), fit.at(fit.mean_day)
    rise = (target - middle) * (1 if fit.slope > 0 else -1)
    # With u days from the middle: (rise - steep u)^2 = reach^2 (1 + 1/n + u^2 / squares).
    reach = (high - low) / 2 / fit.slope_error * fit.residual if fit.residual else 0.0
    square = steep**2 - reach**2 / fit.squares
    root = reach * sqrt(rise**2 / fit.squares + square * (1 + 1 / fit.n))
    sooner, later = (steep * rise - root) / square, (steep * rise + root) / square

    def within(after_middle: float) -> float | None:
        day = fit.mean_day + after_middle
        return day if day <= horizon else None

    return GoalDays(within(sooner), within(rise / steep), within(later), fit.n)


class TargetState(StrEnum):
    """What can be said of a target: `REACHED` means that the line is there already."""

    DATED = "at this trend"
    REACHED = "reached"
    TOO_FAR = "further off than has been watched"
    NOT_ON_TREND = "not on this trend"


@dataclass(frozen=True, slots=True)
class TargetOutlook:
    """What can be said of a target, and the days if it can be dated."""

    goal: TargetState
    days: GoalDays | None
    n: int


def when_reached(
    days: Numbers, values: Numbers, target: float, *, level: float = 0.95
) -> TargetOutlook | TooLittle:
    """The range of days in which a target is reached at this trend, if that can be said.

    Parameters
    ----------
    days : sequence of float, length n
        Days since the first session.
    values : sequence of float, length n
        One figure per session, more is better.
    target : float
        In the unit of the values.
    level : float

    Returns
    -------
    Outlook, or TooLittle below 8 sessions or 21 days. `earliest` and `secure` hold, with
    this chance, the day on which a session shows just the target; `secure` is None if
    it lies beyond the horizon.

    Raises
    ------
    BadData
        Lengths differ, a value is not finite, or `level` is outside (0, 1).

    Notes
    -----
    Looks no further ahead than it has watched. Not on this trend: the slope cannot be
    told from zero, or it falls. A straight line is optimistic, since learning flattens.

    References
    ----------
    As `goal_days`.

    Examples
    --------
    >>> days = range(0, 70, 7)
    >>> speeds = [60, 60.6, 60.9, 61.4, 62.2, 62.4, 63.1, 63.4, 64.1, 64.4]
    >>> found = when_reached(days, speeds, 66)
    >>> str(found.goal), round(found.days.likely)
    ('at this trend', 84)
    """
    x, y = _series(days, values)
    finite(target, "target")
    share(level)
    if x.size < LEAST_SESSIONS:
        return TooLittle("A date needs eight sessions.", x.size, LEAST_SESSIONS)
    span = float(np.ptp(x))
    if span < LEAST_SPAN_DAYS:
        return TooLittle("A date needs sessions over three weeks.", int(span), LEAST_SPAN_DAYS)
    fit = line(x, y)
    assert isinstance(fit, FittedLine)  # noqa: S101 (there are sessions, on several days)
    last = float(x.max())
    low, _ = fit.slope_interval(level)
    if fit.at(last) >= target:
        return TargetOutlook(TargetState.REACHED, None, fit.n)
    if low <= 0:
        return TargetOutlook(TargetState.NOT_ON_TREND, None, fit.n)
    found = goal_days(fit, target, horizon=last + span, level=level)
    if found is None or found.likely is None:
        return TargetOutlook(TargetState.TOO_FAR, None, fit.n)
    return TargetOutlook(TargetState.DATED, found, fit.n)


def _series(days: Numbers, values: Numbers) -> tuple[Array, Array]:
    x, y = numbers(days, "days"), numbers(values)
    same_length(x, y)
    if x.size > MOST_SESSIONS:
        raise BadData(f"At most {MOST_SESSIONS} sessions at a time.")
    return x, y
