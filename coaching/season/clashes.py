"""Hard golf beside hard gym: what stands too close together in a week. Pure.

Both coaches read the same sentences. The app says what stands where; it prescribes
neither swings nor lifts. House rules (common practice, no source).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from shared.kit.text import date_words

HARD_DAYS_IN_A_ROW = 3
_DAY = timedelta(days=1)


class GymLoad(StrEnum):
    HEAVY = "heavy"
    MEDIUM = "medium"
    LIGHT = "light"
    REST = "rest"


class Body(StrEnum):
    LOWER = "lower"
    UPPER = "upper"
    BOTH = "both"


@dataclass(frozen=True, slots=True)
class GymLine:
    """One day of the gym strip."""

    load: GymLoad
    body: Body = Body.BOTH
    jumps: bool = False

    @property
    def is_hard_on_legs(self) -> bool:
        """Heavy lower-body work; jumps in a heavy or medium session count as that."""
        if self.load is GymLoad.HEAVY and self.body is not Body.UPPER:
            return True
        return self.jumps and self.load in {GymLoad.HEAVY, GymLoad.MEDIUM}


@dataclass(frozen=True, slots=True)
class HardGolf:
    """A day of hard speed work or of a test or event; `what` is its name."""

    day: date
    what: str
    is_speed: bool = True


@dataclass(frozen=True, slots=True, order=True)
class Clash:
    """One sentence about one day."""

    day: date
    words: str


def clashes_of(gym: Mapping[date, GymLine], golf: Iterable[HardGolf]) -> list[Clash]:
    """Everything that stands too close, by day.

    Parameters
    ----------
    gym : mapping of date to GymLine
    golf : iterable of HardGolf
        Speed work and speed tests (`is_speed`), and competitions.

    Returns
    -------
    list of Clash
        Speed work, a test or an event on a day of heavy legs or on the day after; hard
        speed work on two days in a row; the third of three hard days in a row.
    """
    golf = sorted(set(golf), key=lambda hard: (hard.day, hard.what))
    found = [clash for hard in golf for clash in _beside_gym(hard, gym)]
    speed = sorted({hard.day for hard in golf if hard.is_speed})
    found += [
        Clash(day, f"{date_words(day)}: hard speed work the day after hard speed work.")
        for day in speed
        if day - _DAY in speed
    ]
    return sorted(set(found + _in_a_row(gym, speed)))


def _beside_gym(hard: HardGolf, gym: Mapping[date, GymLine]) -> list[Clash]:
    return [
        Clash(hard.day, f"{date_words(hard.day)}: {hard.what} {when}.")
        for back, when in ((0, "on a day of heavy legs"), (1, "the day after heavy legs"))
        if (line := gym.get(hard.day - back * _DAY)) is not None and line.is_hard_on_legs
    ]


def _in_a_row(gym: Mapping[date, GymLine], speed: Iterable[date]) -> list[Clash]:
    hard = {day for day, line in gym.items() if line.load is GymLoad.HEAVY} | set(speed)
    return [
        Clash(day, f"{date_words(day)}: the third hard day in a row, golf and gym together.")
        for day in sorted(hard)
        if all(day - n * _DAY in hard for n in range(HARD_DAYS_IN_A_ROW))
        and day - HARD_DAYS_IN_A_ROW * _DAY not in hard
    ]
