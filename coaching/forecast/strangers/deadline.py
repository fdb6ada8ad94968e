"""Somebody who begins when the lesson comes near: what is left a day that is left decides."""

from random import Random


class LastMinute:
    """The pressure is the share of the week left over the days left; at some point it is enough."""

    def __init__(self, chance: Random) -> None:
        self.lesson = chance.choice([4, 5, 6, 6, 6])  # Last day before the lesson.
        self.threshold = chance.uniform(0.12, 0.7)
        self.discipline = chance.uniform(0.2, 0.97)
        self.stretch = chance.uniform(0.6, 2.6)  # Of a day's share, once at it.
        self.asked = float(chance.randrange(50, 150, 10))

    def open_week(self, number: int, chance: Random) -> float:
        if number and chance.random() < 0.3:
            self.asked = max(30.0, self.asked + chance.choice([-20, -10, 10, 20]))
        return self.asked

    def live(self, day: int, left: float, chance: Random) -> float:
        will = self._will(day, left)
        if not will or chance.random() >= will:
            return 0.0
        today = self._a_day(day, left) * chance.uniform(0.7, 1.3)
        return round(min(left, max(5.0, today)))

    def _will(self, day: int, left: float) -> float:
        days_left = self.lesson - day + 1
        if days_left <= 0 or left <= 0:
            return 0.0
        pressure = left / self.asked / days_left
        return self.discipline if pressure >= self.threshold else 0.06

    def _a_day(self, day: int, left: float) -> float:
        return self.stretch * left / (self.lesson - day + 1)
