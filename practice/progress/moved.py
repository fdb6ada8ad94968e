"""What moved: was it done, did its test move, and so what to do. Values and SI only.

House rules. Done looks at the last four open weeks in which the part was asked. A test of
speed has moved when the speed book says Up; one that is counted, when the share of its
last days is above that of its first by more than its interval, at the steps tried in
both; one of called distances, when the balls end nearer by more than its interval. A
child's speed is growth, so no verdict leans on it. What was mostly written from memory
feeds no verdict.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

from practice.measures.answers import Estimate, Evidence, TooLittle, weakest
from practice.progress.moved_read import LATELY, DayCount, DayMiss, MovedFacts, PartFacts
from practice.progress.speed_book import SpeedLine, speed_book

if TYPE_CHECKING:
    from practice.measures.verdicts import MoreAndMore, Practice

MOST_DAYS_EACH = 3  # Test days on either side that are compared.
LEAST_TRIES = 12  # Of a counted test on either side.
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

    `change` is in the unit of the readings; `tests` counts the days that can be judged.
    `moved` is for the better, by more than chance.
    """

    __test__ = False

    kind: str
    name: str
    readings: tuple[Reading, ...]
    tests: int
    moved: bool
    change: Estimate | TooLittle | None
    evidence: Evidence | None
    line: SpeedLine | None = None


@dataclass(frozen=True, slots=True)
class PartMoved:
    """One part with its verdict. `done`: credited share of the minutes asked."""

    name: str
    priority: int
    done: float | None
    asked_minutes: float
    credited_minutes: float
    weeks: int
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
    return tuple(_part(part, line, is_minor=is_minor) for part in facts.parts)


def _part(part: PartFacts, line: SpeedLine | None, *, is_minor: bool) -> PartMoved:
    from practice.measures.verdicts import Practice, done_and_moved

    lately = part.weeks[-LATELY:]
    asked = sum(week.asked for week in lately)
    credited = sum(week.credited for week in lately)
    done = credited / asked if asked else None
    test = _test(part, line)
    mostly_memory = part.from_memory * 2 >= part.entries > 0
    growth = is_minor and test.kind == "speed"
    verdict = done_and_moved(done, open_weeks=len(lately), tests=test.tests, moved=test.moved)
    if mostly_memory or growth:
        verdict = Practice.TOO_SOON
    own = Evidence.FROM_MEMORY if mostly_memory else Evidence.COUNTED
    return PartMoved(
        name=part.name,
        priority=part.priority,
        done=done,
        asked_minutes=asked,
        credited_minutes=credited,
        weeks=len(lately),
        mostly_memory=mostly_memory,
        growth=growth,
        test=test,
        verdict=verdict,
        evidence=weakest(own, test.evidence) if test.evidence else own,
        more=_more(part.minutes, test.readings, lower_is_better=test.kind == "miss"),
    )


def _test(part: PartFacts, line: SpeedLine | None) -> Test:
    if part.test_is_speed:
        return _speed(part.test_name, line)
    if part.misses:
        return _missed(part.test_name, sorted(part.misses, key=lambda each: each.day))
    return _counted(part.test_name, part.counts)


def _speed(name: str, line: SpeedLine | None) -> Test:
    if line is None:
        return Test("speed", name, (), 0, moved=False, change=None, evidence=None)
    readings = tuple(Reading(d.day, d.figure, len(d.swings)) for d in line.days)
    if isinstance(line.change, TooLittle):
        tests = min(1, len(readings))
        return Test("speed", name, readings, tests, False, line.change, line.evidence, line)
    found = line.change
    change = Estimate(
        found.change, "m/s", found.change - found.needed, found.change + found.needed, found.n
    )
    return Test(
        "speed", name, readings, found.n, found.verdict == "Up", change, line.evidence, line
    )


def _counted(name: str, counts: Sequence[DayCount]) -> Test:
    """A coach's counts alone where there are any on two days, else all counts."""
    checked = [count for count in counts if count.is_checked]
    used = checked if len({count.day for count in checked}) > 1 else list(counts)
    days = sorted({count.day for count in used})
    kinds = [Evidence.COACH_CHECKED if c.is_checked else Evidence.COUNTED for c in used]
    evidence = weakest(*kinds) if kinds else None
    readings = tuple(_reading(day, used) for day in days)
    if len(days) < 2:
        return Test("share", name, readings, len(days), False, None, evidence)
    each = min(MOST_DAYS_EACH, len(days) // 2)
    before, now = (_sums(used, set(part)) for part in (days[:each], days[-each:]))
    both = before.keys() & now.keys()
    old, new = (_total(sums, both) for sums in (before, now))
    if min(old[1], new[1]) < LEAST_TRIES:
        little = TooLittle("Both ends of the test need twelve tries.", min(old[1], new[1]), 12)
        return Test("share", name, readings, 1, False, little, evidence)
    from practice.measures.difference import share_difference

    change = share_difference(old, new)
    moved = isinstance(change, Estimate) and change.low > 0
    return Test("share", name, readings, len(days), moved, change, evidence)


def _reading(day: date, counts: Sequence[DayCount]) -> Reading:
    mine = [count for count in counts if count.day == day]
    clean, tries = sum(c.clean for c in mine), sum(c.tries for c in mine)
    return Reading(day, clean / tries, tries, clean)


def _sums(counts: Sequence[DayCount], days: set[date]) -> dict[str, tuple[int, int]]:
    sums: dict[str, tuple[int, int]] = {}
    for count in counts:
        if count.day in days:
            clean, tries = sums.get(count.step, (0, 0))
            sums[count.step] = (clean + count.clean, tries + count.tries)
    return sums


def _total(sums: dict[str, tuple[int, int]], steps: set[str]) -> tuple[int, int]:
    return sum(sums[step][0] for step in steps), sum(sums[step][1] for step in steps)


def _missed(name: str, days: Sequence[DayMiss]) -> Test:
    from practice.measures.difference import mean_difference

    kinds = [Evidence.COUNTED if day.is_seen else Evidence.MEASURED for day in days]
    readings = tuple(
        Reading(day.day, sum(day.misses) / len(day.misses), len(day.misses)) for day in days
    )
    if len(days) < 2:
        return Test("miss", name, readings, len(days), False, None, weakest(*kinds))
    each = min(MOST_DAYS_EACH, len(days) // 2)
    before, now = (
        [miss for day in part for miss in day.misses] for part in (days[:each], days[-each:])
    )
    if len(set(before)) == len(set(now)) == 1:
        little = TooLittle("Every ball ended as far off as the others.", len(days), len(days) + 1)
        return Test("miss", name, readings, 1, False, little, weakest(*kinds))
    change = mean_difference(before, now, "m")
    enough = isinstance(change, Estimate)
    moved = isinstance(change, Estimate) and change.high < 0
    return Test("miss", name, readings, len(days) if enough else 1, moved, change, weakest(*kinds))


def _more(
    minutes: dict[date, float], readings: Sequence[Reading], *, lower_is_better: bool
) -> "MoreAndMore | TooLittle":
    """Minutes of the part in the fortnight before each test, and the change at that test."""
    from practice.measures.verdicts import LEAST_PAIRS, more_and_more

    sign = -1 if lower_is_better else 1
    spent, changes = [], []
    for earlier, later in pairwise(readings):
        before = (day for day in minutes if later.day - FORTNIGHT <= day < later.day)
        spent.append(sum(minutes[day] for day in before))
        changes.append(sign * (later.value - earlier.value))
    if len(spent) >= LEAST_PAIRS and (len(set(spent)) == 1 or len(set(changes)) == 1):
        return TooLittle(
            "All fortnights, or all changes, were the same.", len(spent), len(spent) + 1
        )
    return more_and_more(spent, changes)
