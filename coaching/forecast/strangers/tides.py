"""Somebody whose work comes in busy and in free weeks, which follow their own chain."""

from copy import copy
from random import Random

FREE, BUSY, AWAY = range(3)
NEXT = ((0.72, 0.24, 0.04), (0.37, 0.60, 0.03), (0.50, 0.40, 0.10))


class Tides:
    """In a free week most evenings, in a busy one the odd half-hour; the week asked wanders."""

    def __init__(self, chance: Random) -> None:
        self.kind = FREE
        self.often = (chance.uniform(0.5, 0.85), chance.uniform(0.1, 0.35), 0.0)
        self.part = chance.uniform(0.18, 0.4)  # Of the week, at one sitting.
        self.middle = chance.uniform(50, 130)
        self.asked = self.middle
        self.belief: tuple[float, ...] = (1.0, 0.0, 0.0)  # Of whoever sees the days only.

    def open_week(self, number: int, chance: Random) -> float:
        self.kind = chance.choices(range(3), NEXT[self.kind])[0]
        self.belief = tuple(
            sum(share * row[kind] for share, row in zip(self.belief, NEXT, strict=True))
            for kind in range(3)
        )
        self.asked = 5.0 * round(self.middle * chance.choice([0.7, 0.85, 1.0, 1.2, 1.5]) / 5)
        return self.asked

    def live(self, day: int, left: float, chance: Random) -> float:
        comes = chance.random() < self.often[self.kind]
        fits = [p if comes else 1 - p for p in self.often]
        both = [share * fit for share, fit in zip(self.belief, fits, strict=True)]
        self.belief = tuple(each / sum(both) for each in both)
        if not comes:
            return 0.0
        hurried = 0.6 if self.kind == BUSY else 1.0
        return float(round(self.asked * self.part * hurried * chance.triangular(0.5, 1.5, 1.0)))

    def as_seen(self, chance: Random) -> "Tides":
        one = copy(self)
        one.kind = chance.choices(range(3), self.belief)[0]
        return one
