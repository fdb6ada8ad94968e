"""Somebody who practises with somebody else: on days agreed on, if the other is there."""

from copy import copy
from random import Random

GOES_AWAY, COMES_BACK = 0.14, 0.5


class Partner:
    """Two or three days agreed on until they no longer suit; for weeks the other may be away."""

    def __init__(self, chance: Random) -> None:
        self.days = frozenset(chance.sample(range(7), chance.choice([2, 2, 3])))
        self.steady = chance.uniform(0.7, 0.97)
        self.alone = chance.uniform(0.03, 0.45)
        self.sitting = chance.choice([20, 30, 40])
        self.asked = float(self.sitting * chance.choice([2, 2, 3]))
        self.away = False
        self.belief = 0.0  # That the other is away, of whoever sees the days only.

    def open_week(self, number: int, chance: Random) -> float:
        if chance.random() < 0.1:
            self.days = frozenset(chance.sample(range(7), len(self.days)))
        stays = chance.random() >= COMES_BACK if self.away else chance.random() < GOES_AWAY
        self.away = stays
        self.belief = self.belief * (1 - COMES_BACK) + (1 - self.belief) * GOES_AWAY
        return self.asked

    def live(self, day: int, left: float, chance: Random) -> float:
        with_other = self.steady if day in self.days else 0.05
        by_self = self.alone if day in self.days else 0.03
        comes = chance.random() < (by_self if self.away else with_other)
        fits = by_self if comes else 1 - by_self
        others = with_other if comes else 1 - with_other
        self.belief = self.belief * fits / (self.belief * fits + (1 - self.belief) * others)
        if not comes:
            return 0.0
        return float(round(self.sitting * chance.triangular(0.6, 1.3, 1.0)))

    def as_seen(self, chance: Random) -> "Partner":
        one = copy(self)
        one.away = chance.random() < self.belief
        return one
