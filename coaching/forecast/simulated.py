"""An invented studio whose students' habits are known, and the best forecast there could be.

Nothing here is of anybody. A student practises on a day with a chance that depends on
the weekday, on how this week goes (which the week after half inherits) and, for some,
on interest that fades; some weeks are cut short by an illness that nobody told, some
days are excused, and some practice is written down a day or more late. A day brings a
whole number of minutes. All of it is drawn from distributions that `best_chance`
knows, so that no forecast from the same logs can be better on average.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from coaching.forecast.rhythm import DAYS

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray[Any, Any]

FIRST_MONDAY = date(2031, 1, 6)
WEEKEND = frozenset({5, 6})
NODES = 41
MOST_LATE = 6


@dataclass(frozen=True, slots=True)
class Mix:
    """How the students of a studio behave: means and spreads of what each is given.

    `level` is the log-odds of practising on an ordinary day, `weekend` is added on
    Saturday and Sunday, `weeks_differ` is how far weeks lie apart in log-odds and
    `lasts` how much of it the next week inherits. `fading` is the share of students whose
    log-odds fall by `fade` a week from some week on; `ill` and `excused` are chances a
    week. `size` is the week asked beside what is usual for the student.
    """

    name: str
    level: float
    level_spread: float
    weekend: float
    weekend_spread: float
    weekday_spread: float
    weeks_differ: float
    lasts: float
    minutes: float
    minutes_spread: float
    weekend_times: float
    size: float
    size_spread: float
    fading: float = 0.0
    fade: float = 0.0
    ill: float = 0.0
    excused: float = 0.03
    late: float = 0.05


STEADY = Mix(
    "steady", 0.0, 0.9, 0.1, 0.5, 0.5, 0.5, 0.3, 19, 0.35, 1.0, 0.95, 0.3, excused=0.04, late=0.06
)
CRAMMERS = Mix(
    "weekend crammers", -1.3, 0.8, 2.0, 0.8, 0.4, 0.7, 0.2, 21, 0.4, 1.7, 0.95, 0.3, late=0.08
)
FADING = Mix(
    "fading and illness", 0.1, 0.8, 0.3, 0.6, 0.5, 0.6, 0.5, 20, 0.35, 1.2, 0.9, 0.3,
    fading=0.4, fade=0.12, ill=0.08, excused=0.08, late=0.05,
)  # fmt: skip
MIXES = {mix.name: mix for mix in (STEADY, CRAMMERS, FADING)}


@dataclass(frozen=True, slots=True)
class Truth:
    """What is true of one student: log-odds by day of the week, and the rest."""

    odds: tuple[float, ...]
    fades_from: int
    fade: float
    weeks_differ: float
    lasts: float
    ill: float
    # Chance that practice is unwritten one, two, … days later.
    late: tuple[float, ...]
    # Distribution of a day's whole minutes from 0 up: on weekdays, on the weekend.
    weekday_minutes: "Array" = field(repr=False)
    weekend_minutes: "Array" = field(repr=False)

    def odds_in(self, week: int) -> list[float]:
        faded = self.fade * max(0, week - self.fades_from)
        return [odds - faded for odds in self.odds]


@dataclass(frozen=True, slots=True)
class SimWeek:
    """One week: minutes asked, minutes done by day and written how many days later."""

    opens: date
    asked: float
    shut: frozenset[int]
    done: tuple[int, ...]
    late: tuple[int, ...]

    def credited(self, by: int = 2 * DAYS) -> tuple[float, ...]:
        """Credited minutes by day, of what was written by the end of that day.

        No more than what was asked is credited.
        """
        left, days = self.asked, []
        for day, minutes in enumerate(self.done):
            got = float(min(left, minutes)) if day + self.late[day] <= by else 0.0
            days.append(got)
            left -= got
        return tuple(days)

    @property
    def share(self) -> float:
        return sum(self.credited()) / self.asked


@dataclass(frozen=True, slots=True)
class SimStudent:
    truth: Truth
    weeks: tuple[SimWeek, ...]


def studio(mix: Mix, *, students: int, weeks: int, seed: int) -> list[SimStudent]:
    """Invent a studio; the same arguments give the same one."""
    import numpy as np

    random = np.random.default_rng([seed, *mix.name.encode()])
    return [_student(mix, weeks, random) for _ in range(students)]


def _student(mix: Mix, weeks: int, random: Any) -> SimStudent:
    level = random.normal(mix.level, mix.level_spread)
    weekend = random.normal(mix.weekend, mix.weekend_spread)
    odds = random.normal(level, mix.weekday_spread, DAYS)
    odds[5:] += weekend
    minutes = mix.minutes * random.lognormal(0, 0.25)
    spread = mix.minutes_spread * random.lognormal(0, 0.2)
    tardy = random.random() < 0.4
    truth = Truth(
        odds=tuple(odds),
        fades_from=int(random.integers(3, weeks)) if random.random() < mix.fading else weeks,
        fade=mix.fade,
        weeks_differ=mix.weeks_differ * random.lognormal(0, 0.2),
        lasts=mix.lasts,
        ill=mix.ill,
        late=tuple((2 * mix.late if tardy else 0.3 * mix.late) * 0.4**n for n in range(MOST_LATE)),
        weekday_minutes=minutes_of(minutes, spread),
        weekend_minutes=minutes_of(minutes * mix.weekend_times, spread),
    )
    return SimStudent(truth, tuple(_weeks(mix, truth, weeks, minutes, random)))


def minutes_of(mean: float, spread: float) -> "Array":
    """Distribution of whole minutes 1, 2, … around a mean: a gamma at whole minutes."""
    import numpy as np

    shape = 1 / spread**2
    scale = mean / shape
    amounts = np.arange(1, 241)
    logs = (shape - 1) * np.log(amounts) - amounts / scale
    weights = np.exp(logs - logs.max())
    return np.concatenate([[0.0], weights / weights.sum()])


def _weeks(mix: Mix, truth: Truth, weeks: int, minutes: float, random: Any) -> Iterator[SimWeek]:
    import numpy as np

    chances = 1 / (1 + np.exp(-np.array(truth.odds)))
    usual = minutes * (chances[:5].sum() + mix.weekend_times * chances[5:].sum())
    size = mix.size * random.lognormal(0, mix.size_spread)
    plan, kind = max(20.0, 5 * round(usual * size / 5)), 0.0
    kind = random.normal(0, truth.weeks_differ)
    for week in range(weeks):
        if week % 4 == 0 and week:
            plan = max(20.0, 5 * round(plan * random.lognormal(0, 0.1) / 5))
        shut = _shut(mix, random)
        yield _week(truth, week, plan, shut=shut, kind=kind, random=random)
        fresh = truth.weeks_differ * (1 - truth.lasts**2) ** 0.5
        kind = truth.lasts * kind + random.normal(0, fresh)


def _shut(mix: Mix, random: Any) -> frozenset[int]:
    if random.random() >= mix.excused:
        return frozenset()
    first, length = int(random.integers(0, DAYS)), int(random.integers(1, 5))
    return frozenset(range(first, min(DAYS, first + length)))


def _week(
    truth: Truth, week: int, plan: float, *, shut: frozenset[int], kind: float, random: Any
) -> SimWeek:
    import numpy as np

    opens = FIRST_MONDAY + timedelta(weeks=week)
    asked = plan * (DAYS - len(shut)) / DAYS
    ill_from = int(random.integers(0, DAYS)) if random.random() < truth.ill else DAYS
    chances = 1 / (1 + np.exp(-(np.array(truth.odds_in(week)) + kind)))
    does = random.random(DAYS) < chances
    done, late = [], []
    for day in range(DAYS):
        kinds = truth.weekend_minutes if day in WEEKEND else truth.weekday_minutes
        drawn = int(np.searchsorted(np.cumsum(kinds), random.random()))
        is_out = day in shut or day >= ill_from or not does[day]
        done.append(0 if is_out else min(drawn, len(kinds) - 1))
        unwritten = random.random()
        late.append(sum(unwritten < share for share in truth.late))
    return SimWeek(opens, asked, shut, tuple(done), tuple(late))


# --- the best forecast there could be ------------------------------------------------


@dataclass(slots=True)
class Oracle:
    """Follows one student who is known by heart, and says the best possible chance.

    It knows the truth of the student, but of the weeks no more than anybody: what was
    written by then. How the present week goes is known only through the days so far and,
    as far as it lasts, through the weeks before: a filter over a grid of what the week
    may be like, exact but for the grid. What was done is added up over every number of
    weekdays and weekend days with the exact distribution of their minutes.
    """

    truth: Truth
    grid: "Array" = field(init=False, repr=False)
    prior: "Array" = field(init=False, repr=False)
    moves: "Array" = field(init=False, repr=False)
    tails: "Array" = field(init=False, repr=False)

    def __post_init__(self) -> None:
        import numpy as np

        steps = np.linspace(-4, 4, NODES)
        self.grid = steps * self.truth.weeks_differ
        self.prior = np.exp(-(steps**2) / 2)
        self.prior /= self.prior.sum()
        rest = 1 - self.truth.lasts**2
        moves = np.exp(-((steps[None, :] - self.truth.lasts * steps[:, None]) ** 2) / (2 * rest))
        self.moves = moves / moves.sum(axis=1, keepdims=True)
        self.tails = _tails(self.truth)

    def chance(self, week: SimWeek, number: int, today: int, enough: float) -> float:
        """Chance at the end of day `today` (-1: before the first) that the week reaches enough."""
        import numpy as np

        seen = week.credited(today)
        needed = int(np.ceil(enough * week.asked - sum(seen) - 1e-9))
        if needed <= 0:
            return 1.0
        weights, chances = self._kinds(week, number, today)
        at_least = self.tails[:, :, min(needed, self.tails.shape[2] - 1)]
        return float(weights @ _adds_up(chances, at_least))

    def learn(self, week: SimWeek, number: int) -> None:
        """Pass on to the next week, having seen all of this one."""
        weights, _ = self._kinds(week, number, 2 * DAYS)
        by_kind = weights.reshape(-1, NODES).sum(axis=0)
        self.prior = by_kind @ self.moves

    def _kinds(self, week: SimWeek, number: int, today: int) -> tuple["Array", "Array"]:
        """Weights of (ill from day, kind) and the chance of each day to bring more yet."""
        import numpy as np

        odds = np.array(self.truth.odds_in(number))[None, :] + self.grid[:, None]
        base = 1 / (1 + np.exp(-odds))
        well = np.tril(np.ones((DAYS + 1, DAYS)), -1)  # Row r: ill from day r on.
        ill = np.full(DAYS + 1, self.truth.ill / DAYS)
        ill[DAYS] = 1 - self.truth.ill
        may_be = ill > 0
        well, ill = well[may_be], ill[may_be]
        chances = (well[:, None, :] * base[None, :, :]).reshape(-1, DAYS)
        weights = (ill[:, None] * self.prior[None, :]).ravel()
        seen, more = self._seen(week, today), np.zeros_like(chances)
        for day in range(DAYS):
            p = chances[:, day]
            if day in week.shut:
                continue
            if seen[day]:
                weights = weights * p
                continue
            come = self._to_come(day, today)
            weights = weights * (1 - p + p * come)
            more[:, day] = p * come / (1 - p + p * come + 1e-300)
        return weights / weights.sum(), more

    def _seen(self, week: SimWeek, today: int) -> list[bool]:
        """Whether practice on each day was written by then, credited or not."""
        return [week.done[day] > 0 and day + week.late[day] <= today for day in range(DAYS)]

    def _to_come(self, day: int, today: int) -> float:
        ago = today - day
        if ago < 0:
            return 1.0
        return self.truth.late[ago] if ago < MOST_LATE else 0.0


def _tails(truth: Truth) -> "Array":
    """Chance that n weekdays and m weekend days bring at least x minutes: [n, m, x]."""
    import numpy as np

    longest = 400
    tails = np.zeros((6, 3, longest + 1))
    weekdays = np.zeros(longest + 1)
    weekdays[0] = 1.0
    for n in range(6):
        both = weekdays
        for m in range(3):
            below = np.concatenate([[0.0], np.cumsum(both)[:-1]])
            tails[n, m] = 1 - below
            both = np.convolve(both, truth.weekend_minutes)[: longest + 1]
        weekdays = np.convolve(weekdays, truth.weekday_minutes)[: longest + 1]
    return tails


def _adds_up(chances: "Array", at_least: "Array") -> "Array":
    """For each row: sum over how many weekdays and weekend days there may be."""
    import numpy as np

    weekdays = _counts(chances[:, :5])
    weekend = _counts(chances[:, 5:])
    chance: Array = np.einsum("kn,km,nm->k", weekdays, weekend, at_least)
    return chance


def _counts(chances: "Array") -> "Array":
    """Distribution of the number of days, each with its own chance (Poisson binomial)."""
    import numpy as np

    rows, days = chances.shape
    held = np.zeros((rows, days + 1))
    held[:, 0] = 1.0
    for day in range(days):
        p = chances[:, day : day + 1]
        held[:, 1:] = held[:, 1:] * (1 - p) + held[:, :-1] * p
        held[:, :1] *= 1 - p
    return held


def like(mix: Mix, **changes: float | str) -> Mix:
    """The same mix with something changed, for trying what a forecast stands."""
    return replace(mix, **changes)  # type: ignore[arg-type]  # Fields by name.
