"""How often the claims and intervals that pages print are right, on invented test days.

Each student is one of a studio, whose other students tell beforehand how much days differ.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache, partial
from math import sqrt
from random import Random
from statistics import fmean, median

from practice.measures.usual import DaySpread, UsualPrior
from practice.numbers.claims.simulated import WEEKS, Gain, World, balls_of, counts_of

DAYS = (1, 3, 5, 8, 10, 20, 60)
BALLS, SWINGS, TRIES = 8, 6, 12
START, SPEED_START = 3, 4
WORTH = 0.10
DAY_FIGURE = 0.84  # Spread of a day's median of six swings in the usual world, in balls' spreads.
OF_MEDIAN = 0.24  # Its variance within a day.
STUDIOS, OTHERS, TESTED = 10, 12, 12  # Studios of a world, and how much each has seen.


@dataclass(frozen=True, slots=True)
class Rates:
    """Of 100 students of one world.

    `carry` and `share` say, by number of days, how many intervals of 95 held the truth;
    `moved` of flat students, how many were ever told in a year of weekly looks that speed,
    or a share, moved; `unmoved` of those who gained just what is worth having, how many
    were ever told that it did not; `seen` of those who gained much, how many were told.
    """

    world: str
    carry: tuple[float, ...]
    share: tuple[float, ...]
    moved_speed: float
    moved_share: float
    unmoved_speed: float
    unmoved_share: float
    seen_speed: float


def judge(world: World, students: int, seed: int) -> Rates:
    """All rates of one world. A minute for 200 students, nearly all for the year of looks."""

    def rate(kind: str, once: Callable[[Random], bool]) -> float:
        randoms = (Random(f"{seed} {kind} {n}") for n in range(students))  # noqa: S311
        return 100 * fmean(once(random) for random in randoms)

    return Rates(
        world.name,
        tuple(rate(f"carry {n}", partial(_carry_holds, world, n)) for n in DAYS),
        tuple(rate(f"share {n}", partial(_share_holds, world, n)) for n in DAYS),
        rate("flat speed", lambda r: "moved" in set(_speed_said(world, r, 0.0))),
        rate("flat share", lambda r: "moved" in set(_share_said(world, r, 0.0))),
        rate("gain speed", lambda r: "did not move" in set(_speed_said(world, r, _worth(world)))),
        rate("gain share", lambda r: "did not move" in set(_share_said(world, r, WORTH))),
        rate("much speed", lambda r: "moved" in set(_speed_said(world, r, 4 * DAY_FIGURE))),
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
    speeds, carries, reps = [], [], []
    for _ in range(OTHERS):
        days = balls_of(world, TESTED, SWINGS, random)
        speeds.append(series_of_figures([median(each) for each in days]))
        of_carries = balls_of(world, TESTED, BALLS, random)
        carries.append(series_of_balls(of_carries, of_medians=True))
        reps.append(series_of_shares(counts_of(world, TESTED, TRIES, random)[1]))

    def learnt(found: list[DaySeries | None], house: DaySpread) -> DaySpread:
        return spread_of_days([each for each in found if each is not None], house)

    return UsualPrior(
        ball_speed=learnt(speeds, DaySpread(DAY_FIGURE, alike=0.5)),
        carries=learnt(carries, UsualPrior().carries),
        reps=learnt(reps, UsualPrior().reps),
    )


def _of(world: World, random: Random) -> UsualPrior:
    return _studio(world, random.randrange(STUDIOS))


def _carry_holds(world: World, days: int, random: Random) -> bool:
    from practice.measures.days import DayLevel, level_over_days

    season = World(world.name, world.day_spread, world.wander, 0.0, world.ball, world.grain)
    found = level_over_days(
        balls_of(season, days, BALLS, random), "m", _of(world, random).carries, coarsest=world.grain
    )
    assert isinstance(found, DayLevel)  # noqa: S101 (there are balls)
    return found.estimate.low <= 100 <= found.estimate.high


def _share_holds(world: World, days: int, random: Random) -> bool:
    from practice.measures.days import DayShare, share_over_days

    season = World(world.name, world.day_spread, world.wander, 0.0)
    share, counts = counts_of(season, days, TRIES, random)
    found = share_over_days(counts, _of(world, random).reps)
    assert isinstance(found, DayShare)  # noqa: S101 (there are tries)
    return found.estimate.low <= share <= found.estimate.high


def _speed_said(world: World, random: Random, gain: float) -> Iterator[str]:
    """What is said at each weekly look of a year."""
    from practice.measures.change import worth_of
    from practice.measures.claim import Claim
    from practice.measures.lately import change_of_figures

    usual = _of(world, random).ball_speed
    days = balls_of(world, WEEKS, SWINGS, random, Gain(gain, SPEED_START))
    figures = [median(each) for each in days]
    for n in range(SPEED_START + 1, WEEKS + 1):
        worth = worth_of(figures[:n], DAY_FIGURE)
        found = change_of_figures(
            figures[:n], usual.ratio, "", worth, usual=usual, start=SPEED_START
        )
        if isinstance(found, Claim):
            yield str(found.answer)


def _share_said(world: World, random: Random, gain: float) -> Iterator[str]:
    from practice.measures.claim import Claim, change_of_shares

    usual = _of(world, random).reps
    _, counts = counts_of(world, WEEKS, TRIES, random, Gain(gain, START))
    for n in range(START + 1, WEEKS + 1):
        found = change_of_shares(counts[:n], WORTH, usual)
        if isinstance(found, Claim):
            yield str(found.answer)
