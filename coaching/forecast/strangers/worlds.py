"""Studios of strangers, their weeks as they were logged, and the best forecast there could be.

The best possible forecast knows each person by heart, and of what is hidden (whether this is
a busy week, whether it rains) as much as their days so far tell, from the true chances: the
rest of the week is lived by many copies, and the share of them that reach the line is the
chance. What a person is like can only be guessed from few weeks: to be had is less, and of some
kinds is known how much less (`learner`).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from random import Random
from typing import Protocol

from coaching.forecast.strangers.all_or_nothing import AllOrNothing
from coaching.forecast.strangers.bursts import Bursts
from coaching.forecast.strangers.catches_up import CatchesUp
from coaching.forecast.strangers.competitor import Competitor
from coaching.forecast.strangers.creature_of_habit import CreatureOfHabit
from coaching.forecast.strangers.deadline import LastMinute
from coaching.forecast.strangers.family import Family
from coaching.forecast.strangers.fresh_from_lesson import FreshFromLesson
from coaching.forecast.strangers.half_hearted import HalfHearted
from coaching.forecast.strangers.just_in_time import JustInTime
from coaching.forecast.strangers.learner import learnt
from coaching.forecast.strangers.legible import LEGIBLE
from coaching.forecast.strangers.momentum import Momentum
from coaching.forecast.strangers.outdoors import Outdoors
from coaching.forecast.strangers.partner import Partner
from coaching.forecast.strangers.settles_accounts import SettlesAccounts
from coaching.forecast.strangers.shift_worker import ShiftWorker
from coaching.forecast.strangers.tides import Tides

FIRST_MONDAY = date(2031, 1, 6)
DAYS = 7
WEDNESDAY = 2
COPIES = 200


class Person(Protocol):
    """Somebody who practises, day by day. `left` are the minutes of the week still asked."""

    def open_week(self, number: int, chance: Random) -> float: ...

    def live(self, day: int, left: float, chance: Random) -> float: ...


KINDS: dict[str, Callable[[Random], Person]] = {
    "creature of habit": CreatureOfHabit,
    "last minute": LastMinute,
    "bursts": Bursts,
    "tides": Tides,
    "family": Family,
    "momentum": Momentum,
    "half-hearted": HalfHearted,
    "shift worker": ShiftWorker,
    "outdoors": Outdoors,
    "all or nothing": AllOrNothing,
    "competitor": Competitor,
    "settles accounts": SettlesAccounts,
    "just in time": JustInTime,
    "partner": Partner,
    "fresh from the lesson": FreshFromLesson,
    "catches up": CatchesUp,
}
# Written before the forecast was last worked on, and not looked at until that was done.
HELD_BACK = ("just in time", "partner", "fresh from the lesson", "catches up")
MIXED = "mixed"


@dataclass(frozen=True, slots=True)
class LoggedWeek:
    """One week as it was logged: credited by day, and the best chance on Wednesday evening.

    `learnt` is the chance for whoever knows the kind, and of the person the days before.
    """

    opens: date
    asked: float
    by_day: tuple[float, ...]
    best: float
    learnt: float | None = None

    def reaches(self, enough: float) -> bool:
        return sum(self.by_day) >= enough * self.asked - 1e-9


def studio(
    kind: str,
    *,
    students: int,
    weeks: int,
    seed: int | str,
    enough: float,
    kinds: Sequence[str] = (),
    learns: bool = False,
) -> list[list[LoggedWeek]]:
    """A studio of one kind of person, or of all `kinds` in turn; the same seed, the same one.

    With `learns` each week of a kind in LEGIBLE says what could be learnt.
    """
    lives = []
    names = list(kinds or KINDS) if kind == MIXED else [kind]
    for number in range(students):
        name = f"{seed} {kind} {number}"
        chance = Random(name)  # noqa: S311 (no secret)
        one = names[number % len(names)]
        person = KINDS[one](chance)
        life = [_week(person, week, enough, chance) for week in range(weeks)]
        lives.append(_learnt(one, life, enough, name) if learns and one in LEGIBLE else life)
    return lives


def _learnt(kind: str, life: Sequence[LoggedWeek], enough: float, seed: str) -> list[LoggedWeek]:
    seen = [(week.asked, week.by_day) for week in life]
    chances = learnt(LEGIBLE[kind], seen, enough, WEDNESDAY, f"{seed} learnt")
    return [replace(week, learnt=each) for week, each in zip(life, chances, strict=True)]


def _week(person: Person, number: int, enough: float, chance: Random) -> LoggedWeek:
    asked = person.open_week(number, chance)
    days: list[float] = []
    best = 0.0
    for day in range(DAYS):
        if day == WEDNESDAY + 1:
            best = _best(person, asked, days, enough, chance)
        days.append(_lived(person, day, asked - sum(days), chance))
    return LoggedWeek(FIRST_MONDAY + timedelta(weeks=number), asked, tuple(days), best)


def _lived(person: Person, day: int, left: float, chance: Random) -> float:
    return min(left, max(0.0, person.live(day, left, chance)))


def _best(
    person: Person, asked: float, days: Sequence[float], enough: float, chance: Random
) -> float:
    """The share of the copies that reach the line, from this evening on."""
    done = sum(days)
    if done >= enough * asked - 1e-9:
        return 1.0
    dice = Random(chance.random())  # noqa: S311 (no secret)
    came = 0
    for _ in range(COPIES):
        one, total = _copy(person, dice), done
        for day in range(len(days), DAYS):
            total += _lived(one, day, asked - total, dice)
        came += total >= enough * asked - 1e-9
    return came / COPIES


def _copy(person: Person, dice: Random) -> Person:
    """Alike in all that the days so far tell; what they leave open is drawn anew."""
    as_seen: Callable[[Random], Person] | None = getattr(person, "as_seen", None)
    if as_seen:
        return as_seen(dice)
    one: Person = object.__new__(type(person))  # In a third of the time that `copy` takes.
    vars(one).update(vars(person))
    return one
