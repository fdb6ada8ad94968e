"""How often the claims and intervals that pages print are right, on invented test days.

Each student is one of a studio, whose other students tell beforehand how much days differ.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache, partial
from math import sqrt
from random import Random
from statistics import fmean, median
from typing import TYPE_CHECKING

from practice.measures.answers import TooLittle
from practice.measures.usual import DaySpread, Together, UsualPrior
from practice.numbers.claims.simulated import (
    WEEKS,
    Gain,
    Ladder,
    World,
    balls_of,
    counts_of,
    ladder_of,
    turn_of,
)

if TYPE_CHECKING:
    from practice.measures.answers import Estimate
    from practice.measures.together import Shared
    from practice.numbers.ladder.steps import Judged

DAYS = (1, 3, 5, 8, 10, 20, 60)
BALLS, SWINGS, TRIES = 8, 6, 12
START, SPEED_START = 3, 4
WORTH = 0.10
METRES, CARRIES = 3.0, (60.0, 72.0)  # A ball's spread, and two lengths of one club.
WORTH_METRES = 1.0  # As practice.measures.claim has it.
REPS, LINE, FIRST = 6, 0.70, date(2031, 1, 6)  # Of a step and day; the clean line.
DAY_FIGURE = 0.84  # Spread of a day's median of six swings in the usual world, in balls' spreads.
OF_MEDIAN = 0.24  # Its variance within a day.
STUDIOS, OTHERS, TESTED = 10, 12, 12  # Studios of a world, and how much each has seen.
MONTH = 4  # Weeks.


Held = Callable[["World", int, Random], bool | None]


@dataclass(frozen=True, slots=True)
class Rates:
    """Of 100 students of one world.

    `held`: of each interval that a page prints, all of 95, by number of days, how many held
    the truth; None where none is given from so few. `moved`: of flat
    students, how many were ever told in a year of weekly looks that a test moved; `unmoved`:
    of those who gained just what is worth having, how many were ever told that it did not;
    `seen`: of those who gained much, how many were told.
    """

    world: str
    held: dict[str, tuple[float | None, ...]]
    moved: dict[str, float]
    unmoved: dict[str, float]
    seen: float


def judge(world: World, students: int, seed: int) -> Rates:
    """All rates of one world. Two minutes for 200 students, most for the year of looks."""

    def share(kind: str, once: Callable[[Random], bool | None]) -> float | None:
        randoms = (Random(f"{seed} {kind} {n}") for n in range(students))  # noqa: S311
        found = [each for each in map(once, randoms) if each is not None]
        return 100 * fmean(found) if len(found) * 2 > students else None

    def told(kind: str, word: str, gain: float) -> float:
        ever = share(f"{kind} {gain}", lambda r: word in set(SAID[kind](world, r, gain)))
        return ever or 0.0

    worth = {"speed": _worth(world), "share": WORTH, "miss": WORTH_METRES}
    return Rates(
        world.name,
        {
            name: tuple(share(f"{name} {n}", partial(holds, world, n)) for n in DAYS)
            for name, holds in INTERVALS.items()
        },
        {kind: told(kind, "moved", 0.0) for kind in SAID},
        {kind: told(kind, "did not move", worth[kind]) for kind in SAID},
        told("speed", "moved", 4 * DAY_FIGURE),
    )


def _worth(world: World) -> float:
    """The smallest change worth having of a player whose spread is known: as `worth_of`."""
    day = sqrt(world.day_spread**2 + OF_MEDIAN)
    return min(max(DAY_FIGURE, 1.96 * day * sqrt(1 / 4 + 1 / 3)), 2 * DAY_FIGURE)


@lru_cache(maxsize=256)
def _studio(world: World, number: int) -> UsualPrior:
    """What the other students of one studio tell of their days."""
    from practice.measures.studio import (
        DaySeries,
        series_of_balls,
        series_of_figures,
        series_of_shares,
        spread_of_days,
    )

    random = Random(f"studio {world.name} {number}")  # noqa: S311
    speeds, carries, misses, reps = [], [], [], []
    for _ in range(OTHERS):
        days = balls_of(world, TESTED, SWINGS, random)
        speeds.append(series_of_figures([median(each) for each in days]))
        of_carries = balls_of(world, TESTED, BALLS, random)
        carries.append(series_of_balls(of_carries, of_medians=True))
        off = [[METRES * abs(each - 100) for each in day] for day in of_carries]
        misses.append(series_of_balls(off, of_medians=False))
        reps.append(series_of_shares(counts_of(world, TESTED, TRIES, random)[1]))

    def learnt(
        found: list[DaySeries | None], house: DaySpread, *, of_tries: bool = False
    ) -> DaySpread:
        return spread_of_days(
            [each for each in found if each is not None], house, of_tries=of_tries
        )

    return UsualPrior(
        ball_speed=learnt(speeds, DaySpread(DAY_FIGURE, alike=0.5)),
        carries=learnt(carries, UsualPrior().carries),
        misses=learnt(misses, UsualPrior().misses),
        reps=learnt(reps, UsualPrior().reps, of_tries=True),
    )


def _of(world: World, random: Random) -> UsualPrior:
    return _studio(world, random.randrange(STUDIOS))


@lru_cache(maxsize=256)
def _beside(world: World, place: int, kind: str) -> list[list[float]]:
    """The day figures of the others of one place, week by week of the whole year."""
    random, turn = Random(f"beside {world.name} {place} {kind}"), turn_of(world, place)  # noqa: S311
    found = []
    for _ in range(OTHERS):
        if kind == "share":
            counts = counts_of(world, WEEKS, TRIES, random, turn=turn)[1]
            found.append([clean / tries for clean, tries in counts])
            continue
        days = balls_of(world, WEEKS, SWINGS if kind == "speed" else BALLS, random, turn=turn)
        if kind == "speed":
            found.append([median(each) for each in days])
        else:
            found.append([fmean(METRES * abs(each - 100) for each in day) for day in days])
    return found


@lru_cache(maxsize=4096)
def _together(world: World, place: int, kind: str, weeks: int) -> Together:
    """What moved everybody of a place, as it can be told after so many weeks."""
    from practice.measures.together import by_month, moved_together

    dates = [FIRST + timedelta(weeks=n) for n in range(weeks)]
    months = (by_month(dates, figures[:weeks]) for figures in _beside(world, place, kind))
    return moved_together([each for each in months if each is not None])


def _shared(world: World, place: int, kind: str, days: int) -> "Shared | None":
    """What is known on one of these weekly days of what everybody was off on them: it is told
    anew every four weeks."""
    from practice.measures.together import shared_by

    known = _together(world, place, kind, (days - 1) // MONTH * MONTH)
    return shared_by([FIRST + timedelta(weeks=n) for n in range(days)], known)


def _calm(world: World) -> World:
    """The same without a season, which would move the truth."""
    return replace(world, season=0.0)


def _inside(found: "Estimate", truth: float) -> bool:
    return found.low <= truth <= found.high


def _carry_holds(world: World, days: int, random: Random) -> bool:
    from practice.measures.days import DayLevel, level_over_days

    balls, usual = balls_of(_calm(world), days, BALLS, random), _of(world, random).carries
    found = level_over_days(balls, "m", usual, coarsest=world.grain)
    assert isinstance(found, DayLevel)  # noqa: S101 (there are balls)
    return _inside(found.estimate, 100)


def _share_holds(world: World, days: int, random: Random) -> bool:
    from practice.measures.days import DayShare, share_over_days

    share, counts = counts_of(replace(_calm(world), ball="plain", grain=0.0), days, TRIES, random)
    found = share_over_days(counts, _of(world, random).reps)
    assert isinstance(found, DayShare)  # noqa: S101 (there are tries)
    return _inside(found.estimate, share)


def _slope_holds(world: World, days: int, random: Random) -> bool | None:
    """The weekly slope of the speed book, of somebody who stays as he is."""
    from practice.measures.trend import robust_slope

    figures = [median(each) for each in balls_of(_calm(world), days, SWINGS, random)]
    alike, dates = _of(world, random).ball_speed.alike, [7 * n for n in range(days)]
    found = robust_slope(dates, figures, "m/s", alike=alike, coarsest=world.grain)
    return None if isinstance(found, TooLittle) else _inside(found, 0.0)


def _between_holds(world: World, days: int, random: Random, *, of_ball: bool = False) -> bool:
    """A swing halfway between two lengths, whose carry bends as the house rule has it."""
    from practice.measures.days import DayLevel, level_over_days
    from practice.measures.gaps import BEND, between

    shorter, longer = (
        [[METRES * (each - 100) + carry for each in day] for day in balls]
        for carry in CARRIES
        for balls in [balls_of(_calm(world), days, BALLS, random)]
    )
    truth = fmean(CARRIES) + random.gauss(0, BEND * (CARRIES[1] - CARRIES[0]) / 4)
    usual = _of(world, random).carries
    hip, chest = (
        level_over_days(each, "m", usual, coarsest=METRES * world.grain)
        for each in (shorter, longer)
    )
    assert isinstance(hip, DayLevel)  # noqa: S101 (there are balls)
    assert isinstance(chest, DayLevel)  # noqa: S101 (there are balls)
    found = between(hip, chest, 0.5)
    if not of_ball:
        return _inside(found.mean, truth)
    ((ball,),) = balls_of(_calm(world), 1, 1, random)
    return _inside(found.next_ball, truth + METRES * (ball - 100))


def _step_holds(world: World, days: int, random: Random) -> bool | None:
    """The chance of clean at one step of a ladder, by itself or pooled with its neighbours."""
    from practice.numbers.ladder.pages import FEW

    judged, ladder, _ = _ladder(world, days, random)
    step = random.choice(judged)
    if step.step.reps < FEW:  # The page prints none.
        return None
    return step.low <= ladder.shares[step.step.effort] <= step.high


def _highest_holds(world: World, days: int, random: Random) -> bool | None:
    """The highest effort at which a move holds, where a figure is given."""
    from practice.numbers.ladder.table import curve_of

    judged, ladder, usual = _ladder(world, days, random)
    _, found = curve_of(judged, round(100 * LINE), usual)
    if found is None or found.low is None or found.high is None:
        return None
    return found.low <= ladder.highest <= found.high


def _ladder(world: World, days: int, random: Random) -> tuple[list["Judged"], "Ladder", DaySpread]:
    """A ladder by weekly days as its page judges it, its truth, and what is known of days."""
    from practice.numbers.ladder.steps import LadderStep, judge

    ladder = ladder_of(_calm(world), days, REPS, LINE, random)
    dates = [FIRST + timedelta(weeks=n) for n in range(days)]
    steps = [
        LadderStep(effort, dict(zip(dates, counts, strict=True)), is_checked=True)
        for effort, counts in ladder.counts.items()
    ]
    usual = _of(world, random).reps
    return judge(steps, None, usual), ladder, usual


INTERVALS: dict[str, Held] = {
    "carry": _carry_holds,
    "share": _share_holds,
    "ladder step": _step_holds,
    "weekly slope": _slope_holds,
    "swing between": _between_holds,
    "its next ball": partial(_between_holds, of_ball=True),
    "highest effort": _highest_holds,
}


def _speed_said(world: World, random: Random, gain: float) -> Iterator[str]:
    """What is said at each weekly look of a year."""
    from practice.measures.change import worth_of
    from practice.measures.claim import Claim
    from practice.measures.lately import change_of_figures

    place = random.randrange(STUDIOS)
    usual, turn = _studio(world, place).ball_speed, turn_of(world, place)
    days = balls_of(world, WEEKS, SWINGS, random, Gain(gain, SPEED_START), turn=turn)
    figures = [median(each) for each in days]
    for n in range(SPEED_START + 1, WEEKS + 1):
        worth = worth_of(figures[:n], DAY_FIGURE)
        shared = _shared(world, place, "speed", n)
        found = change_of_figures(
            figures[:n], usual.ratio, "", worth, usual=usual, start=SPEED_START, shared=shared
        )
        if isinstance(found, Claim):
            yield str(found.answer)


def _share_said(world: World, random: Random, gain: float) -> Iterator[str]:
    from practice.measures.claim import Claim, change_of_shares

    place = random.randrange(STUDIOS)
    usual, turn = _studio(world, place).reps, turn_of(world, place)
    _, counts = counts_of(world, WEEKS, TRIES, random, Gain(gain, START), turn=turn)
    for n in range(START + 1, WEEKS + 1):
        shared = _shared(world, place, "share", n)
        found = change_of_shares(counts[:n], WORTH, usual, shared=shared)
        if isinstance(found, Claim):
            yield str(found.answer)


def _miss_said(world: World, random: Random, gain: float) -> Iterator[str]:
    """Balls end so much nearer to the called distance from the start on."""
    from practice.measures.claim import START_DAYS, Claim, change_of_levels

    place = random.randrange(STUDIOS)
    usual, turn = _studio(world, place).misses, turn_of(world, place)
    nearer = 1 - gain / (METRES * _miss_of(world))
    misses = [
        [METRES * abs(each - 100) * (nearer if n >= START_DAYS else 1.0) for each in day]
        for n, day in enumerate(balls_of(world, WEEKS, BALLS, random, turn=turn))
    ]
    for n in range(START_DAYS + 1, WEEKS + 1):
        shared = _shared(world, place, "miss", n)
        found = change_of_levels(misses[:n], "m", WORTH_METRES, usual, shared=shared)
        if isinstance(found, Claim):
            yield str(found.answer)


@lru_cache(maxsize=64)
def _miss_of(world: World) -> float:
    """How far a ball of this world ends from the middle on average, in spreads of a ball."""
    random = Random(f"miss {world.name}")  # noqa: S311
    days = (balls_of(world, 1, 1, random) for _ in range(4000))
    return fmean(abs(ball - 100) for ((ball,),) in days)


SAID: dict[str, Callable[[World, Random, float], Iterator[str]]] = {
    "speed": _speed_said,
    "share": _share_said,
    "miss": _miss_said,
}
