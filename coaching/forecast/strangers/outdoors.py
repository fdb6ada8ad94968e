"""Somebody who practises outdoors: spells of rain, light evenings, and a budget of energy."""

from copy import copy
from random import Random

IN_THE_WET = 0.04


class Outdoors:
    def __init__(self, chance: Random) -> None:
        self.wet = False
        self.belief = 0.0  # That it is wet, of whoever sees the days only.
        self.energy = 1.0
        self.gets_wet = chance.uniform(0.12, 0.3)
        self.dries = chance.uniform(0.25, 0.5)
        self.keen = chance.uniform(0.5, 1.0)
        self.bucket = chance.choice([20, 25, 35, 40])
        self.asked = float(5 * round(self.bucket * chance.uniform(1.6, 3.8) / 5))

    def open_week(self, number: int, chance: Random) -> float:
        if number and number % 5 == 0:
            self.asked = max(25.0, self.asked + chance.choice([-10.0, 0.0, 5.0, 10.0]))
        return self.asked

    def live(self, day: int, left: float, chance: Random) -> float:
        self.wet = chance.random() >= self.dries if self.wet else chance.random() < self.gets_wet
        wet = self.belief * (1 - self.dries) + (1 - self.belief) * self.gets_wet
        self.energy = min(1.0, self.energy + 0.3)
        evening = 0.75 if day < 5 else 1.0
        dry = self.keen * evening * self.energy
        if chance.random() >= (IN_THE_WET if self.wet else dry):
            self.belief = _after(wet, 1 - IN_THE_WET, 1 - dry)
            return 0.0
        self.belief = _after(wet, IN_THE_WET, dry)
        self.energy -= chance.uniform(0.35, 0.7)
        return float(round(self.bucket * chance.gauss(1.0, 0.2)))

    def as_seen(self, chance: Random) -> "Outdoors":
        one = copy(self)
        one.wet = chance.random() < self.belief
        return one


def _after(wet: float, fits_wet: float, fits_dry: float) -> float:
    return wet * fits_wet / (wet * fits_wet + (1 - wet) * fits_dry)
