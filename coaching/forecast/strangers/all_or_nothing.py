"""Somebody to whom a week is whole or broken: one visit left out may end it."""

from copy import copy
from random import Random


class AllOrNothing:
    """Every second day from a day of their own on; a gap sometimes ends the week for good."""

    def __init__(self, chance: Random) -> None:
        self.first = chance.choice([0, 0, 1, 2])
        self.keeps = chance.uniform(0.6, 0.95)
        self.breaks = chance.uniform(0.2, 0.9)  # Chance that a visit left out ends the week.
        self.sitting = chance.choice([15, 20, 30])
        self.visits = chance.choice([2, 3, 3])
        self.broken = False
        self.belief = 0.0  # That the week is broken, of whoever sees the days only.

    def open_week(self, number: int, chance: Random) -> float:
        self.broken, self.belief = False, 0.0
        return float(self.sitting * self.visits)

    def live(self, day: int, left: float, chance: Random) -> float:
        if self.broken or day < self.first:
            return 0.0
        planned = (day - self.first) % 2 == 0
        will = self.keeps if planned else 0.12
        if chance.random() < will:
            self.belief = 0.0
            return self.sitting * chance.uniform(0.8, 1.3)
        silent = (1 - self.belief) * (1 - will)
        self.belief = self.belief / (self.belief + silent)
        if planned:
            self.broken = chance.random() < self.breaks
            self.belief += (1 - self.belief) * self.breaks
        return 0.0

    def as_seen(self, chance: Random) -> "AllOrNothing":
        one = copy(self)
        one.broken = chance.random() < self.belief
        return one
