"""A child between two homes, with clubs on some afternoons and holidays in the calendar."""

from random import Random

TERM = 9  # Weeks of school, then two of holidays.


class Family:
    """A timetable decides: every other weekend away from the clubs, holidays another life."""

    def __init__(self, chance: Random) -> None:
        self.clubs = frozenset(chance.sample(range(5), chance.choice([1, 2, 2, 3])))
        self.odd_weekends = chance.random() < 0.6
        self.parity = chance.randrange(2)
        self.shift = chance.randrange(TERM)
        self.after_school = chance.uniform(0.35, 0.8)
        self.at_home = chance.uniform(0.5, 0.95)
        self.holiday = chance.choice([0.08, 0.2, 0.75])
        self.minutes = chance.choice([15, 20, 25])
        self.asked = float(5 * round(self.minutes * chance.uniform(2.2, 4.6) / 5))
        self.number = 0

    def open_week(self, number: int, chance: Random) -> float:
        self.number = number
        return self.asked

    def live(self, day: int, left: float, chance: Random) -> float:
        if chance.random() >= self._will(day):
            return 0.0
        return float(self.minutes + chance.choice([-5, 0, 0, 0, 5, 10]))

    def _will(self, day: int) -> float:
        if (self.number + self.shift) % (TERM + 2) >= TERM:
            return self.holiday
        if day >= 5:
            away = self.odd_weekends and self.number % 2 == self.parity
            return 0.03 if away else self.at_home
        return 0.04 if day in self.clubs else self.after_school
