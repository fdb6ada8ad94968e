"""Eight weeks at a glance: a slow slide told apart from one lighter week, and drifting away."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from functools import lru_cache
from itertools import pairwise
from math import factorial
from statistics import median

WEEKS = 8
LEAST_WEEKS = 6
LEVEL = 0.02
SLIDE_BY = 0.15  # Of credit, from the first three weeks to the last three.
LIGHTER_BY = 0.25  # Of credit, below the median of the weeks before.
RHYTHM_DAYS = 56
LEAST_DAYS = 5
MUCH_LONGER = 2.0
NEVER_SOONER = 7


class Word(StrEnum):
    TOO_FEW = "too few weeks"
    SLIDE = "a slow slide"
    LIGHTER = "one lighter week"
    NEITHER = "no slide"


@dataclass(frozen=True, slots=True)
class CreditTrend:
    """Weekly credit, oldest first, in [0, 1]; None for a week that was excused or not sent.

    `p` is the chance of an order falling as much without any change; None with too few
    weeks. `usual` is the median of the weeks before the last.
    """

    shares: tuple[float | None, ...] = ()
    word: Word = Word.TOO_FEW
    p: float | None = None
    usual: float | None = None
    # Which of the weeks were excused whole; other unknown ones asked for nothing.
    excused: frozenset[int] = frozenset()
    # How many of the known ones were finished.
    finished: int = 0

    @property
    def known(self) -> tuple[float, ...]:
        return tuple(share for share in self.shares if share is not None)


NO_TREND = CreditTrend()


def trend(shares: Sequence[float | None], excused: Collection[int] = ()) -> CreditTrend:
    """What the last complete weeks say together; oldest first.

    Parameters
    ----------
    shares : sequence of float or None
        Credit of each week in [0, 1], at most eight; None where nothing was asked.
    excused : collection of int, optional
        Which of them were excused whole.

    Returns
    -------
    Trend
        A slide if the order falls by the exact one-sided Mann-Kendall test at 2 percent
        over at least six known weeks and the last three lie 15 points below the first
        three (medians). Otherwise one lighter week, if the last lies 25 points below the
        median of those before.

    Notes
    -----
    H. B. Mann (1945), Nonparametric tests against trend, Econometrica 13, 245-259; M. G.
    Kendall (1938), Biometrika 30, 81-93, for the exact distribution. The sizes are house
    rules: a test alone would call every tiny but orderly fall a slide. The test takes weeks
    for independent; at 2 percent, by simulation, at most 5 of 100 whose practice stays are
    told so in any one week where neighbouring weeks are up to half alike, tied or not.
    """
    recent = tuple(shares)
    known = [share for share in recent if share is not None]
    usual = median(known[:-1]) if len(known) >= 2 else None
    p = falling_p(known) if len(known) >= LEAST_WEEKS else None
    return CreditTrend(recent, _word(known, p, usual), p, usual, frozenset(excused))


def _word(known: Sequence[float], p: float | None, usual: float | None) -> Word:
    if p is not None and p <= LEVEL and median(known[:3]) - median(known[-3:]) >= SLIDE_BY:
        return Word.SLIDE
    if usual is not None and len(known) >= LEAST_DAYS and usual - known[-1] >= LIGHTER_BY:
        return Word.LIGHTER
    return Word.NEITHER if p is not None else Word.TOO_FEW


def falling_p(values: Sequence[float]) -> float:
    """The chance of as many falling pairs in a random order of these values.

    Parameters
    ----------
    values : sequence of float
        At least two.

    Returns
    -------
    float
        Exact without ties; each tied pair counts as half falling, rounded down, which
        leans to saying nothing.

    Raises
    ------
    ValueError
        Fewer than two values.
    """
    n = len(values)
    if n < 2:
        raise ValueError("An order needs at least two values.")
    pairs = [(values[i], values[j]) for i in range(n) for j in range(i + 1, n)]
    falling = sum(a > b for a, b in pairs)
    ties = sum(a == b for a, b in pairs)
    return sum(_inversions(n)[falling + ties // 2 :]) / factorial(n)


@lru_cache(maxsize=32)
def _inversions(n: int) -> tuple[int, ...]:
    """How many orders of n different values have 0, 1, 2 … falling pairs."""
    counts = [1]
    for size in range(2, n + 1):
        counts = [
            sum(counts[k - j] for j in range(size) if 0 <= k - j < len(counts))
            for k in range(len(counts) + size - 1)
        ]
    return tuple(counts)


# --- drifting away -----------------------------------------------------------------------


class Away(StrEnum):
    TOO_FEW = "too few days of practice to know a rhythm"
    USUAL = "as usual"
    LONGER = "longer than usual"
    DRIFTING = "may be drifting away"


@dataclass(frozen=True, slots=True)
class Drift:
    """Open days since the last practice beside this student's own gaps of eight weeks."""

    days: int = 0
    usual: float | None = None
    longest: int | None = None
    word: Away = Away.TOO_FEW


NO_DRIFT = Drift()


def drift(practised_on: Collection[date], today: date, excused: Collection[date] = ()) -> Drift:
    """How the time since the last practice compares with the student's own rhythm.

    Longer than the longest gap of eight weeks is longer than usual; twice that and at
    least a week may be drifting away. Words and no percentage: nobody has checked one
    against what came of it. Excused days count as neither. House rule.
    """
    since = today - timedelta(days=RHYTHM_DAYS)
    days = sorted({day for day in practised_on if since <= day <= today})
    if len(days) < LEAST_DAYS:
        return Drift()
    gaps = [_open_days(a, b, excused) for a, b in pairwise(days)]
    gap, longest = _open_days(days[-1], today, excused), max(gaps)
    word = Away.LONGER if gap > longest else Away.USUAL
    if gap >= max(NEVER_SOONER, MUCH_LONGER * longest):
        word = Away.DRIFTING
    return Drift(gap, median(gaps), longest, word)


def _open_days(first: date, last: date, excused: Collection[date]) -> int:
    return max(0, (last - first).days - sum(first < day <= last for day in excused))
