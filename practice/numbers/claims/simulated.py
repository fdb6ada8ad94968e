"""Invented test days whose truth is known, to see how often what is claimed of them is right.

They share no code and no assumption with what judges them: form wanders from day to day by
a moving sum of shocks, seasons swing, balls are skewed or wild, figures are typed coarsely.
Standard library only, so that nothing of the measures is used by accident.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, log, pi, sin, sqrt
from random import Random
from statistics import NormalDist

Shock = Callable[[Random], float]


@dataclass(frozen=True, slots=True)
class World:
    """One way in which days and balls differ. Spreads are in those of a single ball.

    `wander`: how alike neighbouring days are; `season`: height of a yearly swing, each
    student's own or, where it is `shared`, the same of all in one place; `grain`: the step in
    which figures are typed.
    """

    name: str
    day_spread: float = 0.7
    wander: float = 0.0
    season: float = 0.0
    shared: bool = False
    ball: str = "plain"
    grain: float = 0.0


WORLDS = (
    World("plain"),
    World("days hardly differ", day_spread=0.3),
    World("days alike, 0.5", wander=0.5),
    World("skewed balls", ball="skewed"),
    World("wild balls", ball="wild"),
    World("typed in whole spreads", grain=1.0),
    World("days alike, skewed, typed coarsely", wander=0.5, ball="skewed", grain=0.5),
    World("season of a third of a spread", season=0.33),
    World("season of a whole spread, of all alike", season=1.0, shared=True),
)
WEEKS = 52
LEAST, MOST = 0.02, 0.98  # Of the chance of a try, on the worst and the best day.


def forms(world: World, days: int, random: Random) -> list[float]:
    """The form of each day, without season: mean 0, its spread the world's."""
    form, found = random.gauss(0, 1), []
    for _ in range(days):
        found.append(world.day_spread * form)
        form = world.wander * form + sqrt(1 - world.wander**2) * random.gauss(0, 1)
    return found


def ball(world: World, random: Random) -> float:
    """How one ball lies about its day: median 0, spread about 1."""
    if world.ball == "skewed":  # A chi of three degrees, turned so that mishits fall short.
        parts = [random.gauss(0, 1) for _ in range(3)]
        return 1.485 * (1.538 - sqrt(sum(each**2 for each in parts)))
    if world.ball == "wild":  # One in ten is three times as wild.
        return random.gauss(0, 3 if random.random() < 0.1 else 1) / 1.34
    return random.gauss(0, 1)


@dataclass(frozen=True, slots=True)
class Gain:
    """What is added from test day `start` on, counted from 0."""

    size: float = 0.0
    start: int = 0

    def on(self, day: int) -> float:
        return self.size if day >= self.start else 0.0


NONE = Gain()


def turn_of(world: World, place: int) -> float | None:
    """Where in the year the season of a place begins; None where each student has an own one."""
    random = Random(f"turn {world.name} {place}")  # noqa: S311
    return random.uniform(0, 2 * pi) if world.shared else None


def balls_of(
    world: World,
    days: int,
    per_day: int,
    random: Random,
    gain: Gain = NONE,
    *,
    turn: float | None = None,
) -> list[list[float]]:
    """The balls of each weekly test day, about 100 and what is gained; `turn` of the place."""
    turn = random.uniform(0, 2 * pi) if turn is None else turn
    found = []
    for day, form in enumerate(forms(world, days, random)):
        middle = 100 + form + gain.on(day)
        middle += world.season * (sin(turn + 2 * pi * day / WEEKS) - sin(turn))
        found.append([_typed(middle + ball(world, random), world.grain) for _ in range(per_day)])
    return found


def _typed(value: float, grain: float) -> float:
    return round(value / grain) * grain if grain else value


def counts_of(
    world: World,
    days: int,
    tries: int,
    random: Random,
    gain: Gain = NONE,
    *,
    turn: float | None = None,
) -> tuple[float, list[tuple[int, int]]]:
    """A share, and clean of so many tries on each weekly test day, about it and the gain.

    Days differ by three tenths of the spread of one try, scaled by the world's day spread.
    """
    share = random.uniform(0.3, 0.65)
    turn = random.uniform(0, 2 * pi) if turn is None else turn
    scale = 0.3 / 0.7 * sqrt(share * (1 - share))
    found = []
    for day, form in enumerate(forms(world, days, random)):
        swing = world.season * 0.3 * (sin(turn + 2 * pi * day / WEEKS) - sin(turn))
        chance = min(MOST, max(LEAST, share + scale * (form + swing) + gain.on(day)))
        found.append((sum(random.random() < chance for _ in range(tries)), tries))
    return share, found


EFFORTS = (40, 60, 80, 95)


@dataclass(frozen=True, slots=True)
class Ladder:
    """Clean of so many reps a day by effort, in `counts`; the true chance of each effort in
    `shares`, over all days, and the effort at which it falls to the line."""

    highest: float
    shares: dict[int, float]
    counts: dict[int, list[tuple[int, int]]]


def ladder_of(world: World, days: int, reps: int, line: float, random: Random) -> Ladder:
    """A ladder of so many reps a step and day. What the day adds, all its steps share."""
    highest, steep = random.uniform(50, 85), random.uniform(0.03, 0.10)
    middle = log(line / (1 - line))
    shares = {e: 1 / (1 + exp(steep * (e - highest) - middle)) for e in EFFORTS}
    counts: dict[int, list[tuple[int, int]]] = {effort: [] for effort in EFFORTS}
    scales = {e: 0.3 / 0.7 * sqrt(share * (1 - share)) for e, share in shares.items()}
    for form in forms(world, days, random):
        for effort, share in shares.items():
            scale = scales[effort]
            chance = min(MOST, max(LEAST, share + scale * form))
            counts[effort].append((sum(random.random() < chance for _ in range(reps)), reps))
    over_days = {e: held_mean(share, scales[e] * world.day_spread) for e, share in shares.items()}
    return Ladder(highest, over_days, counts)


def held_mean(middle: float, spread: float) -> float:
    """The mean of a normal chance that is held between LEAST and MOST."""
    plain = NormalDist()

    def below(end: float) -> float:
        away = (end - middle) / spread
        return spread * (away * plain.cdf(away) + plain.pdf(away))

    return MOST - below(MOST) + below(LEAST)
