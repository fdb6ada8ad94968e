"""Somebody who goes when it has piled up enough to be worth the way, and gives up under a heap."""

from random import Random

GIVES_UP = 0.15  # Chance on a day, under too big a heap.


class CatchesUp:
    """Each day a seventh falls due; a heap worth the way is worked off, too big a one is left."""

    def __init__(self, chance: Random) -> None:
        self.worth = chance.uniform(0.1, 0.5)  # Of the week, due and not done.
        self.too_much = self.worth + chance.uniform(0.1, 0.6)
        self.free = [chance.random() < chance.uniform(0.5, 0.9) for _ in range(7)]
        self.goes = chance.uniform(0.5, 0.95)
        self.share = chance.uniform(0.6, 1.1)  # Of the heap, at one go.
        self.usual = float(chance.randrange(45, 140, 5))
        self.asked = self.usual

    def open_week(self, number: int, chance: Random) -> float:
        self.asked = self.usual + chance.choice([-15.0, 0.0, 0.0, 15.0])
        return self.asked

    def live(self, day: int, left: float, chance: Random) -> float:
        heap = left / self.asked - (6 - day) / 7
        if heap < self.worth or not self.free[day]:
            return 0.0
        if chance.random() >= (self.goes if heap <= self.too_much else GIVES_UP):
            return 0.0
        return float(round(self.asked * heap * self.share * chance.uniform(0.8, 1.2)))
