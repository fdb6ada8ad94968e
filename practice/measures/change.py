"""The smallest change that is real, and whether days have become steadier."""

from dataclasses import dataclass
from math import sqrt

from practice.measures.answers import BadData, TooLittle
from practice.measures.arrays import (
    Array,
    Numbers,
    finite,
    numbers,
    same_length,
    some_numbers,
)
from practice.measures.claim import Claim
from practice.measures.grain import grain_of
from practice.measures.lately import change_of_figures
from practice.measures.usual import USUAL_BALLS, DaySpread

BASELINE_DAYS, RECENT_DAYS = 4, 3


def _usual(usual_spread: float) -> float:
    usual = finite(usual_spread, "usual spread")
    if usual <= 0:
        raise BadData("The usual spread must be above zero.")
    return usual


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
    return TypicalError(value, smallest_real_change(value, x.size), x.size)


def smallest_real_change(
    typical: float, pairs: int, *, baseline_tests: int = 1, tests_now: int = 1
) -> float:
    """The change of new tests against the mean of earlier ones that is real at 95 %.

    Parameters
    ----------
    typical : float
        Typical error, any unit; the answer has the same.
    pairs : int
        Of how many pairs of tests it is, at least 2.
    baseline_tests, tests_now : int
        How many tests the baseline, and the figure held against it, are the means of.

    Raises
    ------
    BadData
        Typical error negative or not finite, too few pairs, or no test.

    Notes
    -----
    Student's t, since the error is known from few pairs: at three pairs the normal 1.96
    holds 80 of 100 and not 95.

    References
    ----------
    Weir (2005), as above: 1.96 sqrt(2) times the typical error for one against one, where
    that is known well.

    Examples
    --------
    >>> round(smallest_real_change(1.0, 10**6), 3), round(smallest_real_change(1.0, 3), 3)
    (2.772, 6.085)
    """
    from scipy.special import stdtrit

    error = float(some_numbers([typical], "typical error", least=0)[0])
    if not min(finite(each, "tests") for each in (baseline_tests, tests_now)) >= 1:
        raise BadData("The baseline needs at least one test, and so does what is held against it.")
    if not finite(pairs, "pairs") >= 2:
        raise BadData("A typical error is of two pairs at least.")
    t = float(stdtrit(pairs - 1, 0.975))
    return t * error * sqrt(1 / tests_now + 1 / baseline_tests)


def worth_of(day_figures: Numbers, least: float) -> float:
    """The smallest change worth having of a figure a test day: never less than is real.

    Parameters
    ----------
    day_figures : sequence of float, length n
        Time order, any unit.
    least : float
        What is worth having at all, same unit, above 0.

    Returns
    -------
    float
        `least`, or from six days on the smallest real change of the last three against the
        first four where that is more, at most twice `least`: a gain that large is never
        nothing, however far the tests of a player differ.

    Raises
    ------
    BadData
        A figure is not finite, or `least` not above 0.

    Notes
    -----
    House rule: the typical error is that of each test against the next.

    Examples
    --------
    >>> worth_of([150, 150.4, 150.1], 1.9), worth_of([150, 150.4, 150.1, 150.3] * 3, 1.9)
    (1.9, 1.9)
    """
    x = numbers(day_figures, "day figures")
    if not finite(least, "change worth having") > 0:
        raise BadData("The change worth having must be above zero.")
    if x.size < STEADY_DAYS:
        return least
    own = typical_error(x[:-1], x[1:])
    assert isinstance(own, TypicalError)  # noqa: S101 (there are pairs)
    real = smallest_real_change(
        own.value, own.pairs, baseline_tests=BASELINE_DAYS, tests_now=RECENT_DAYS
    )
    return min(max(least, real), 2 * least)


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
STEADIER_AT, SURELY_AT = 0.6, 0.5


def steadiness(
    day_figures: Numbers, usual_spread: float, usual: DaySpread = USUAL_BALLS
) -> Steadiness | TooLittle:
    """Is it steady: everyday figure, floor and spread of 6 test days, against the first 6.

    Parameters
    ----------
    day_figures : sequence of float, length n
        One figure per test day, time order, any unit.
    usual_spread : float
        Day-to-day standard deviation that is taken for usual, in the same unit.
    usual : DaySpread
        For what that is worth, as `change_of_figures` takes it.

    Returns
    -------
    Steadiness, or TooLittle below 6 days. `first_spread` is None below 12 days.

    Raises
    ------
    BadData
        A figure is not finite or negative, or the usual spread is not positive.

    Notes
    -----
    House rule, not a published one: steadier when the spread is at most 0.6 of what it
    was and the everyday figure is not down; confirmed when those days and the six before,
    apart from each other, are at most 0.5 of it. What rounding hides joins both spreads
    (`grain_of`), so that days typed alike do not look steadier than they can be known. By
    simulation it happens at one look to 13 to 20 of 100 unchanged players, and confirmed to 1
    to 5: neighbouring days up to half alike, every tenth wild, typed in whole units or not.
    """
    x = numbers(day_figures, "day figures", least=0)
    if x.size < STEADY_DAYS:
        return TooLittle("Steadiness needs six test days.", x.size, STEADY_DAYS)
    last, grain = x[-STEADY_DAYS:], grain_of(x, usual_spread)

    def spread_of(days: Array) -> float:
        return sqrt(float(days.var(ddof=1)) + grain**2)

    spread = float(last.std(ddof=1))
    first = float(x[:STEADY_DAYS].std(ddof=1)) if x.size >= 2 * STEADY_DAYS else None
    known = _usual(usual_spread)
    claim = change_of_figures(x, known, "", known, usual=usual, start=BASELINE_DAYS)
    not_down = isinstance(claim, Claim) and not claim.worse
    was, now = spread_of(x[:STEADY_DAYS]), spread_of(last)
    steadier = first is not None and not_down and now <= STEADIER_AT * was
    confirmed = steadier and x.size >= 3 * STEADY_DAYS
    if confirmed:
        confirmed = max(now, spread_of(x[-2 * STEADY_DAYS : -STEADY_DAYS])) <= SURELY_AT * was
    return Steadiness(
        everyday=float(x[-RECENT_DAYS:].mean()),
        floor=float(sorted(last)[1]),
        spread=spread,
        first_spread=first,
        steadier=steadier,
        confirmed=confirmed,
        n=x.size,
    )
