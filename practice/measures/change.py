"""Is it up, or was it a good day? The smallest change that is real, and verdicts that hold."""

from dataclasses import dataclass, replace
from enum import StrEnum
from math import sqrt

from practice.measures.answers import BadData, TooLittle
from practice.measures.arrays import (
    Array,
    Numbers,
    finite,
    numbers,
    same_length,
    share,
    some_numbers,
)

BASELINE_DAYS, RECENT_DAYS = 4, 3
# Day-to-day spread that a short record is blended with, in m/s, worth six days of its own.
# 1.9 mph of ball speed and 1.3 mph of club speed (common practice, no source).
USUAL_BALL_SPREAD = 1.9 * 0.44704
USUAL_CLUB_SPREAD = 1.3 * 0.44704
USUAL_FREEDOM = 6


class Verdict(StrEnum):
    UP = "Up"
    LEVEL = "Level"
    DOWN = "Down"


@dataclass(frozen=True, slots=True)
class Change:
    """A change between two stretches of test days, and the change it would have needed.

    All figures in the unit of the data. `held`: the same verdict on the last two test days.
    """

    before: float
    now: float
    needed: float
    spread: float
    verdict: Verdict
    held: bool
    n: int
    freedom: int

    @property
    def change(self) -> float:
        return self.now - self.before

    def interval(self, level: float = 0.95) -> tuple[float, float]:
        """Interval of the change, in the unit of the data.

        Student's t on the pooled spread, the usual spread counted as six days of its own.

        Raises
        ------
        BadData
            `level` is outside (0, 1).
        """
        from scipy.special import stdtrit

        reach = float(stdtrit(self.freedom, (1 + share(level)) / 2)) * self.needed / 2
        return self.change - reach, self.change + reach


def against_start(day_figures: Numbers, usual_spread: float) -> Change | TooLittle:
    """The mean of the last 3 test days against the mean of the first 4.

    Parameters
    ----------
    day_figures : sequence of float, length n
        One figure per test day in time order (the median of its counted swings), one
        device, ball, place and club throughout; any unit.
    usual_spread : float
        Day-to-day standard deviation to blend with, in the same unit.

    Returns
    -------
    Change, or TooLittle below 7 days.

    Raises
    ------
    BadData
        A figure is not finite or negative, or the usual spread is not positive.

    Notes
    -----
    House rule, not a published one. The needed change is twice the standard error
    of the difference, with the spread pooled from both stretches and the usual one
    (as if from 6 days). A player whose speed does not change is called up and held
    in about 6 of 100 runs of 20 tests.

    Examples
    --------
    >>> ines = [146.2, 148.9, 145.1, 147.6, 147.0, 149.4, 148.8, 150.6, 151.2, 150.1]
    >>> against_start([*ines, 152.3, 151.8, 152.6, 152.0], 1.9).verdict
    <Verdict.UP: 'Up'>
    """
    x, usual = numbers(day_figures, "day figures", least=0), _usual(usual_spread)
    need = BASELINE_DAYS + RECENT_DAYS
    if x.size < need:
        return TooLittle("Up or down needs seven test days.", x.size, need)
    last = _compare(x[:BASELINE_DAYS], x[-RECENT_DAYS:], usual)
    held = x.size > need and (
        _compare(x[:BASELINE_DAYS], x[-RECENT_DAYS - 1 : -1], usual).verdict is last.verdict
    )
    return _with(last, held=held, n=x.size)


def against_before(day_figures: Numbers, usual_spread: float) -> Change | TooLittle:
    """The mean of the last 3 test days against the mean of the 3 before.

    Parameters, returns (TooLittle below 6 days), errors and notes as `against_start`.

    Notes
    -----
    House rule, not a published one.

    Examples
    --------
    >>> against_before([163.6, 164.8, 162.1, 159.8, 158.0, 156.9], 1.9).verdict
    <Verdict.DOWN: 'Down'>
    """
    x, usual = numbers(day_figures, "day figures", least=0), _usual(usual_spread)
    need = 2 * RECENT_DAYS
    if x.size < need:
        return TooLittle("A recent change needs six test days.", x.size, need)
    last = _compare(x[-need:-RECENT_DAYS], x[-RECENT_DAYS:], usual)
    held = x.size > need and (
        _compare(x[-need - 1 : -RECENT_DAYS - 1], x[-RECENT_DAYS - 1 : -1], usual).verdict
        is last.verdict
    )
    return _with(last, held=held, n=x.size)


def _usual(usual_spread: float) -> float:
    usual = float(some_numbers([usual_spread], "usual spread")[0])
    if usual <= 0:
        raise BadData("The usual spread must be above zero.")
    return usual


def _compare(before: Array, now: Array, usual: float) -> Change:
    freedom = USUAL_FREEDOM + before.size - 1 + now.size - 1
    pooled = (
        USUAL_FREEDOM * usual**2
        + (before.size - 1) * float(before.var(ddof=1))
        + (now.size - 1) * float(now.var(ddof=1))
    ) / freedom
    needed = 2 * sqrt(pooled * (1 / before.size + 1 / now.size))
    difference = float(now.mean() - before.mean())
    verdict = (
        Verdict.UP
        if difference > needed
        else Verdict.DOWN
        if -difference > needed
        else Verdict.LEVEL
    )
    middle = float(before.mean()), float(now.mean())
    return Change(*middle, needed, sqrt(pooled), verdict, False, 0, freedom)


def _with(change: Change, *, held: bool, n: int) -> Change:
    return replace(change, held=held, n=n)


@dataclass(frozen=True, slots=True)
class TypicalError:
    """Scatter of one person's repeated tests, in the unit of the data.

    `smallest_real` is the change between two single tests that chance alone would
    exceed in one of twenty.
    """

    value: float
    smallest_real: float
    pairs: int


def typical_error(first: Numbers, second: Numbers) -> TypicalError | TooLittle:
    """Typical error from pairs of tests: the spread of their differences over root two.

    Parameters
    ----------
    first, second : sequence of float, length n
        Paired results, same order, same unit.

    Returns
    -------
    TypicalError, or TooLittle below 3 pairs.

    Raises
    ------
    BadData
        Lengths differ, or a value is not finite.

    References
    ----------
    Weir, J. P. (2005). Journal of Strength and Conditioning Research 19, 231-240.

    Examples
    --------
    >>> a, b = [146, 148, 170, 90, 157, 156, 176, 205], [140, 152, 152, 99, 145, 153, 167, 218]
    >>> round(typical_error(a, b).value, 2)
    7.56
    """
    x, y = numbers(first, "first tests"), numbers(second, "second tests")
    same_length(x, y)
    if x.size < 3:
        return TooLittle("A typical error needs three pairs of tests.", x.size, 3)
    value = float((y - x).std(ddof=1)) / sqrt(2)
    return TypicalError(value, smallest_real_change(value), x.size)


def smallest_real_change(typical: float, *, baseline_tests: int = 1) -> float:
    """The change of one new test against the mean of earlier ones that is real at 95 %.

    Parameters
    ----------
    typical : float
        Typical error, any unit; the answer has the same.
    baseline_tests : int
        How many tests the baseline is the mean of.

    Raises
    ------
    BadData
        Typical error negative or not finite, or no baseline test.

    References
    ----------
    Weir (2005), as above: 1.96 sqrt(2) times the typical error for one against one.

    Examples
    --------
    >>> round(smallest_real_change(1.0), 3)
    2.772
    """
    error = float(some_numbers([typical], "typical error", least=0)[0])
    if not finite(baseline_tests, "baseline tests") >= 1:
        raise BadData("The baseline needs at least one test.")
    return 1.959963984540054 * error * sqrt(1 + 1 / baseline_tests)


@dataclass(frozen=True, slots=True)
class Steadiness:
    """Everyday speed, floor and day-to-day spread, in the unit of the data."""

    everyday: float
    floor: float
    spread: float
    first_spread: float | None
    steadier: bool
    confirmed: bool
    n: int


STEADY_DAYS = 6
STEADIER_AT = 0.6


def steadiness(day_figures: Numbers, usual_spread: float) -> Steadiness | TooLittle:
    """Is it steady: everyday figure, floor and spread of 6 test days, against the first 6.

    Parameters
    ----------
    day_figures : sequence of float, length n
        One figure per test day, time order, any unit.
    usual_spread : float
        As `against_start`, in the same unit.

    Returns
    -------
    Steadiness, or TooLittle below 6 days. `first_spread` is None below 12 days.

    Raises
    ------
    BadData
        As `against_start`.

    Notes
    -----
    House rule, not a published one: steadier when the spread is at most 0.6 of what it
    was and the everyday figure is not down; confirmed when a second six days, apart
    from the last, agree. By chance it happens to about one unchanged player in seven.
    """
    x = numbers(day_figures, "day figures", least=0)
    if x.size < STEADY_DAYS:
        return TooLittle("Steadiness needs six test days.", x.size, STEADY_DAYS)
    last = x[-STEADY_DAYS:]
    spread = float(last.std(ddof=1))
    first = float(x[:STEADY_DAYS].std(ddof=1)) if x.size >= 2 * STEADY_DAYS else None
    change = against_start(x, usual_spread)
    not_down = isinstance(change, Change) and change.verdict is not Verdict.DOWN
    steadier = first is not None and not_down and spread <= STEADIER_AT * first
    confirmed = False
    if steadier and first is not None and x.size >= 3 * STEADY_DAYS:
        confirmed = float(x[-2 * STEADY_DAYS : -STEADY_DAYS].std(ddof=1)) <= STEADIER_AT * first
    return Steadiness(
        everyday=float(x[-RECENT_DAYS:].mean()),
        floor=float(sorted(last)[1]),
        spread=spread,
        first_spread=first,
        steadier=steadier,
        confirmed=confirmed,
        n=x.size,
    )
