"""One claim of one test: moved, did not move, or cannot tell yet. Made once, printed everywhere.

It may be looked at after every test day for as long as one likes: the intervals hold at all
looks together.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from math import ceil, exp, log, pi, sqrt

import numpy as np

from practice.measures.answers import BadData, TooLittle
from practice.measures.arrays import Array, Numbers, finite, numbers, same_length, share
from practice.measures.days import alike_days
from practice.measures.rates import counts
from practice.measures.roots import root
from practice.measures.together import Shared
from practice.measures.usual import USUAL_BALLS, USUAL_REPS, DaySpread

# The days that later ones are compared with: fixed beforehand, so that every look is paid for.
START_DAYS = 3
MISTAKEN = 0.05  # Of all who did not change, so many are ever told that they did.
OVERLOOKED = 0.20  # Both ways: one in ten who changed by what is worth having, ever told not.
MOST_AHEAD = 104
# The smallest change worth having where nothing is said: ten of a hundred, a metre of miss
# (house rule).
WORTH_SHARE, WORTH_MISS = 0.10, 1.0


class Answer(StrEnum):
    MOVED = "moved"
    DID_NOT_MOVE = "did not move"
    CANNOT_TELL = "cannot tell yet"


@dataclass(frozen=True, slots=True)
class Claim:
    """The change of a test from its start to the days since, in the unit of the test.

    `low` and `high` hold the true change in 95 of 100 students at every look together.
    `worth` is the smallest change worth having, `gain` +1 where more is better and -1 where
    less is. `held`: the look before said the same. `more_days`: about how many test days
    until it can be told, None for more than two years of weekly ones. `is_recent`: it is of
    the last days against those before, not against the start. `together`: by how much
    everybody changed meanwhile, which is no part of the change.
    """

    what: str
    unit: str
    before: float
    now: float
    low: float
    high: float
    days: int
    start_days: int
    balls: int
    worth: float
    looks: int
    answer: Answer
    held: bool
    more_days: int | None
    gain: int = 1
    is_recent: bool = False
    together: float = 0.0

    @property
    def value(self) -> float:
        return self.now - self.before - self.together

    @property
    def reach(self) -> float:
        """A change is real from here on."""
        return (self.high - self.low) / 2

    @property
    def better(self) -> bool:
        return self.answer is Answer.MOVED and self.value * self.gain > 0

    @property
    def worse(self) -> bool:
        return self.answer is Answer.MOVED and self.value * self.gain < 0

    @property
    def is_ruled_out(self) -> bool:
        """Surely no gain that is worth having: it did not move, or got worse."""
        return self.worse or self.answer is Answer.DID_NOT_MOVE


@dataclass(frozen=True, slots=True)
class Days:
    """One figure a day in time order, the variance each is expected to have, and its balls.

    `start`: how many of them came before, and are what the later ones are compared with.
    `shared`: how far everybody was off on each of them.
    """

    figures: Array
    variances: Array
    balls: int
    usual: DaySpread
    start: int
    shared: Shared | None = None

    @property
    def own(self) -> Array:
        """The figures without what moves everybody alike."""
        return self.figures if self.shared is None else self.figures - self.shared.shifts

    def together(self, parts: Array) -> tuple[float, float]:
        """By how much everybody moved in this sum of days, and the variance of not knowing it."""
        if self.shared is None:
            return 0.0, 0.0
        return float(parts @ self.shared.shifts), float(parts @ self.shared.errors @ parts)

    def without_last(self) -> "Days":
        shared = self.shared.without_last() if self.shared else None
        return replace(
            self, figures=self.figures[:-1], variances=self.variances[:-1], shared=shared
        )


def change_of_shares(
    days: Sequence[tuple[float, int]],
    worth: float,
    usual: DaySpread = USUAL_REPS,
    *,
    what: str = "clean share",
    start: int = START_DAYS,
    shared: Shared | None = None,
) -> Claim | TooLittle:
    """What can be claimed of a share that was counted on several days.

    Parameters
    ----------
    days : sequence of (successes, tries)
        One pair a test day in time order; days without a try are left out. Successes need
        not be whole, nor within the tries, where what a day had to try has been allowed for.
    worth : float
        The smallest change worth having, in shares of 1.
    usual : DaySpread
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
        Tries not whole, successes not finite, or `worth` not above 0.

    Notes
    -----
    House rule, on `claim_of`. A day of n tries is expected to vary by p (1 - p) (ratio^2 +
    1 / n), at the share p of all days (half a success and half a failure added).
    """
    for successes, tries in days:
        finite(successes, "successes")
        counts(0, tries)
    told = [n for n, (_, tries) in enumerate(days) if tries]
    kept = [days[n] for n in told]
    if len(kept) <= start:
        return too_little(len(kept), start)
    clean, of = (np.array(each, dtype=np.float64) for each in zip(*kept, strict=True))
    p = (float(clean.sum()) + 0.5) / (float(of.sum()) + 1)
    variances = p * (1 - p) * (usual.ratio**2 + 1 / of)
    of_days = shared.on(told) if shared else None
    known = Days(clean / of, variances, int(of.sum()), usual, start, of_days)
    return claim_of(known, what=what, unit="share", worth=worth)


def change_of_levels(
    days: Sequence[Numbers],
    unit: str,
    worth: float,
    usual: DaySpread = USUAL_BALLS,
    *,
    what: str = "miss",
    gain: int = -1,
    start: int = START_DAYS,
    shared: Shared | None = None,
) -> Claim | TooLittle:
    """What can be claimed of a figure measured ball by ball on several days.

    Parameters
    ----------
    days : sequence of sequences of float
        The balls of each test day in time order; empty days are left out.
    unit : str
    worth : float
        The smallest change worth having, in that unit.
    usual : DaySpread
    what : str
    gain : int
        -1 where less is better.
    start : int
        Of how many days the start is, at least 2.
    shared : Shared, optional
        How far everybody was off on each of the days.

    Returns
    -------
    Claim, or TooLittle with no day after the start, or where nothing varies.

    Raises
    ------
    BadData
        A value is not finite, or `worth` not above 0.

    Notes
    -----
    House rule, on `claim_of`: the mean of each day.
    """
    every = [numbers(day, "values of a day") for day in days]
    told = [n for n, each in enumerate(every) if each.size]
    groups = [every[n] for n in told]
    if len(groups) <= start:
        return too_little(len(groups), start)
    sizes = np.array([float(each.size) for each in groups])
    spare = sizes.sum() - sizes.size
    squares = sum(float(((each - each.mean()) ** 2).sum()) for each in groups)
    within = squares / spare if spare else float(np.concatenate(groups).var(ddof=1)) / 2
    if within == 0:
        return TooLittle("Every ball ended alike.", len(groups), len(groups) + 1)
    variances = within * (usual.ratio**2 + 1 / sizes)
    middles = np.array([float(each.mean()) for each in groups])
    of_days = shared.on(told) if shared else None
    known = Days(middles, variances, int(sizes.sum()), usual, start, of_days)
    return claim_of(known, what=what, unit=unit, worth=worth, gain=gain)


def too_little(days: int, start: int) -> TooLittle:
    """House rule: a claim needs a day after its start."""
    return TooLittle("A change needs a test day after the start.", days, start + 1)


def claim_of(
    days: Days, *, what: str, unit: str, worth: float, gain: int = 1, chance: float = MISTAKEN
) -> Claim:
    """The claim of day figures whose variances are expected to be so large.

    Parameters
    ----------
    days : Days
        More than the start.
    what, unit : str
    worth : float
        In the unit of the figures, above 0.
    gain : int
        +1 where more is better, -1 where less is.
    chance : float
        Of a mistake over all looks.

    Raises
    ------
    BadData
        Too few days, `worth` not above 0, or lists that differ in length.

    Notes
    -----
    The weighted mean of all days since the start less that of the start. *Moved*: the
    interval, which holds at every look, does not reach 0. *Did not move*: it lies inside
    what is not worth having; there each end may be passed by one student in ten. Both are
    said when the look before said the same. What is known of days beforehand counts as
    `usual.freedom` days of one's own (house rule); neighbouring days correlate by
    `usual.alike`. What everybody moved by is taken off, and what is not known of that widens
    the interval; then an answer is given only where the figures as they are say the same: what
    all gained together is no reason to change a drill.

    References
    ----------
    Jennison, C. & Turnbull, B. W. (1989). J. Royal Stat. Soc. B 51, 305-361 (repeated
    confidence intervals); Miller & Siegmund (1982), as `critical`.
    """
    same_length(days.figures, days.variances)
    if not 2 <= days.start < days.figures.size or not finite(worth, "worth") > 0:
        raise BadData("A claim needs a start, days after it, and a change that is worth having.")
    looks = _looks(days, chance)
    n, look = days.figures.size, looks[0]
    said = _said(looks, worth)
    before = _looks(days.without_last(), chance) if n > days.start + 1 else None
    held = before is not None and _said(before, worth) == said
    answer, _ = said
    told = held and answer is not Answer.CANNOT_TELL
    return Claim(
        what=what,
        unit=unit,
        before=look.before,
        now=look.before + look.value + look.together,
        low=look.value - look.reach,
        high=look.value + look.reach,
        days=n,
        start_days=days.start,
        balls=days.balls,
        worth=worth,
        looks=n - days.start,
        answer=answer if held else Answer.CANNOT_TELL,
        held=held,
        more_days=0 if told else _most([_more_days(n, each, worth) for each in looks]),
        gain=gain,
        together=look.together,
    )


@dataclass(frozen=True, slots=True)
class _Look:
    """What one look sees: the change, its reach at every look, and the narrower one."""

    before: float
    value: float
    reach: float
    narrow: float
    together: float

    def answer(self, worth: float) -> Answer:
        if abs(self.value) + self.narrow < worth:
            return Answer.DID_NOT_MOVE
        return Answer.MOVED if abs(self.value) > self.reach else Answer.CANNOT_TELL

    def said(self, worth: float) -> tuple[Answer, bool]:
        """With the way it went, where it moved: elsewhere the sign is chance, or the rounding of
        the machine.
        """
        answer = self.answer(worth)
        return answer, answer is Answer.MOVED and self.value > 0


def _looks(days: Days, mistaken: float) -> list[_Look]:
    """Without what moves everybody alike, and as it is where that is another look."""
    plain = [] if days.shared is None else [_look(replace(days, shared=None), mistaken)]
    return [_look(days, mistaken), *plain]


def _said(looks: Sequence[_Look], worth: float) -> tuple[Answer, bool]:
    """What all looks say, and which way; where they differ nothing can be told."""
    said = {each.said(worth) for each in looks}
    return said.pop() if len(said) == 1 else (Answer.CANNOT_TELL, False)


def _most(days: Sequence[int | None]) -> int | None:
    known = [each for each in days if each is not None]
    return max(known) if len(known) == len(days) else None


def _look(days: Days, mistaken: float) -> _Look:
    n, start = days.figures.size, days.start
    parts, alike = _contrast(days.variances, start), alike_days(n, days.usual.alike)
    before = float(-(parts[:start] @ days.figures[:start]))
    value = float(parts @ days.own)
    together, unknown = days.together(parts)
    sizes = np.sqrt(days.variances)
    error = float((parts * sizes) @ alike @ (parts * sizes))
    scale = _scale(days, start, alike)
    reach, narrow = (
        _reach(n - 2 + days.usual.freedom, start, chance) * sqrt(scale * error + unknown)
        for chance in (mistaken, OVERLOOKED)
    )
    return _Look(before, value, reach, narrow, together)


def _contrast(variances: Array, start: int) -> Array:
    """What each day weighs in the mean since the start less that of the start."""
    weights = 1 / variances
    parts: Array = weights / weights[start:].sum()
    parts[:start] = -weights[:start] / weights[:start].sum()
    return parts


def _scale(days: Days, start: int, alike: Array) -> float:
    """How the days differ about start and since, in units of what is expected: 1 if just so."""
    z = days.own / np.sqrt(days.variances)
    design = np.zeros((z.size, 2))
    design[:start, 0] = design[start:, 1] = 1
    design /= np.sqrt(days.variances)[:, None]
    hat = design @ np.linalg.inv(design.T @ design) @ design.T
    squares = float(((z - hat @ z) ** 2).sum())
    # Days that are alike differ less about their mean than they do at large.
    expected = float(np.trace(alike) - (hat * alike).sum())
    known = days.usual.freedom
    return (squares + known) / (expected + known)


def _reach(freedom: float, start: int, chance: float) -> float:
    """In standard errors. The first look stands on one day since, the last on any number."""
    return critical(chance, start + 1, freedom)


def critical(chance: float, ratio: float, freedom: float) -> float:
    """The multiple of a standard error beyond which a change is real, at whatever look.

    Parameters
    ----------
    chance : float
        That it is ever passed though nothing changed, in (0, 1).
    ratio : float
        Information at the last look over that at the first, above 1. A change from a start
        of k days is known to at most k days' worth, however often it is looked at: k + 1.
    freedom : float
        Degrees of freedom of the spread; the normal multiple becomes the one of Student's t
        with the same tail.

    Raises
    ------
    BadData
        A chance outside (0, 1), a ratio not above 1, or freedom not above 0.

    Notes
    -----
    The b at which density(b) ((b - 1 / b) log ratio + 4 / b) is the chance: that of a
    Brownian motion ever passing b roots of its time, looked at without a pause.

    References
    ----------
    Miller, R. & Siegmund, D. (1982). Biometrics 38, 1011-1016; repeated confidence
    intervals: Jennison, C. & Turnbull, B. W. (1989). J. Royal Stat. Soc. B 51, 305-361.

    Examples
    --------
    >>> round(critical(0.05, (0.85 / 0.15) ** 2, 1e9), 2)
    2.98
    """
    from scipy.special import ndtr, stdtrit

    share(chance, "chance")
    if not (finite(ratio, "ratio") > 1 and finite(freedom, "freedom") > 0):
        raise BadData("Information grows, and the freedom is above zero.")
    return float(-stdtrit(freedom, ndtr(-_multiple(chance, ratio))))


@lru_cache(maxsize=64)
def _multiple(chance: float, ratio: float) -> float:
    def ever(b: float) -> float:
        return exp(-b * b / 2) / sqrt(2 * pi) * ((b - 1 / b) * log(ratio) + 4 / b)

    return root(lambda b: ever(b) - chance, 1.0, 20.0)


def _more_days(n: int, look: _Look, worth: float) -> int | None:
    """About how many more test days until this change, if it stays, can be told.

    The reach falls about as the root of the days.
    """
    needed = [n * (look.reach / abs(look.value)) ** 2] if look.value else []
    if abs(look.value) < worth:
        needed.append(n * (look.narrow / (worth - abs(look.value))) ** 2)
    more = max(1.0, min(needed, default=float("inf")) - n)
    return ceil(more) if more <= MOST_AHEAD else None


def seen_by(
    days: int,
    balls: int,
    usual: DaySpread = USUAL_REPS,
    *,
    variance: float = 0.25,
    start: int = START_DAYS,
) -> float:
    """The smallest change that a test of so many days and balls a day can see.

    Parameters
    ----------
    days, balls : int
        Test days in all, more than the start, and balls on each.
    usual : DaySpread
    variance : float
        Of one ball: 0.25 for a share near one half, the largest there is.
    start : int
        Of how many days the start is, at least 2.

    Returns
    -------
    float
        In the unit of the balls (shares of 1): a change as large is called real in about
        half of all cases.

    Raises
    ------
    BadData
        Too few days, no balls, or variance not above 0.

    Notes
    -----
    House rule: the reach of the interval of `claim_of` where days differ as expected.
    """
    if finite(balls, "balls") < 1 or not finite(variance, "variance") > 0:
        raise BadData("A test has balls, and they differ.")
    if not 2 <= finite(start, "start") < finite(days, "days"):
        raise BadData("A test needs a start, and days after it.")
    spread = variance * (usual.ratio**2 + 1 / balls)
    same = np.full(int(days), spread)
    known = Days(same, same, balls, usual, int(start))
    parts = _contrast(same, known.start)
    error = float(parts @ alike_days(same.size, usual.alike) @ parts)
    reach = _reach(same.size - 2 + usual.freedom, known.start, MISTAKEN)
    return reach * sqrt(spread * error)
