"""Somebody who begins on the last day on which it can still be done, as far as that is known."""

from copy import copy
from math import ceil, exp
from random import Random

SLACKS = (0, 1, 2, 3, 4)  # Days that are kept in hand; another number each week.


class JustInTime:
    """What is left over the usual pace says how many days are needed; before them hardly any."""

    def __init__(self, chance: Random) -> None:
        self.pace = chance.uniform(12, 40)
        middle, width = chance.uniform(-0.5, 3.5), chance.uniform(0.5, 1.3)
        self.odds = [exp(-(((slack - middle) / width) ** 2) / 2) for slack in SLACKS]
        self.slips = chance.uniform(0.04, 0.4)  # Chance that something comes between.
        self.idle = chance.uniform(0.0, 0.1)
        self.asked = float(5 * round(self.pace * chance.uniform(1.4, 4.2) / 5))
        self.slack = 0
        self.belief = list(self.odds)  # Of whoever sees the days only.

    def open_week(self, number: int, chance: Random) -> float:
        self.slack = chance.choices(SLACKS, self.odds)[0]
        self.belief = list(self.odds)
        if number % 6 == 5:
            self.asked = max(20.0, self.asked + chance.choice([-10.0, 0.0, 10.0]))
        return self.asked

    def live(self, day: int, left: float, chance: Random) -> float:
        if left <= 0:
            return 0.0
        latest = 7 - ceil(left / self.pace)
        wills = [1 - self.slips if day >= latest - slack else self.idle for slack in SLACKS]
        comes = chance.random() < wills[self.slack]
        self.belief = [
            share * (will if comes else 1 - will)
            for share, will in zip(self.belief, wills, strict=True)
        ]
        return float(round(self.pace * chance.uniform(0.8, 1.25))) if comes else 0.0

    def as_seen(self, chance: Random) -> "JustInTime":
        one = copy(self)
        one.slack = chance.choices(SLACKS, self.belief)[0]
        return one
