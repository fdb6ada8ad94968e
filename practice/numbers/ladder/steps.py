"""The steps of a ladder judged together. Pure.

House rules, not published ones: a step that a coach has checked enough is judged by the
coach's count alone; a step that looks easier than a slower one is pooled with it; what
only the student counted, where that runs high, is never said to hold.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from practice.measures.usual import DaySpread

LEAST_REPS, LEAST_DAYS = 12, 2
GENEROUS = 15  # Points of 100 from which the student's own count is not taken for the coach's.


@dataclass(frozen=True, slots=True)
class Count:
    """Scored reps of one step on one day; `effort` is felt, in percent."""

    effort: int
    clean: int
    reps: int
    day: date


@dataclass(frozen=True, slots=True)
class LadderStep:
    """Clean and scored reps of one effort by day, by the coach where those are enough."""

    effort: int
    counts: Mapping[date, tuple[int, int]]
    is_checked: bool

    @property
    def clean(self) -> int:
        return sum(clean for clean, _ in self.counts.values())

    @property
    def reps(self) -> int:
        return sum(reps for _, reps in self.counts.values())


@dataclass(frozen=True, slots=True)
class Judged:
    """A step with its word; share and 95 % interval are of the pool it was judged in.

    `word`: holds, breaks, not settled or too few. `capped`: it would hold by the student's own
    count, which runs high.
    """

    step: LadderStep
    pool: tuple[int, ...]
    clean: int
    reps: int
    days: int
    low: float
    high: float
    word: str
    capped: bool

    @property
    def share(self) -> float:
        return self.clean / self.reps


def steps_of(own: Sequence[Count], checked: Sequence[Count]) -> list[LadderStep]:
    """One step per effort, lowest first. Efforts without a scored rep are left out."""
    efforts = sorted({count.effort for count in (*own, *checked) if count.reps})
    steps = []
    for effort in efforts:
        by_coach = _step(effort, checked, is_checked=True)
        by_student = _step(effort, own, is_checked=False)
        enough = by_coach.reps >= LEAST_REPS and len(by_coach.counts) >= LEAST_DAYS
        steps.append(by_coach if enough or not by_student.reps else by_student)
    return steps


def _step(effort: int, counts: Sequence[Count], *, is_checked: bool) -> LadderStep:
    mine = [count for count in counts if count.effort == effort and count.reps]
    return LadderStep(effort, _by_day((c.day, c.clean, c.reps) for c in mine), is_checked)


def _by_day(rows: Iterable[tuple[date, int, int]]) -> dict[date, tuple[int, int]]:
    """Clean and reps of each day, in time order."""
    days: dict[date, tuple[int, int]] = {}
    for day, clean, reps in sorted(rows):
        done, of = days.get(day, (0, 0))
        days[day] = done + clean, of + reps
    return days


def pooled(steps: Sequence[LadderStep]) -> list[list[LadderStep]]:
    """Neighbours put together until no higher step looks better than a lower one.

    Parameters
    ----------
    steps : sequence of Step, lowest effort first

    Returns
    -------
    list of pools, each a list of Step, lowest first

    References
    ----------
    Pool-adjacent-violators, weights the reps: Barlow, R. E. et al. (1972). Statistical
    Inference under Order Restrictions.

    Examples
    --------
    >>> day = date(2031, 2, 26)
    >>> ladder = [Step(e, {day: (c, 20)}, False) for e, c in ((40, 18), (60, 12), (80, 14))]
    >>> [[step.effort for step in pool] for pool in pooled(ladder)]
    [[40], [60, 80]]
    """
    pools: list[list[LadderStep]] = []
    for step in steps:
        pools.append([step])
        while len(pools) > 1 and _share(pools[-1]) > _share(pools[-2]):
            last = pools.pop()
            pools[-1] += last
    return pools


def _share(pool: Sequence[LadderStep]) -> float:
    return sum(step.clean for step in pool) / sum(step.reps for step in pool)


def judge(steps: Sequence[LadderStep], gap: int | None, usual: DaySpread) -> list[Judged]:
    """Every step with its word. `gap`: points by which the student's own count runs high;
    `usual`: how much days of reps differ by themselves."""
    return [_judged(step, pool, gap, usual) for pool in pooled(steps) for step in pool]


def _judged(
    step: LadderStep, pool: Sequence[LadderStep], gap: int | None, usual: DaySpread
) -> Judged:
    from practice.measures.days import DayShare, share_over_days
    from practice.measures.ladder import Holds, holds

    rows = ((day, *count) for each in pool for day, count in each.counts.items())
    days = list(_by_day(rows).values())
    found = share_over_days(days, usual)
    assert isinstance(found, DayShare)  # noqa: S101 (a step has a scored rep)
    # What a step lends to its neighbour does not make up for too few reps of its own.
    alone = holds(list(step.counts.values()), usual)
    word = alone if alone is Holds.TOO_FEW else holds(days, usual)
    own = any(not each.is_checked for each in pool)
    capped = word is Holds.HOLDS and own and gap is not None and gap >= GENEROUS
    return Judged(
        step,
        tuple(each.effort for each in pool),
        sum(clean for clean, _ in days),
        found.estimate.n,
        found.days,
        found.estimate.low,
        found.estimate.high,
        str(Holds.NOT_SETTLED if capped else word),
        capped,
    )
