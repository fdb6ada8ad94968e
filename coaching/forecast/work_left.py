"""A week's work, day after day: who practises when so much is left so late, and how much of it.

On each day the chance of practice is that of this weekday of the week and of what is left, here
and then with this student (drawn in as in `own_odds`, and cell by cell as by so many days of
one's own); practice takes a part of what is left. The rest of the week follows day by day. It
sees what other forecasters do not: that a week is begun when it gets late, or that somebody
stops where the first part is done.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import ceil, log

from coaching.forecast.panel import Rest
from coaching.forecast.rhythm import DAYS, NEARLY_ALL, DoneWeek, Rhythm, WorkLeft, chance_of

LEFTS = 5  # Steps of what is left, from hardly anything to the whole week.
PARTS = 20  # Of a week, and of what is left.
ALIKE_DAYS = 4.0  # A day of the week at all, as so many days of all the week;
ALIKE_LEFT = 3.0  # what is left on it, as so many of that day.
OWN_CELL = 2.0  # The student's level, as so many days with as much left.
OTHER_LEFT = 0.3  # A part taken of another rest, beside one of such a rest.
STUDIO_PARTS = 1.0  # All parts taken here, as so many of the student's.
LEAST, MOST = 0.005, 0.995


@dataclass(frozen=True, slots=True)
class _Seen:
    days: list[list[float]]
    done: list[list[float]]
    parts: list[list[float]]

    @classmethod
    def of(cls, weeks: Iterable[tuple[DoneWeek, float]]) -> "_Seen":
        days, done = ([[0.0] * LEFTS for _ in range(DAYS)] for _ in range(2))
        parts = [[0.0] * (PARTS + 1) for _ in range(LEFTS)]
        for week, weight in weeks:
            for day, left, part in _worked(week):
                step = _step(left)
                days[day][step] += weight
                if part > 0:
                    done[day][step] += weight
                    parts[step][max(1, round(part * PARTS))] += weight
        return cls(days, done, parts)


def _worked(week: DoneWeek) -> Iterator[tuple[int, float, float]]:
    """Days that say something: what was left of the week, and the part of it that was done."""
    left = 1.0
    for day, minutes in enumerate(week.by_day):
        if left <= 1 - NEARLY_ALL:
            return
        share = min(left, minutes / week.asked)
        if share > 0 or day not in week.shut:
            yield day, left, share / left
        left -= share


def _step(left: float) -> int:
    return min(LEFTS - 1, max(0, ceil(left * LEFTS - 1e-9) - 1))


def work_of(held: Iterable[Sequence[DoneWeek]]) -> WorkLeft | None:
    """Of all students of a studio together; None where nobody practised yet."""
    seen = _Seen.of((week, 1.0) for weeks in held for week in weeks)
    mean = (sum(map(sum, seen.done)) + 1) / (sum(map(sum, seen.days)) + 2)
    chances = []
    for days, done in zip(seen.days, seen.done, strict=True):
        usual = (sum(done) + ALIKE_DAYS * mean) / (sum(days) + ALIKE_DAYS)
        chances.append(
            tuple(
                (k + ALIKE_LEFT * usual) / (n + ALIKE_LEFT) for n, k in zip(days, done, strict=True)
            )
        )
    whole = sum(map(sum, seen.parts))
    if not whole:
        return None
    return WorkLeft(tuple(chances), tuple(tuple(p / whole for p in parts) for parts in seen.parts))


def own_work(past: Sequence[DoneWeek], rhythm: Rhythm) -> WorkLeft | None:
    """A student's own, drawn towards the studio's; None where that is not known."""
    here = rhythm.work
    if here is None:
        return None
    ago = range(len(past) - 1, -1, -1)
    seen = _Seen.of((week, rhythm.fade**n) for week, n in zip(past, ago, strict=True))
    level = _level(seen, here)
    chances = tuple(
        tuple(
            (k + OWN_CELL * chance_of(log(p / (1 - p)) + level)) / (n + OWN_CELL)
            for n, k, p in zip(days, done, usual, strict=True)
        )
        for days, done, usual in zip(seen.days, seen.done, here.chances, strict=True)
    )
    taken = [
        [mine + STUDIO_PARTS * p for mine, p in zip(own, studio, strict=True)]
        for own, studio in zip(seen.parts, here.parts, strict=True)
    ]
    every = [sum(column) for column in zip(*taken, strict=True)]
    parts = []
    for such in taken:
        mixed = [OTHER_LEFT * a + (1 - OTHER_LEFT) * b for a, b in zip(every, such, strict=True)]
        parts.append(tuple([each / sum(mixed) for each in mixed]))
    return WorkLeft(chances, tuple(parts))


def _level(seen: _Seen, here: WorkLeft) -> float:
    """By how much, in log-odds, this student practises more than others would have: one step
    of Newton's, with a normal prior of spread 1."""
    more, weight = 0.0, 1.0
    for days, done, usual in zip(seen.days, seen.done, here.chances, strict=True):
        for n, k, p in zip(days, done, usual, strict=True):
            more += k - n * p
            weight += n * p * (1 - p)
    return more / weight


def finishes(own: WorkLeft, rest: Rest, enough: float) -> float:
    """The chance that what is still needed comes on the days that are open."""
    needed = ceil(rest.need * PARTS - 1e-9)
    steps = [_step(n / PARTS + 1 - enough) for n in range(needed + 1)]
    jumps = [_jumps(own, n, enough) for n in range(needed + 1)]
    chances = [1.0] + [0.0] * needed
    for day in sorted(rest.open, reverse=True):
        today = [1.0]
        for n in range(1, needed + 1):
            comes = own.chances[day][steps[n]]
            then = sum([p * c for p, c in zip(jumps[n], chances, strict=False)])
            today.append(comes * then + (1 - comes) * chances[n])
        chances = today
    return min(MOST, max(LEAST, chances[needed]))


def _jumps(own: WorkLeft, needed: int, enough: float) -> list[float]:
    """Chances of each number of parts still needed after a day of practice, 0 and up."""
    after = [0.0] * (needed + 1)
    step, lefts = _after_each(needed, enough)
    for left, chance in zip(lefts, own.parts[step], strict=True):
        after[left] += chance
    return after


@lru_cache(maxsize=1_000)  # The same for everybody whose line is the same.
def _after_each(needed: int, enough: float) -> tuple[int, tuple[int, ...]]:
    """The step of what is left, and the parts still needed after each number of them is done."""
    left = needed / PARTS + 1 - enough
    return _step(left), tuple(max(0, needed - round(n * left)) for n in range(PARTS + 1))
