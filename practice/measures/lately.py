"""The claim of one figure a test day: since the start, or of the last days where those moved."""

from dataclasses import replace
from math import sqrt

import numpy as np

from practice.measures.answers import BadData, TooLittle
from practice.measures.arrays import Numbers, finite, numbers
from practice.measures.claim import (
    START_DAYS,
    Answer,
    Claim,
    Days,
    claim_of,
    too_little,
)
from practice.measures.days import alike_days
from practice.measures.together import Shared
from practice.measures.usual import USUAL_BALLS, DaySpread

SINCE_START = 0.03
RECENT_DAYS = 3
RECENT_REACH = 3.2
_LATELY = np.array([-1.0, -1, -1, 1, 1, 1]) / RECENT_DAYS


def change_of_figures(
    figures: Numbers,
    spread: float,
    unit: str,
    worth: float,
    *,
    balls: int = 0,
    usual: DaySpread = USUAL_BALLS,
    what: str = "speed",
    start: int = START_DAYS,
    shared: Shared | None = None,
) -> Claim | TooLittle:
    """What can be claimed of one figure a test day.

    Parameters
    ----------
    figures : sequence of float
        In time order, any unit.
    spread : float
        The usual standard deviation of such figures from day to day, same unit.
    unit : str
    worth : float
        The smallest change worth having, in that unit.
    balls : int
        How many balls stand behind them.
    usual : DaySpread
        For what the spread known beforehand is worth, and how alike neighbouring days are.
    what : str
    start : int
        Of how many days the start is, at least 2.
    shared : Shared, optional
        How far everybody was off on each of the days.

    Returns
    -------
    Claim, or TooLittle with no day after the start.

    Raises
    ------
    BadData
        A value is not finite, `spread` or `worth` not above 0.

    Notes
    -----
    As `claim_of`, with 0.03 of the 0.05 for the change since the start. The rest is for the
    last three days against the three before: where that moved and held, it is the claim. Its
    reach is 3.2 standard errors, the spread from one day to the next joined with the usual
    one; by simulation 1 to 3 of 100 players whose speed stays, in a year of weekly looks, are
    told so, days being alike or not, with heavy tails too (house rule; see
    `manage.py evaluate_claims`).

    References
    ----------
    von Neumann, J. (1941). Annals of Mathematical Statistics 12, 367-395 (the mean square
    successive difference, which a trend leaves alone); `claim_of`.
    """
    x = numbers(figures, "day figures")
    finite(balls, "balls", least=0)
    finite(start, "start", least=2)
    if not finite(spread, "usual spread") > 0:
        raise BadData("The usual spread must be above zero.")
    if x.size <= start:
        return too_little(x.size, start)
    known = Days(x, np.full(x.size, spread**2), balls, usual, start, shared)
    lately = _lately(known, what=what, unit=unit, worth=worth)
    if lately is not None and lately.answer is Answer.MOVED:
        return lately
    return claim_of(known, what=what, unit=unit, worth=worth, chance=SINCE_START)


def _lately(days: Days, *, what: str, unit: str, worth: float) -> Claim | None:
    """The last three days against the three before; None below six days."""
    x = days.figures
    if x.size < _LATELY.size:
        return None
    change, reach, together = _last(days)
    way = _moved(days)
    moved = bool(way) and (days.shared is None or _moved(replace(days, shared=None)) == way)
    before = float(x[-2 * RECENT_DAYS : -RECENT_DAYS].mean())
    return Claim(
        what=what,
        unit=unit,
        before=before,
        now=before + change + together,
        low=change - reach,
        high=change + reach,
        days=x.size,
        start_days=RECENT_DAYS,
        balls=days.balls,
        worth=worth,
        looks=x.size - _LATELY.size + 1,
        answer=Answer.MOVED if moved else Answer.CANNOT_TELL,
        held=moved,
        more_days=0 if moved else 1,
        is_recent=True,
        together=together,
    )


def _moved(days: Days) -> float:
    """+1 or -1 where the last days surely moved and did so at the look before too, else 0."""
    if days.figures.size <= _LATELY.size:
        return 0.0
    change, reach, _ = _last(days)
    earlier, needed, _ = _last(days.without_last())
    way = float(np.sign(change))
    return way if abs(change) > reach and earlier * way > needed else 0.0


def _last(days: Days) -> tuple[float, float, float]:
    """The change of the last days, its reach, and by how much everybody changed meanwhile."""
    parts = np.zeros(days.figures.size)
    parts[-_LATELY.size :] = _LATELY
    together, unknown = days.together(parts)
    return float(parts @ days.own), RECENT_REACH * sqrt(_error(days) + unknown), together


def _error(days: Days) -> float:
    """Variance of that change, the spread of days from their successive differences."""
    usual, known = days.usual, float(days.variances[0])
    squares = np.diff(days.own) ** 2 / 2 / (1 - usual.alike)
    # Each difference shares a day with the next: three are worth about two.
    worth = 2 / 3
    spread = (usual.freedom * known + worth * float(squares.sum())) / (
        usual.freedom + worth * squares.size
    )
    return spread * float(_LATELY @ alike_days(_LATELY.size, usual.alike) @ _LATELY)
