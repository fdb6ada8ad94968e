"""Does what came with a drill stay: after rest from it, and at another place? One claim each.

The last tests with the drill are the start; the tests after 7 and 14 days without it, or at
another place, are what came since. How a claim is made lies in `practice.measures.claim`.
"""

from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from practice.measures.answers import TooLittle
from practice.measures.usual import HOUSE, UsualPrior
from practice.numbers.moved.answer import counts_used
from practice.numbers.moved.queries import AskedDrill, read_trial
from practice.numbers.speed.queries import SpeedDay, SpeedFacts
from practice.shots.studio_days import usual_days
from practice.tryouts.models import CHECKED, ELSEWHERE, RESTS, TryOut

if TYPE_CHECKING:
    from practice.measures.claim import Claim
    from practice.measures.verdicts import Kept

WITH_IT = 4  # Of the tests with the drill, the last ones are compared with (house rule).
LEAST_WITH_IT = 2


@dataclass(frozen=True, slots=True)
class Stays:
    """After rest, and at another place: the answer, and the claim that gives it."""

    rest: "Kept"
    rest_claim: "Claim | TooLittle"
    elsewhere: "Kept | None"
    elsewhere_claim: "Claim | TooLittle | None"


@dataclass(frozen=True, slots=True)
class _Known:
    """What was read since the drill began, with its test days in time order."""

    part: AskedDrill
    speeds: tuple[SpeedDay, ...] | None
    quantity: str
    usual: UsualPrior

    @property
    def days(self) -> list[date]:
        if self.speeds is not None:
            return sorted(each.day for each in self.speeds)
        of_misses = {each.day for each in self.part.misses}
        return sorted(of_misses or {each.day for each in counts_used(self.part.counts)})


def stays(row: TryOut, today: date) -> Stays:
    """Of a try-out that was judged. At most ten queries."""
    from practice.measures.verdicts import kept_of

    until = min(today, row.judged_on + timedelta(days=CHECKED - 1))
    part, speeds = read_trial(row.student, row.drill, row.test, row.begins, until)
    quantity, line = _line(speeds) if speeds is not None else ("", None)
    known = _Known(part, line, quantity, usual_days(row.student))
    rest = _claim(known, row, _rested(known, row))
    away = None if speeds is not None else _claim(known, row, _away(known, row))
    return Stays(kept_of(_said(rest)), rest, None if away is None else kept_of(_said(away)), away)


def _line(speeds: SpeedFacts) -> tuple[str, tuple[SpeedDay, ...]]:
    """Of several lines the one with the most days that count; speeds of two are never joined."""
    lines = [
        (line.quantity, tuple(day for day in days if day.feeds_verdicts))
        for line, days in speeds.lines
    ]
    return max(lines, key=lambda each: len(each[1]), default=("", ()))


def _said(claim: "Claim | TooLittle") -> "Claim | None":
    return None if isinstance(claim, TooLittle) else claim


def _with_it(known: _Known, row: TryOut) -> list[date]:
    return [day for day in known.days if row.begins < day <= row.judged_on][-WITH_IT:]


def _rested(known: _Known, row: TryOut) -> set[date]:
    """Test days after a week without the drill, before the tests at another place begin."""
    week = timedelta(days=min(RESTS))
    done = set(known.part.minutes)
    return {
        day
        for day in known.days
        if week <= day - row.judged_on < timedelta(days=ELSEWHERE)
        and not any(day - week < each <= day for each in done)
    }


def _away(known: _Known, row: TryOut) -> set[date]:
    """Test days asked at another place; where the place was written down, only if it is one."""
    asked = {day for day in known.days if (day - row.judged_on).days >= ELSEWHERE}
    places = {each.day: each.places for each in known.part.misses}
    usual = frozenset[str]().union(*(places.get(day, ()) for day in _with_it(known, row)))
    return {day for day in asked if not places.get(day, frozenset()) & usual}


def _claim(known: _Known, row: TryOut, later: AbstractSet[date]) -> "Claim | TooLittle":
    """The claim of the later days against the last ones with the drill."""
    first = _with_it(known, row)
    if len(first) < LEAST_WITH_IT:
        return TooLittle("Two test days with the drill are needed.", len(first), LEAST_WITH_IT)
    days, start = {*first, *later}, len(first)
    if known.speeds is not None:
        return _of_speeds([each for each in known.speeds if each.day in days], known, start)
    if known.part.misses:
        return _of_misses(known, days, start)
    return _of_counts(known, days, start)


def _of_counts(known: _Known, days: AbstractSet[date], start: int) -> "Claim | TooLittle":
    from practice.measures.claim import WORTH_SHARE, change_of_shares
    from practice.measures.together import shared_by
    from practice.measures.tried import StepTries, freed_of_steps

    used = [each for each in counts_used(known.part.counts) if each.day in days]
    freed = freed_of_steps(
        [StepTries(each.day, each.step, each.clean, each.tries) for each in used]
    )
    shared = shared_by(sorted({each.day for each in used}), known.usual.reps.together)
    return change_of_shares(freed, WORTH_SHARE, known.usual.reps, start=start, shared=shared)


def _of_misses(known: _Known, days: AbstractSet[date], start: int) -> "Claim | TooLittle":
    from practice.measures.claim import WORTH_MISS, change_of_levels
    from practice.measures.together import shared_by

    kept = sorted((each.day, each.misses) for each in known.part.misses if each.day in days)
    balls, usual = [misses for _, misses in kept], known.usual.misses
    shared = shared_by([day for day, _ in kept], usual.together)
    return change_of_levels(balls, "m", WORTH_MISS, usual, start=start, shared=shared)


def _of_speeds(days: list[SpeedDay], known: _Known, start: int) -> "Claim | TooLittle":
    import numpy as np

    from practice.measures.claim import Days, claim_of, too_little
    from practice.measures.together import shared_by

    if len(days) <= start:
        return too_little(len(days), start)
    usual = known.usual.of_speed(known.quantity)
    figures = np.array([each.figure for each in days])
    swings = sum(len(each.swings) for each in days)
    shared = shared_by([each.day for each in days], usual.together)
    spreads = np.full(figures.size, usual.ratio**2)
    kept = Days(figures, spreads, swings, usual, start, shared)
    return claim_of(kept, what="speed", unit="m/s", worth=HOUSE.of_speed(known.quantity).ratio)
