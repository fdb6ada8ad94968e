"""The steps of a ladder judged together. Pure.

House rules, not published ones: a step that a coach has checked enough is judged by the
coach's count alone; a step that looks easier than a slower one is pooled with it; what
only the student counted, where that runs high, is never said to hold.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from practice.measures.answers import TooLittle

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
class Step:
    """All counts of one effort, by the coach where those are enough to judge by."""

    effort: int
    clean: int
    reps: int
    days: frozenset[date]
    is_checked: bool

    @property
    def share(self) -> float:
        return self.clean / self.reps


@dataclass(frozen=True, slots=True)
class Judged:
    """A step with its word; share and interval are of the pool it was judged in.

    `word`: holds, breaks, not settled or too few. `capped`: it would hold by the
    student's own count, which runs high.
    """

    step: Step
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


def steps_of(own: Sequence[Count], checked: Sequence[Count]) -> list[Step]:
    """One step per effort, lowest first. Efforts without a scored rep are left out."""
    efforts = sorted({count.effort for count in (*own, *checked) if count.reps})
    steps = []
    for effort in efforts:
        by_coach = _step(effort, checked, is_checked=True)
        by_student = _step(effort, own, is_checked=False)
        enough = by_coach.reps >= LEAST_REPS and len(by_coach.days) >= LEAST_DAYS
        steps.append(by_coach if enough or not by_student.reps else by_student)
    return steps


def _step(effort: int, counts: Sequence[Count], *, is_checked: bool) -> Step:
    mine = [count for count in counts if count.effort == effort and count.reps]
    return Step(
        effort,
        sum(count.clean for count in mine),
        sum(count.reps for count in mine),
        frozenset(count.day for count in mine),
        is_checked,
    )


def pooled(steps: Sequence[Step]) -> list[list[Step]]:
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
    >>> day = frozenset({date(2031, 2, 26)})
    >>> ladder = [Step(e, c, 20, day, False) for e, c in ((40, 18), (60, 12), (80, 14))]
    >>> [[step.effort for step in pool] for pool in pooled(ladder)]
    [[40], [60, 80]]
    """
    pools: list[list[Step]] = []
    for step in steps:
        pools.append([step])
        while len(pools) > 1 and _share(pools[-1]) > _share(pools[-2]):
            last = pools.pop()
            pools[-1] += last
    return pools


def _share(pool: Sequence[Step]) -> float:
    return sum(step.clean for step in pool) / sum(step.reps for step in pool)


def judge(steps: Sequence[Step], gap: int | None) -> list[Judged]:
    """Every step with its word. `gap`: points by which the student's own count runs high."""
    return [_judged(step, pool, gap) for pool in pooled(steps) for step in pool]


def _judged(step: Step, pool: Sequence[Step], gap: int | None) -> Judged:
    from practice.measures.ladder import Holds, holds
    from practice.measures.rates import Z80, wilson

    clean, reps = sum(each.clean for each in pool), sum(each.reps for each in pool)
    days = len(frozenset().union(*(each.days for each in pool)))
    bounds = wilson(clean, reps, z=Z80)
    low, high = (0.0, 1.0) if isinstance(bounds, TooLittle) else bounds
    # What a step lends to its neighbour does not make up for too few reps of its own.
    alone = holds(step.clean, step.reps, len(step.days))
    word = alone if alone is Holds.TOO_FEW else holds(clean, reps, days)
    own = any(not each.is_checked for each in pool)
    capped = word is Holds.HOLDS and own and gap is not None and gap >= GENEROUS
    return Judged(
        step,
        tuple(each.effort for each in pool),
        clean,
        reps,
        days,
        low,
        high,
        str(Holds.NOT_SETTLED if capped else word),
        capped,
    )
