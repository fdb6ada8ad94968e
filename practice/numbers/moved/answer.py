"""What moved: was it done, did its test move, and so what to do. Values and SI only.

House rules. Done looks at the last four open weeks in which the part was asked. Whether
the test moved is one claim over all its days: of a test of speed the speed book's, of one
that is counted the share of its days, each step freed of how hard it is, of one of called
distances how far the balls end from them. A child's speed is growth, so no verdict leans
on it. What was mostly written from memory feeds no verdict.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING
from uuid import UUID

from practice.measures.answers import Evidence, TooLittle, weakest
from practice.measures.usual import UsualPrior
from practice.numbers.moved.queries import LATELY, AskedDrill, DayCount, DayMiss, MovedFacts
from practice.numbers.speed.book import SpeedLine, speed_book
from shared.kit.text import whole_percent

if TYPE_CHECKING:
    from practice.measures.claim import Claim
    from practice.measures.verdicts import MoreAndMore, Practice

FORTNIGHT = timedelta(days=14)


@dataclass(frozen=True, slots=True)
class Reading:
    """One test day: its figure in the unit of the test, and what it stands on."""

    day: date
    value: float
    n: int
    clean: int | None = None


@dataclass(frozen=True, slots=True)
class Test:
    """What the test of a part says. `kind`: speed, share, miss or none.

    `claim` is in the unit of the readings, None before there are any; `tests` counts the
    days that can be judged.
    """

    __test__ = False

    kind: str
    name: str
    readings: tuple[Reading, ...]
    tests: int
    claim: "Claim | TooLittle | None"
    evidence: Evidence | None
    line: SpeedLine | None = None

    @property
    def said(self) -> "Claim | None":
        return None if isinstance(self.claim, TooLittle) else self.claim


@dataclass(frozen=True, slots=True)
class PartMoved:
    """One part with its verdict. `done`: credited share of the minutes asked from the day `since`
    through the day `until`; `is_done_now`: what is asked of it this week is done."""

    drill_id: UUID
    name: str
    priority: int
    done: float | None
    asked_minutes: float
    credited_minutes: float
    weeks: int
    since: date | None
    until: date | None
    is_done_now: bool
    mostly_memory: bool
    growth: bool
    test: Test
    verdict: "Practice"
    evidence: Evidence
    more: "MoreAndMore | TooLittle"


@dataclass(frozen=True, slots=True)
class Moved:
    """Everything that *What moved* says to those who teach."""

    parts: tuple[PartMoved, ...]


def moved_parts(facts: MovedFacts, *, is_minor: bool) -> tuple[PartMoved, ...]:
    """Every part that was asked lately, most important first."""
    book = speed_book(facts.speeds) if facts.speeds is not None else None
    # Of several lines, the one with the most test days tells; the newest if they tie.
    line = max(book.lines, key=lambda each: len(each.days)) if book and book.lines else None
    return tuple(
        _part(part, line, facts.usual, is_minor=is_minor, hurts=part.drill_id in facts.hurting)
        for part in facts.parts
    )


def _part(
    part: AskedDrill, line: SpeedLine | None, usual: UsualPrior, *, is_minor: bool, hurts: bool
) -> PartMoved:
    from practice.measures.verdicts import Practice, done_and_moved

    lately = part.weeks[-LATELY:]
    asked = sum(week.asked for week in lately)
    credited = sum(week.credited for week in lately)
    done = credited / asked if asked else None
    test = _test(part, line, usual)
    mostly_memory = part.from_memory * 2 >= part.entries > 0
    growth = is_minor and test.kind == "speed"
    verdict = done_and_moved(
        done, open_weeks=len(lately), tests=test.tests, claim=test.said, hurts=hurts
    )
    if mostly_memory or growth:
        verdict = Practice.TOO_SOON
    now = part.this_week
    own = Evidence.FROM_MEMORY if mostly_memory else Evidence.COUNTED
    return PartMoved(
        drill_id=part.drill_id,
        name=part.name,
        priority=part.priority,
        done=done,
        asked_minutes=asked,
        credited_minutes=credited,
        weeks=len(lately),
        since=lately[0].opens if lately else None,
        until=lately[-1].opens + timedelta(days=6) if lately else None,
        is_done_now=now is not None and whole_percent(now.credited / now.asked) == 100,
        mostly_memory=mostly_memory,
        growth=growth,
        test=test,
        verdict=verdict,
        evidence=weakest(own, test.evidence) if test.evidence else own,
        more=_more(part.minutes, test.readings, lower_is_better=test.kind == "miss"),
    )


def _test(part: AskedDrill, line: SpeedLine | None, usual: UsualPrior) -> Test:
    if part.test_is_speed:
        return _speed(part.test_name, line)
    if part.misses:
        return _missed(part.test_name, sorted(part.misses, key=lambda each: each.day), usual)
    return _counted(part.test_name, part.counts, usual)


def _speed(name: str, line: SpeedLine | None) -> Test:
    if line is None:
        return Test("speed", name, (), 0, None, None)
    readings = tuple(Reading(d.day, d.figure, len(d.swings)) for d in line.days)
    return Test("speed", name, readings, len(readings), line.claim, line.evidence, line)


def _counted(name: str, counts: Sequence[DayCount], usual: UsualPrior) -> Test:
    from practice.measures.claim import WORTH_SHARE, change_of_shares
    from practice.measures.together import shared_by

    used, days = counts_used(counts), days_of(counts)
    kinds = [Evidence.COACH_CHECKED if c.is_checked else Evidence.COUNTED for c in used]
    readings = tuple(_reading(day, used) for day in days)
    if not readings:
        return Test("share", name, (), 0, None, None)
    shared = shared_by(days, usual.reps.together)
    claim = change_of_shares(counted_days(used), WORTH_SHARE, usual.reps, shared=shared)
    return Test("share", name, readings, len(days), claim, weakest(*kinds))


def counted_days(counts: Sequence[DayCount]) -> list[tuple[float, int]]:
    """Successes and tries of each day, each step freed of how hard it is."""
    from practice.measures.tried import StepTries, freed_of_steps

    used = counts_used(counts)
    return freed_of_steps([StepTries(each.day, each.step, each.clean, each.tries) for each in used])


def days_of(counts: Sequence[DayCount]) -> list[date]:
    """Of the counts that are used, in order."""
    return sorted({count.day for count in counts_used(counts)})


def counts_used(counts: Sequence[DayCount]) -> list[DayCount]:
    """A coach's counts alone where there are any on two days, else all counts."""
    checked = [count for count in counts if count.is_checked]
    return checked if len({count.day for count in checked}) > 1 else list(counts)


def _reading(day: date, counts: Sequence[DayCount]) -> Reading:
    mine = [count for count in counts if count.day == day]
    clean, tries = sum(c.clean for c in mine), sum(c.tries for c in mine)
    return Reading(day, clean / tries, tries, clean)


def _missed(name: str, days: Sequence[DayMiss], usual: UsualPrior) -> Test:
    from practice.measures.claim import WORTH_MISS, change_of_levels
    from practice.measures.together import shared_by

    kinds = [Evidence.COUNTED if day.is_seen else Evidence.MEASURED for day in days]
    readings = tuple(
        Reading(day.day, sum(day.misses) / len(day.misses), len(day.misses)) for day in days
    )
    shared = shared_by([day.day for day in days], usual.misses.together)
    misses = [day.misses for day in days]
    claim = change_of_levels(misses, "m", WORTH_MISS, usual.misses, shared=shared)
    return Test("miss", name, readings, len(days), claim, weakest(*kinds))


def _more(
    minutes: dict[date, float], readings: Sequence[Reading], *, lower_is_better: bool
) -> "MoreAndMore | TooLittle":
    """Minutes of the part in the fortnight before each test, and the change at that test.

    Given the test before: practice that answers bad tests makes a link of its own.
    """
    from practice.measures.verdicts import LEAST_PAIRS, more_and_more

    sign = -1 if lower_is_better else 1
    spent, changes, tests = [], [], []
    for earlier, later in pairwise(readings):
        before = (day for day in minutes if later.day - FORTNIGHT <= day < later.day)
        spent.append(sum(minutes[day] for day in before))
        changes.append(sign * (later.value - earlier.value))
        tests.append(sign * earlier.value)
    if len(spent) >= LEAST_PAIRS and (len(set(spent)) == 1 or len(set(changes)) == 1):
        return TooLittle(
            "All fortnights, or all changes, were the same.", len(spent), len(spent) + 1
        )
    return more_and_more(spent, changes, tests)
