"""Somebody on a roster of early, late and night shifts; free days move through the week."""

from random import Random

ROSTER = "EEELL--NNN--EEL--LLNN---"  # One letter a day; it does not know of weeks.
TWICE = 0.3  # Chance of two blocks on a free day.


class ShiftWorker:
    def __init__(self, chance: Random) -> None:
        self.at = chance.randrange(len(ROSTER))
        self.will = {
            "E": chance.uniform(0.3, 0.75),
            "L": chance.uniform(0.02, 0.25),
            "N": chance.uniform(0.0, 0.15),
            "-": chance.uniform(0.5, 0.9),
        }
        self.block = chance.choice([15, 20, 30])
        self.blocks_asked = chance.randrange(2, 6)
        self.tired = 0

    def open_week(self, number: int, chance: Random) -> float:
        return float(self.block * self.blocks_asked)

    def live(self, day: int, left: float, chance: Random) -> float:
        shift = self._next_shift()
        if self.tired >= 3 or chance.random() >= self.will[shift]:
            return 0.0
        return float(self.block * (2 if shift == "-" and chance.random() < TWICE else 1))

    def _next_shift(self) -> str:
        shift = ROSTER[self.at % len(ROSTER)]
        self.at += 1
        self.tired = self.tired + 1 if shift == "N" else 0
        return shift
