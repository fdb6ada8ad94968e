"""Somebody who looks once a week at what is left, and then settles it or writes it off."""

from random import Random


class SettlesAccounts:
    """Before the day of reckoning the odd visit; after it a plan for the rest, or none."""

    def __init__(self, chance: Random) -> None:
        self.reckons = chance.choice([2, 3, 3, 4, 5])
        self.dares = chance.uniform(0.45, 1.0)  # The share left that is still worth beginning.
        self.early = chance.uniform(0.1, 0.6)
        self.reliable = chance.uniform(0.5, 0.95)
        self.asked = float(chance.choice([40, 60, 75, 90, 120]))
        self.a_day = 0.0

    def open_week(self, number: int, chance: Random) -> float:
        self.a_day = 0.0
        if number % 4 == 3:
            self.asked = max(30.0, self.asked + chance.choice([-15.0, 0.0, 15.0]))
        return self.asked

    def live(self, day: int, left: float, chance: Random) -> float:
        if day < self.reckons:
            visits = chance.random() < self.early
            return float(round(self.asked * chance.uniform(0.1, 0.35))) if visits else 0.0
        if day == self.reckons and left <= self.dares * self.asked:
            self.a_day = 1.25 * left / (7 - day)
        if self.a_day and chance.random() < self.reliable:
            return float(round(max(10.0, self.a_day * chance.uniform(0.9, 1.4))))
        return 0.0
