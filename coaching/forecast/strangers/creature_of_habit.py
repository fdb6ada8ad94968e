"""Somebody with fixed days: a habit that grows each time it is kept and fades when it is not."""

from random import Random


class CreatureOfHabit:
    """Practises on chosen weekdays, the work cut into equal visits, whatever the week asks."""

    def __init__(self, chance: Random) -> None:
        self.visits = chance.choice([2, 3, 3, 4, 5])
        self.days = frozenset(chance.sample(range(7), self.visits))
        self.habit = {day: chance.uniform(0.55, 0.95) for day in self.days}
        self.ambition = chance.uniform(0.7, 1.25)  # Of the week, if every visit is kept.
        self.base = chance.choice([60, 80, 100, 120])
        self.asked = 0.0

    def open_week(self, number: int, chance: Random) -> float:
        if number % 3 == 0:
            self.asked = self.base * chance.choice([0.75, 1.0, 1.0, 1.4])
        return self.asked

    def live(self, day: int, left: float, chance: Random) -> float:
        if day not in self.days:
            return self._now_and_then(left, chance)
        held = self.habit[day]
        kept = chance.random() < held
        self.habit = self.habit | {day: held + 0.04 * (0.97 - held) if kept else 0.94 * held}
        if not kept:
            return 0.0
        return round(self.ambition * self.asked / self.visits * chance.uniform(0.8, 1.2))

    def _now_and_then(self, left: float, chance: Random) -> float:
        return min(left, 15.0) if chance.random() < 0.04 else 0.0
