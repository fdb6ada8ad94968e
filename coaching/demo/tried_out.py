"""Drills of the demo that are tried out: drawn as everywhere, from a source that repeats itself.

One was judged and rests now, one waits for its first week. What they show comes out of the rules.
"""

import uuid
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from itertools import cycle
from random import Random
from zoneinfo import ZoneInfo

from coaching.demo.cast import CastPart, CastWork
from coaching.demo.story import StoryDay, WeekStory
from practice.coach_counts.services import keep_count
from practice.drills.models import Drill
from practice.tryouts.models import TryOut
from practice.tryouts.services import draw, draw_turns
from shared.people.access import Recordable

WEEK = timedelta(weeks=1)
TEST, EFFORT, REPS = "effort-check", 80, 8


@dataclass(frozen=True, slots=True)
class CastTryOut:
    """A drill with a drawn start, so many weeks ago; what the coach counted before and since."""

    asked: CastPart
    weeks_ago: int
    starts: int
    tests_before: int
    clean: tuple[int, ...]
    clean_since: tuple[int, ...]


STARTS = {
    "Ines Calderao": CastTryOut(
        CastPart("sway-gate", "3x7@50", 2, 10, "", (0.8,)),
        weeks_ago=9,
        starts=4,
        tests_before=3,
        clean=(4, 3, 5, 4),
        clean_since=(6, 7, 6, 7, 6),
    )
}
LIGHT_FORTNIGHTS = {"Lotte Brandvold": ("start-line-gate", 6)}


def load_try_outs(student: Recordable, shelf: dict[str, Drill], this_week: date) -> TryOut | None:
    """Draw what this student tries; the try-out of a drawn start, if there is one."""
    chance, coach = Random(f"try-outs {student.name}"), student.lead_coach
    if student.name in LIGHT_FORTNIGHTS:
        drill, pairs = LIGHT_FORTNIGHTS[student.name]
        draw_turns(
            student=student, drill=shelf[drill], other=None, test=shelf[TEST],
            first=this_week + WEEK, pairs=pairs, by=coach, chance=chance,
        )  # fmt: skip
    tried = STARTS.get(student.name)
    if tried is None:
        return None
    first = this_week - tried.weeks_ago * WEEK
    (row,) = draw(
        students=[student], drill=shelf[tried.asked.drill], test=shelf[TEST],
        first=first, starts=tried.starts, by=coach, chance=chance,
    )  # fmt: skip
    row.drawn_at = datetime.combine(first - WEEK, time(17), ZoneInfo(student.time_zone))
    row.save(update_fields=["drawn_at"])
    _count(student, row, tried, chance)
    return row


def _count(student: Recordable, row: TryOut, tried: CastTryOut, chance: Random) -> None:
    """Once a week until it is judged, and once when it has rested for a week."""
    before, since = cycle(tried.clean), cycle(tried.clean_since)
    for day in _test_days(row, tried.tests_before):
        keep_count(
            student=student,
            by=student.lead_coach,
            count_id=uuid.UUID(int=chance.getrandbits(128), version=4),
            drill=row.test,
            effort=EFFORT,
            reps=REPS,
            clean_reps=next(since if day > row.begins else before),
            own_clean_reps=None,
            day=day,
        )


def _test_days(row: TryOut, before: int) -> Iterator[date]:
    day = row.first - before * WEEK + timedelta(days=3)
    while day < row.judged_on + WEEK:
        yield day
        day += WEEK
    yield row.judged_on + timedelta(days=8)


def with_try_out(story: WeekStory, opens: date, row: TryOut | None, name: str) -> WeekStory:
    """The week with the drill that was tried, from the drawn week until it was judged."""
    if row is None or not row.begins <= opens < row.judged_on:
        return story
    asked, place = STARTS[name].asked, len(story.parts)
    days = {day.offset: day for day in story.days}
    for offset in (1, 4):
        day = days.setdefault(offset, StoryDay(offset))
        day.works.append(CastWork(offset, place))
    return replace(
        story, parts=(*story.parts, asked), days=[days[offset] for offset in sorted(days)]
    )
