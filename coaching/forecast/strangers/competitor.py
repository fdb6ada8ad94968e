"""Somebody who lives from event to event: much before one, a rest after it."""

from random import Random


class Competitor:
    """Weeks until the next event set how often and how long; the calendar is known at home only."""

    def __init__(self, chance: Random) -> None:
        self.gap = chance.choice([3, 4, 5, 6])
        self.next = chance.randrange(self.gap)
        self.idle = chance.uniform(0.08, 0.3)
        self.eager = chance.uniform(0.55, 0.9)
        self.bout = chance.uniform(15, 35)
        self.asked = float(5 * round(self.bout * chance.uniform(1.8, 3.6) / 5))
        self.weeks_left = self.next

    def open_week(self, number: int, chance: Random) -> float:
        self.weeks_left = (self.next - number) % self.gap
        return self.asked

    def live(self, day: int, left: float, chance: Random) -> float:
        will = self._will(day)
        if not will or chance.random() >= will:
            return 0.0
        return float(round(self._bout() * chance.uniform(0.75, 1.25)))

    def _near(self) -> float:
        return 1 - self.weeks_left / self.gap

    def _will(self, day: int) -> float:
        if self.weeks_left == 0 and day >= 4:  # The event itself.
            return 0.0
        just_over = self.weeks_left == self.gap - 1 and day < 3
        return self.idle if just_over else self.idle + (self.eager - self.idle) * self._near()

    def _bout(self) -> float:
        return self.bout * (0.7 + 0.5 * self._near())
