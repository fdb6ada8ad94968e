"""Turn a person of the cast into what they did, day by day.

The past is described by two facts a week: how many credited minutes came from
the third day on, and whether the week was finished. Here they become sessions
on days, with reps per step and a clean count, from a seeded generator.
"""

from dataclasses import dataclass, field
from math import ceil
from random import Random

from coaching.demo.cast import WEEKS_BACK, CastMember, CastPart, CastWeek, CastWork, Remark
from practice.compliance.credit import DAY_LINE
from practice.drills.dose import DoseUnit, parse

EARLY_DAYS = (0, 1)
LATE_DAYS = {
    "spread": (2, 4, 6),
    "last day": (6, 5),
}
UNFINISHED = 0.85  # An unfinished week stays below this share.


@dataclass(slots=True)
class StoryDay:
    """What one person did on one day of one week."""

    offset: int
    works: list[CastWork] = field(default_factory=list)
    remark: Remark | None = None


@dataclass(frozen=True, slots=True)
class WeekStory:
    """One week of one person; `ago` counts weeks back, 0 is the present one."""

    ago: int
    parts: tuple[CastPart, ...]
    days: list[StoryDay]


def weeks_of(person: CastMember, *, today_offset: int) -> list[WeekStory]:
    """Every week of this person, oldest first."""
    past = person.past[-WEEKS_BACK:]
    stories = [_past_week(person, week, ago=len(past) - n) for n, week in enumerate(past)]
    stories.append(WeekStory(0, person.parts_now or person.parts, _days(person.now)))
    for remark in person.remarks:
        _attach(stories, remark, today_offset)
    return stories


def _days(works: tuple[CastWork, ...] | list[CastWork]) -> list[StoryDay]:
    days: dict[int, StoryDay] = {}
    for work in works:
        days.setdefault(work.day, StoryDay(work.day)).works.append(work)
    return [days[offset] for offset in sorted(days)]


def _past_week(person: CastMember, week: CastWeek, *, ago: int) -> WeekStory:
    parts = person.parts
    left = {
        index: float(part.sessions)
        for index, part in enumerate(parts)
        if person.skips.get(index, 0) < ago
    }
    asked = sum(part.sessions * part.minutes for part in parts)
    late = min(week.late, asked)
    if person.style == "written later":
        return WeekStory(ago, parts, _days(_as_asked(parts)))
    works = _fill(parts, left, late, LATE_DAYS[person.style])
    # A week with nothing late ended on its first day.
    early_days = EARLY_DAYS if week.late else EARLY_DAYS[:1]
    works += _fill(parts, left, _early(person, week, asked), early_days, backwards=True)
    works += _extras(person, ago)
    return WeekStory(ago, parts, _days(works))


def _early(person: CastMember, week: CastWeek, asked: float) -> float:
    """Credited minutes on the first two days."""
    if week.finished:
        return max(0.0, asked - week.late)
    most = max(0.0, UNFINISHED * asked - week.late)
    return most if person.diligent else min(10.0, most)


def _as_asked(parts: tuple[CastPart, ...]) -> list[CastWork]:
    """Whole sessions, every other day."""
    days = (1, 3, 5, 6, 4, 2, 0)
    return [
        CastWork(day, index) for index, part in enumerate(parts) for day in days[: part.sessions]
    ]


def _fill(
    parts: tuple[CastPart, ...],
    left: dict[int, float],
    minutes: float,
    days: tuple[int, ...],
    *,
    backwards: bool = False,
) -> list[CastWork]:
    """Spend minutes on what is left, at most the day line of a part a day."""
    works = []
    for n, day in enumerate(days):
        budget = minutes if days[0] == 6 else minutes / (len(days) - n)
        for index in sorted(left, reverse=backwards):
            share = min(left[index], DAY_LINE, budget / parts[index].minutes)
            if share * parts[index].minutes < 0.25:
                continue
            works.append(CastWork(day, index, share))
            left[index] -= share
            spent = share * parts[index].minutes
            budget -= spent
            minutes -= spent
    return works


def _extras(person: CastMember, ago: int) -> list[CastWork]:
    """Practice nobody asked for: range balls, and the hard swings they bring."""
    if ago <= len(person.hard_past):
        asked = sum(_hard(part) * part.sessions for part in person.parts)
        more = person.hard_past[-ago] - asked
        return [CastWork(4, -1, what="range", minutes=20, balls=30, hard=more)]
    if person.range_balls:
        return [CastWork(3, -1, what="range", minutes=60, balls=person.range_balls, hard=30)]
    return []


def _hard(part: CastPart) -> int:
    return parse(part.dose).hard_reps


def _attach(stories: list[WeekStory], remark: Remark, today_offset: int) -> None:
    """Put the remark on its day, adding a little work there if that day had none."""
    days_before_week = remark.days_ago - today_offset
    ago = max(0, -(-days_before_week // 7))
    offset = today_offset - remark.days_ago + 7 * ago
    story = next(story for story in stories if story.ago == ago)
    day = next((day for day in story.days if day.offset == offset), None)
    if day is None:
        day = StoryDay(offset)
        story.days.append(day)
        story.days.sort(key=lambda each: each.offset)
    if not any(work.part == remark.part for work in day.works):
        day.works.append(CastWork(offset, remark.part, 0.25))
    day.remark = remark


@dataclass(slots=True)
class Progress:
    """How far a part has come in its week: sessions' worth, and reps per step that count."""

    share: float = 0.0
    counted: dict[int, float] = field(default_factory=dict)


def steps_done(
    part: CastPart, share: float, progress: Progress, random: Random
) -> list[dict[str, int | None]]:
    """Reps and clean reps per step for this many sessions' worth of the part.

    Reps are whole; whoever comes to the end of the part does what is left of each step.
    """
    dose = parse(part.dose)
    steps = []
    progress.share += share
    for index, step in enumerate(dose.steps):
        asked = step.total * dose.rounds
        counted = progress.counted.get(index, 0.0)
        done = max(0, round(progress.share * asked - counted))
        if share >= DAY_LINE:
            done = ceil(share * asked - 1e-6)
        elif progress.share >= part.sessions - 1e-6:
            done = ceil(asked * part.sessions - counted - 1e-6)
        progress.counted[index] = counted + min(DAY_LINE * asked, done)
        clean = (
            _clean(part.clean, index, done, random) if step.unit is not DoseUnit.MINUTES else None
        )
        steps.append({"n": done, "c": clean, "e": step.effort})
    return steps


def _clean(shares: tuple[float, ...], index: int, done: int, random: Random) -> int | None:
    if not shares or not done:
        return None
    share = shares[min(index, len(shares) - 1)]
    if share == 1.0:
        return done
    return sum(random.random() < share for _ in range(done))
