"""Somebody who comes in bursts: visits renew themselves, and the calendar does not matter."""

from copy import copy
from math import exp
from random import Random


class Bursts:
    """Short gaps within a burst, long ones between two; now and then a very long visit."""

    def __init__(self, chance: Random) -> None:
        self.within = chance.uniform(1.0, 2.2)
        self.between = chance.uniform(4.0, 11.0)
        self.ends = chance.uniform(0.1, 0.45)
        self.usual = chance.uniform(12, 30)
        self.plan = 5 * round(self.usual * chance.uniform(1.6, 4.5) / 5)
        self.since = chance.randrange(1, 4)
        self.over = False

    def open_week(self, number: int, chance: Random) -> float:
        return float(max(20, self.plan))

    def live(self, day: int, left: float, chance: Random) -> float:
        self.since += 1
        if chance.random() >= self._due(self.between if self.over else self.within):
            return 0.0
        self.since, self.over = 0, chance.random() < self.ends
        return float(round(min(120.0, self.usual * 0.75 * chance.paretovariate(3.0))))

    def _due(self, mean: float) -> float:
        """The hazard of a Weibull of shape 1.6, day by day."""
        return 1 - self._lasts(mean, self.since) / self._lasts(mean, self.since - 1)

    def _lasts(self, mean: float, days: int) -> float:
        return exp(-((max(0, days) / mean) ** 1.6))

    def as_seen(self, chance: Random) -> "Bursts":
        """Nobody sees whether a burst is over; the days since the last visit speak for it."""
        long, short = (self._lasts(mean, self.since) for mean in (self.between, self.within))
        odds = self.ends * long
        one = copy(self)
        one.over = chance.random() * (odds + (1 - self.ends) * short) < odds
        return one
