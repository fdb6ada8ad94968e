"""Cycles that the calendar's week does not show: a roster of shifts, every third week, events.

A day is compared with those one cycle, two cycles, … before it and their neighbours: what they
brought beside the usual of their weekday, drawn towards nothing. How far a student goes by a
cycle is the studio's share of it times how much likelier it made the days so far, each known
only from those before (prequential likelihood; Dawid 1984): one that only seems to be there
moves next to nothing.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from math import exp, log

from coaching.forecast.rhythm import DAYS, DoneWeek

PERIODS = range(DAYS + 1, 6 * DAYS + 1)  # In days; longer ones come too seldom to be learnt.
NEIGHBOUR = 0.4  # The day before and the day after, beside the day itself.
USUAL_DAYS = 2.0  # The mean of all days, as so many of a weekday.
LIKE_ANY = 2.0  # That a day of the cycle is like any other, as so many cycles.
FADE = 0.97  # A cycle, beside the one after it.
LEAST, MOST = 0.03, 0.97
NO_NEWS = 4 * DAYS  # Days before any cycle is looked for.
# What a studio starts from: so many students, of whom this share goes by a cycle, any alike.
WORTH, IN_ALL = 4.0, 0.1
LEAST_SHARE = 0.08  # Of one student alone a cycle is told too easily from chance.
ROUNDS = 30

Shares = tuple[tuple[int, float], ...]  # Periods, and the share of students that go by each.


@dataclass(frozen=True, slots=True)
class Beside:
    """Days in a row from the first week on: the chance of practice known before each, and what
    came beside it (1 or 0 less the chance); None where a day says nothing.

    `near` adds what came of a day and its neighbours, and `told` how much of them is known.
    """

    usual: list[float]
    more: list[float | None]
    near: list[float]
    told: list[float]


def beside_usual(past: Sequence[DoneWeek]) -> Beside:
    first = past[0].opens
    length = (past[-1].opens - first).days + DAYS
    usual = [0.0] * length
    more: list[float | None] = [None] * length
    near, told = [0.0] * (length + 1), [0.0] * (length + 1)  # The last is thrown away.
    days, done = [0.0] * DAYS, [0.0] * DAYS
    for week in past:
        begins = (week.opens - first).days
        for weekday, minutes, _ in week.days():
            mean = (sum(done) + 1) / (sum(days) + 2)
            chance = (done[weekday] + USUAL_DAYS * mean) / (days[weekday] + USUAL_DAYS)
            day = begins + (weekday - week.opens.weekday()) % DAYS
            usual[day], more[day] = chance, (minutes > 0) - chance
            days[weekday] += 1
            done[weekday] += minutes > 0
    for day, each in enumerate(more):
        if each is not None:
            for at, weight in ((day - 1, NEIGHBOUR), (day, 1.0), (day + 1, NEIGHBOUR)):
                near[at] += weight * each
                told[at] += weight
    return Beside(usual, more, near[:length], told[:length])


def along(days: Beside, period: int, until: int) -> tuple[list[float], float]:
    """By how much each day, up to `until`, is likelier to bring practice by this cycle; and by
    how much (its logarithm) that made the days so far likelier."""
    length = len(days.more)
    near, told = [0.0] * until, [0.0] * until
    moved = [0.0] * until
    likelier = 0.0
    for day in range(period, until):
        back = day - period
        near[day], told[day] = FADE * near[back], FADE * told[back]
        if back < length:
            near[day] += days.near[back]
            told[day] += days.told[back]
        moved[day] = near[day] / (LIKE_ANY + told[day])
        more = days.more[day] if NO_NEWS <= day < length else None
        if more is not None:
            plain, chance = _held(days.usual[day]), _held(days.usual[day] + moved[day])
            likelier += log(chance / plain if more > 0 else (1 - chance) / (1 - plain))
    return moved, likelier


def _held(chance: float) -> float:
    return min(MOST, max(LEAST, chance))


def _beside_most(logs: Sequence[float]) -> list[float]:
    most = max(logs)
    return [exp(each - most) for each in logs]


@dataclass(frozen=True, slots=True)
class InCycle:
    """By how much each day of a week is likelier than usual, and the cycle that weighs more than
    none; 0 without."""

    moved: tuple[float, ...] = (0.0,) * DAYS
    period: int = 0


def cycle_of(past: Sequence[DoneWeek], opens: date, shares: Shares) -> InCycle:
    """Of the week that opens then, for a student of these past weeks."""
    if not shares or len(past) * DAYS < NO_NEWS:
        return InCycle()
    days = beside_usual(past)
    begins = (opens - past[0].opens).days
    found = [along(days, period, begins + DAYS) for period, _ in shares]
    none, *fits = _beside_most([0.0, *(likelier for _, likelier in found)])
    weights = [share * fit for (_, share), fit in zip(shares, fits, strict=True)]
    none *= 1 - sum([share for _, share in shares])
    whole = none + sum(weights)
    moved = tuple(
        sum([w * each[day] for w, (each, _) in zip(weights, found, strict=True)]) / whole
        for day in range(begins, begins + DAYS)
    )
    weight, period = max(zip(weights, [period for period, _ in shares], strict=True))
    return InCycle(moved, period if weight > none else 0)


def shares_of(held: Iterable[Sequence[DoneWeek]]) -> Shares:
    """The share of a studio's students that go by each cycle; seldom ones are left out.

    The mode of a mixture, drawn towards hardly any (an EM algorithm).
    """
    likely = []
    for past in held:
        if len(past) * DAYS >= NO_NEWS:
            days = beside_usual(past)
            fits = [along(days, period, len(days.more))[1] for period in PERIODS]
            likely.append(_beside_most([0.0, *fits]))
    start = [1 - IN_ALL, *[IN_ALL / len(PERIODS)] * len(PERIODS)]
    shares = start
    for _ in range(ROUNDS):
        counts = [WORTH * share for share in start]
        for fits in likely:
            both = [share * fit for share, fit in zip(shares, fits, strict=True)]
            counts = [n + each / sum(both) for n, each in zip(counts, both, strict=True)]
        shares = [n / sum(counts) for n in counts]
    found = zip(PERIODS, shares[1:], strict=True)
    return tuple((period, share) for period, share in found if share >= LEAST_SHARE)
