"""Somebody who likes the first part: that is done early and gladly, the rest on some weeks."""

from copy import copy
from random import Random

GOES_ON = 0.6  # Chance a day, in the mood and with the first part done.


class HalfHearted:
    """Two lists: the first is worked off, the second waits for a mood that seldom comes."""

    def __init__(self, chance: Random) -> None:
        self.first_share = chance.uniform(0.3, 0.75)
        self.likes = chance.uniform(0.35, 0.8)
        self.mood = chance.uniform(0.08, 0.75)  # Chance that a week has the mood for the rest.
        self.base = chance.choice([45, 60, 90, 120])
        self.asked = self.first_left = self.rest_left = 0.0
        self.in_the_mood = False
        self.belief = self.mood  # Of whoever sees the days only.

    def open_week(self, number: int, chance: Random) -> float:
        self.asked = float(self.base + chance.choice([-15, 0, 0, 15]))
        self.first_left = self.first_share * self.asked
        self.rest_left = self.asked - self.first_left
        self.in_the_mood = chance.random() < self.mood
        self.belief = self.mood
        return self.asked

    def live(self, day: int, left: float, chance: Random) -> float:
        done = 0.0
        if self.first_left > 0 and chance.random() < self.likes:
            done = min(self.first_left, self.asked * chance.uniform(0.12, 0.3))
            self.first_left -= done
        elif self.first_left <= 0 and self.rest_left > 0:
            done = self._goes_on(chance)
        return float(round(done))

    def _goes_on(self, chance: Random) -> float:
        if not self.in_the_mood or chance.random() >= GOES_ON:
            idle = self.belief * (1 - GOES_ON)
            self.belief = idle / (idle + 1 - self.belief)
            return 0.0
        self.belief = 1.0
        more = min(self.rest_left, self.asked * chance.uniform(0.1, 0.4))
        self.rest_left -= more
        return more

    def as_seen(self, chance: Random) -> "HalfHearted":
        one = copy(self)
        one.in_the_mood = chance.random() < self.belief
        return one
