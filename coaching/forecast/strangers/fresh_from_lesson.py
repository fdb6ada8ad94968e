"""Somebody who practises while the lesson is fresh: much at first, then it is forgotten."""

from copy import copy
from math import exp
from random import Random


class FreshFromLesson:
    """Some lessons catch and some do not; interest fades with the days, the weekend aside."""

    def __init__(self, chance: Random) -> None:
        self.lesson = chance.choice([0, 0, 1, 2, 3])
        self.eager = chance.uniform(0.6, 0.95)
        self.lasts = chance.uniform(1.2, 5.0)  # Days.
        self.catches = chance.uniform(0.3, 0.85)
        self.weekend = chance.choice([0.0, 0.1, 0.35])
        self.usual = chance.uniform(12, 35)
        self.asked = float(5 * round(self.usual * chance.uniform(1.5, 3.5) / 5))
        self.caught = False
        self.belief = 0.5  # That the last lesson caught, of whoever sees the days only.

    def open_week(self, number: int, chance: Random) -> float:
        return self.asked

    def live(self, day: int, left: float, chance: Random) -> float:
        if day == self.lesson:
            self.caught = chance.random() < self.catches
            self.belief = self.catches
        fresh = self.eager * exp(-((day - self.lesson) % 7) / self.lasts)
        other = self.weekend if day >= 5 else 0.02
        wills = (max(0.3 * fresh, other), max(fresh, other))
        comes = chance.random() < wills[self.caught]
        dull, lively = (will if comes else 1 - will for will in wills)
        self.belief = self.belief * lively / (self.belief * lively + (1 - self.belief) * dull)
        return float(round(self.usual * chance.lognormvariate(0, 0.3))) if comes else 0.0

    def as_seen(self, chance: Random) -> "FreshFromLesson":
        one = copy(self)
        one.caught = chance.random() < self.belief
        return one
