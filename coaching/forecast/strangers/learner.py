"""What could be learnt at most: by somebody who knows the kind of person, and of the one only days.

The best possible forecast (`worlds`) knows each person by heart, which nobody who sees a few
weeks ever can. This one knows how such people are, all there is of chance in how one of them is
made, and the minutes logged so far. Whoever it may be is held by many persons made so, each
weighing as likely as the days make it; where few of them are left they are drawn anew and moved
(Chopin 2002, A sequential particle filter method for static models, Biometrika 89, 539-551).
A forecast that must find out the kind as well comes no nearer on average.
"""

from collections.abc import Callable, Sequence
from copy import copy
from math import exp, log
from random import Random

from coaching.forecast.strangers.legible import Legible

PERSONS = 240
MOVES = 3  # Each time they are drawn anew.
FEW = 0.5  # Of the persons, in effect.
ENDS = 400  # Of a week lived on, to say a chance.
THROWS = 16  # More than any person takes to be made.
NEVER = 1e-4  # So likely is at least what was seen: minutes are rounded.
STEP = 0.06
DAYS = 7

Week = tuple[float, Sequence[float]]  # Asked, and credited by day.


class _Thrown(Random):
    """Chance that throws what it is told: the same throws make the same person."""

    def __init__(self, throws: Sequence[float]) -> None:
        super().__init__(0)
        self.throws, self.used = throws, 0

    def random(self) -> float:
        self.used += 1
        return self.throws[self.used - 1]


class _Possible:
    """One who it may be: the throws that made it, and the log of how likely it makes the days."""

    def __init__(self, made: Callable[[Random], Legible], throws: Sequence[float]) -> None:
        thrown = _Thrown(throws)
        self.throws, self.person = throws, made(thrown)
        self.used = thrown.used
        self.fits = 0.0

    def opens(self, number: int, asked: float, dice: Random) -> None:
        self.person.open_week(number, dice)
        self.person.was_asked(asked)

    def sees(self, day: int, left: float, minutes: float) -> None:
        self.fits += log(NEVER + (1 - NEVER) * self.person.saw(day, left, minutes))

    def again(self) -> "_Possible":
        one = copy(self)
        one.person = copy(self.person)
        return one


def learnt(
    made: Callable[[Random], Legible], weeks: Sequence[Week], enough: float, look: int, seed: str
) -> list[float]:
    """The chance that each week reaches the line, at the end of the day `look`."""
    dice = Random(seed)  # noqa: S311 (no secret)
    held = [_Possible(made, [dice.random() for _ in range(THROWS)]) for _ in range(PERSONS)]
    before = [0.0] * PERSONS  # What is drawn in already of how likely they are.
    chances = []
    for number, (asked, by_day) in enumerate(weeks):
        for one in held:
            one.opens(number, asked, dice)
        done = 0.0
        for day, minutes in enumerate(by_day):
            if day == look + 1:
                chances.append(_chance(held, before, (asked, by_day[:day]), enough, dice))
            for one in held:
                one.sees(day, asked - done, minutes)
            done += minutes
        weights = _weights(held, before)
        if 1 / sum(w * w for w in weights) < FEW * PERSONS:
            drawn = dice.choices(held, weights, k=PERSONS)
            held = [_moved(one.again(), made, weeks[: number + 1], dice) for one in drawn]
            before = [one.fits for one in held]
    return chances


def _weights(held: Sequence[_Possible], before: Sequence[float]) -> list[float]:
    logs = [one.fits - drawn for one, drawn in zip(held, before, strict=True)]
    raw = [exp(each - max(logs)) for each in logs]
    return [each / sum(raw) for each in raw]


def _chance(
    held: Sequence[_Possible], before: Sequence[float], so_far: Week, enough: float, dice: Random
) -> float:
    asked, days = so_far
    line = enough * asked - 1e-9
    if sum(days) >= line:
        return 1.0
    came = 0
    for one in dice.choices(held, _weights(held, before), k=ENDS):
        as_seen: Callable[[Random], Legible] | None = getattr(one.person, "as_seen", None)
        person = as_seen(dice) if as_seen else copy(one.person)
        total = sum(days)
        for day in range(len(days), DAYS):
            total += min(asked - total, max(0.0, person.live(day, asked - total, dice)))
        came += total >= line
    return came / ENDS


def _moved(
    one: _Possible, made: Callable[[Random], Legible], weeks: Sequence[Week], dice: Random
) -> _Possible:
    """A few steps of Metropolis: one throw anew, or all a little."""
    for _ in range(MOVES):
        throws = list(one.throws)
        if dice.random() < 0.5:
            throws[dice.randrange(one.used)] = dice.random()
        else:
            throws = [(each + dice.gauss(0, STEP)) % 1.0 for each in throws]
        other = _Possible(made, throws)
        _lives(other, weeks, dice)
        if log(1 - dice.random()) < other.fits - one.fits:
            one = other
    return one


def _lives(one: _Possible, weeks: Sequence[Week], dice: Random) -> None:
    for number, (asked, by_day) in enumerate(weeks):
        one.opens(number, asked, dice)
        done = 0.0
        for day, minutes in enumerate(by_day):
            one.sees(day, asked - done, minutes)
            done += minutes
