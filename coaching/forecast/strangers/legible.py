"""Persons of whom can be said how likely a day of theirs was, for whoever learns them.

Those with whom the forecast falls farthest behind the best.
"""

from collections.abc import Callable
from math import inf
from random import Random
from typing import Protocol

from coaching.forecast.strangers.competitor import Competitor
from coaching.forecast.strangers.deadline import LastMinute
from coaching.forecast.strangers.family import Family
from coaching.forecast.strangers.half_hearted import GOES_ON, HalfHearted
from coaching.forecast.strangers.shift_worker import TWICE, ShiftWorker


class Legible(Protocol):
    """`saw` is how likely the day's minutes were; the person is then as the day leaves it."""

    def open_week(self, number: int, chance: Random) -> float: ...

    def was_asked(self, asked: float) -> None: ...

    def live(self, day: int, left: float, chance: Random) -> float: ...

    def saw(self, day: int, left: float, minutes: float) -> float: ...


def _part(low: float, high: float, since: float, until: float) -> float:
    """Of what is spread evenly between `low` and `high`, the part between the other two."""
    return max(0.0, min(high, until) - max(low, since)) / (high - low)


def _rounded(low: float, high: float, minutes: float, left: float, least: float = 0.0) -> float:
    """That something even comes to these minutes: rounded, cut at what is left, never below."""
    since = -inf if minutes <= least else minutes - 0.5
    return _part(low, high, since, inf if minutes >= left - 0.5 else minutes + 0.5)


class LegibleLastMinute(LastMinute):
    def was_asked(self, asked: float) -> None:
        self.asked = asked

    def saw(self, day: int, left: float, minutes: float) -> float:
        will = self._will(day, left)
        if minutes <= 0:
            return 1 - will
        if not will:
            return 0.0
        usual = self._a_day(day, left)
        return will * _rounded(0.7 * usual, 1.3 * usual, minutes, left, least=5.0)


class LegibleHalfHearted(HalfHearted):
    def was_asked(self, asked: float) -> None:
        self.asked, self.first_left = asked, self.first_share * asked

    def saw(self, day: int, left: float, minutes: float) -> float:
        if left <= 0:
            return 1.0
        return self._first(minutes) if self.first_left > 0 else self._rest(minutes, left)

    def _first(self, minutes: float) -> float:
        if minutes <= 0:
            return 1 - self.likes
        before, self.first_left = self.first_left, self.first_left - minutes
        if self.first_left < 1:  # Minutes are rounded: within one it is done.
            self.first_left, over = 0.0, minutes > before + 1
            return 0.0 if over else self.likes * self._spread(0.12, 0.3, minutes, before - 0.5)
        return self.likes * self._spread(0.12, 0.3, minutes, before)

    def _rest(self, minutes: float, left: float) -> float:
        goes = self.belief * GOES_ON
        if minutes <= 0:
            self.belief = (self.belief - goes) / (1 - goes)
            return 1 - goes
        self.belief = 1.0
        return goes * self._spread(0.1, 0.4, minutes, left)

    def _spread(self, low: float, high: float, minutes: float, left: float) -> float:
        return _rounded(low * self.asked, high * self.asked, minutes, left)


class LegibleFamily(Family):
    def was_asked(self, asked: float) -> None:
        self.asked = asked

    def saw(self, day: int, left: float, minutes: float) -> float:
        if left <= 0:
            return 1.0
        will = self._will(day)
        if minutes <= 0:
            return 1 - will
        may_be = [min(left, self.minutes + more) for more in (-5, 0, 0, 0, 5, 10)]
        return will * may_be.count(minutes) / len(may_be)


class LegibleShiftWorker(ShiftWorker):
    def was_asked(self, asked: float) -> None:
        """Of the week's minutes nothing is learnt."""

    def saw(self, day: int, left: float, minutes: float) -> float:
        shift = self._next_shift()
        if left <= 0:
            return 1.0
        will = 0.0 if self.tired >= 3 else self.will[shift]
        if minutes <= 0:
            return 1 - will
        twice = TWICE if shift == "-" else 0.0
        once = (1 - twice) * (minutes == min(left, self.block))
        return will * (once + twice * (minutes == min(left, 2 * self.block)))


class LegibleCompetitor(Competitor):
    def was_asked(self, asked: float) -> None:
        self.asked = asked

    def saw(self, day: int, left: float, minutes: float) -> float:
        if left <= 0:
            return 1.0
        will = self._will(day)
        if minutes <= 0:
            return 1 - will
        return will * _rounded(0.75 * self._bout(), 1.25 * self._bout(), minutes, left)


LEGIBLE: dict[str, Callable[[Random], Legible]] = {
    "last minute": LegibleLastMinute,
    "half-hearted": LegibleHalfHearted,
    "family": LegibleFamily,
    "shift worker": LegibleShiftWorker,
    "competitor": LegibleCompetitor,
}
