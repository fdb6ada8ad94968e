"""How much, and how fast it grew: a description, never a forecast of injury.

Ratios of recent to longer load are not given as a risk: replacing the longer load
by a fixed or random number predicts as well (Impellizzeri and colleagues, 2021,
Sports Medicine), and the recent week inside the longer average makes a correlation
of its own (Lolli and colleagues, 2019, British Journal of Sports Medicine 53, 921).
"""

from dataclasses import dataclass

from practice.measures.answers import BadData, TooLittle
from practice.measures.arrays import Array, Numbers, finite, numbers, some_numbers

LONG_DAYS, SHORT_DAYS = 28, 7


def session_load(felt: float, minutes: float) -> float:
    """How hard it felt (0 to 10) times minutes, in arbitrary units.

    Raises
    ------
    BadData
        Felt outside 0 to 10, or minutes not above 0.

    References
    ----------
    Foster, C. et al. (2001). Journal of Strength and Conditioning Research 15, 109-115.

    Examples
    --------
    >>> session_load(5, 60)
    300.0
    """
    some_numbers([felt, minutes], "effort and minutes", least=0)
    if felt > 10 or minutes <= 0:
        raise BadData("How hard it felt runs from 0 to 10, and minutes are above 0.")
    return float(felt) * float(minutes)


@dataclass(frozen=True, slots=True)
class WeekLoad:
    """A week's load in arbitrary units, the sameness of its days, and the product of both.

    The last two are None when all days are alike.
    """

    total: float
    daily_mean: float
    monotony: float | None
    strain: float | None


def week_load(days: Numbers) -> WeekLoad:
    """Load, monotony and strain of seven days, rest days as zero.

    Parameters
    ----------
    days : sequence of 7 floats
        Summed session load of each calendar day.

    Raises
    ------
    BadData
        Not seven days, negative, or not finite.

    Notes
    -----
    Monotony is the daily mean over the standard deviation with n - 1; with n it would
    be 8 % higher. All days alike leave it undefined.

    References
    ----------
    Foster, C. (1998). Medicine & Science in Sports & Exercise 30, 1164-1168.

    Examples
    --------
    >>> week = week_load([300, 0, 450, 200, 0, 600, 0])
    >>> round(week.total), round(week.monotony, 4), round(week.strain)
    (1550, 0.9177, 1422)
    """
    x = numbers(days, "days", least=0)
    if x.size != SHORT_DAYS:
        raise BadData("A week has seven days, rest days as zero.")
    total, mean, sd = float(x.sum()), float(x.mean()), float(x.std(ddof=1))
    if sd == 0:
        return WeekLoad(total, mean, None, None)
    return WeekLoad(total, mean, mean / sd, total * mean / sd)


def smoothing(days: int) -> float:
    """Weight of the newest day of an exponential average over about this many days.

    Raises
    ------
    BadData
        Fewer than one day.

    References
    ----------
    Williams, S. et al. (2017). British Journal of Sports Medicine 51, 209-210.

    Examples
    --------
    >>> smoothing(7)
    0.25
    """
    if not finite(days, "days") >= 1:
        raise BadData("At least one day.")
    return 2 / (days + 1)


@dataclass(frozen=True, slots=True)
class Rolling:
    """Daily load of the last week and of the last four, exponentially weighted."""

    recent: float
    longer: float
    n: int


def rolling_load(days: Numbers) -> Rolling | TooLittle:
    """Exponentially weighted daily load over about 7 and 28 days, beginning with the 28-day mean.

    Parameters
    ----------
    days : sequence of float, length n
        Load of each calendar day in order, rest days as zero.

    Returns
    -------
    Rolling, or TooLittle below 28 days.

    Raises
    ------
    BadData
        Negative or not finite.

    References
    ----------
    As `smoothing`; see the module for why the two are not divided.
    """
    x = numbers(days, "days", least=0)
    if x.size < LONG_DAYS:
        return TooLittle("Rolling load needs four weeks of days.", x.size, LONG_DAYS)
    start = float(x[:LONG_DAYS].mean())
    rest = x[LONG_DAYS:]
    recent, longer = (_smoothed(rest, smoothing(n), start) for n in (SHORT_DAYS, LONG_DAYS))
    return Rolling(recent, longer, x.size)


def _smoothed(days: Array, weight: float, level: float) -> float:
    for day in days:
        level = weight * float(day) + (1 - weight) * level
    return level
