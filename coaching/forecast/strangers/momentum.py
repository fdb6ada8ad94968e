"""Somebody carried by yesterday: doing calls for doing, and a rest grows longer."""

from random import Random


class Momentum:
    """A drive between 0 and 1 that each visit lifts and each idle day lowers, week in week out."""

    def __init__(self, chance: Random) -> None:
        self.drive = chance.uniform(0.2, 0.8)
        self.lift = chance.uniform(0.1, 0.3)
        self.drop = chance.uniform(0.06, 0.18)
        self.rest = chance.uniform(0.1, 0.3)  # Where the drive returns to by itself.
        self.tempo = chance.uniform(10, 26)
        self.plan = 5.0 * round(self.tempo * chance.uniform(1.8, 5.0) / 5)

    def open_week(self, number: int, chance: Random) -> float:
        self.drive = min(0.95, self.drive + 0.08)  # A lesson does good.
        return max(20.0, self.plan)

    def live(self, day: int, left: float, chance: Random) -> float:
        if chance.random() < self.drive:
            self.drive = min(0.95, self.drive + self.lift * (1 - self.drive))
            return float(round(self.tempo * (0.6 + 0.6 * self.drive) * chance.uniform(0.8, 1.25)))
        self.drive = max(self.rest, self.drive - self.drop)
        return 0.0
