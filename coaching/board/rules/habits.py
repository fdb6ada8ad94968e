"""Habits seen over weeks: each rule is practice.compliance's, asked here of several weeks."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from coaching.board.rules.facts import Counts, CrammingFacts, Favourite, LoadBeside, PlanSizeFacts
from coaching.forecast.thresholds import DEFAULTS, Thresholds
from practice.care.hard_swings import rests
from practice.care.load import JumpLines, load_jump
from practice.care.load import Load as Word
from practice.compliance import habits

LESSONS_LOOKED_AT = 3
DAYS_BEFORE_LESSON = 7
FAVOURITE_WEEKS = 2
USUAL_WEEKS_NEEDED = 4
HALF = 0.5


def load(
    before: Sequence[int | None], now: int, *, under_16: bool, borders: Thresholds = DEFAULTS
) -> LoadBeside:
    """Hard swings of this week beside the four weeks before it."""
    found = load_jump(before, now, under_16=under_16, lines=_lines(borders, under_16=under_16))
    over = found.ceiling if found.load is Word.NO_BASE_OVER else None
    is_much = rests(now, before, hurt=True, under_16=under_16)
    return LoadBeside(now, found.mean, found.load is Word.JUMP, over, is_much)


def _lines(borders: Thresholds, *, under_16: bool) -> JumpLines:
    if under_16:
        return JumpLines(
            borders.jump_times, borders.jump_rise_under_16, borders.first_ceiling_under_16
        )
    return JumpLines(borders.jump_times, borders.jump_rise, borders.first_ceiling)


def cramming(
    minutes: Mapping[date, float],
    planned: Mapping[date, float],
    lessons: Sequence[date],
    *,
    weekly_assumed: bool = False,
    borders: Thresholds = DEFAULTS,
) -> CrammingFacts:
    """Before how many of the last lessons the practice was crammed; newest lesson first."""
    found = [
        habits.cramming(
            _days_before(lesson, minutes),
            _days_before(lesson, planned),
            share_from=borders.cram_share,
            above_plan=borders.cram_above_plan,
        )
        for lesson in lessons[:LESSONS_LOOKED_AT]
    ]
    known = [each for each in found if each]
    crammed = [each for each in known if each.flag]
    last = crammed[0].share if crammed else 0
    return CrammingFacts(len(crammed), len(known), last, weekly_assumed)


def _days_before(lesson: date, by_day: Mapping[date, float]) -> list[float]:
    days = range(DAYS_BEFORE_LESSON, 0, -1)
    return [by_day.get(lesson - timedelta(days=back), 0.0) for back in days]


@dataclass(frozen=True, slots=True)
class PartMinutes:
    name: str
    priority: int
    done: float
    planned: float
    credit: float


def favourite(weeks: Sequence[Sequence[PartMinutes]]) -> Favourite | None:
    """The same favourite part two weeks running; newest week first."""
    found = [_favourite_of(week) for week in weeks[:FAVOURITE_WEEKS]]
    if len(found) < FAVOURITE_WEEKS or len({each.part if each else None for each in found}) > 1:
        return None
    return found[0]


def _favourite_of(parts: Sequence[PartMinutes]) -> Favourite | None:
    first = min(parts, key=lambda part: part.priority, default=None)
    if first is None:
        return None
    done, planned = [part.done for part in parts], [part.planned for part in parts]
    for index, part in enumerate(parts):
        favoured = habits.is_favourite(done, planned, index, first.credit)
        if favoured and part is not first:
            return Favourite(part.name, part.done / sum(done), first.name, first.done)
    return None


def plan_size(
    asked: float, minutes: Sequence[float], shares: Sequence[float | None]
) -> PlanSizeFacts:
    """This week's plan beside the usual minutes; past open weeks are given oldest first.

    Too big is more than the usual, or under one half credited two weeks running. With
    fewer than four weeks there is no 'usual' and nothing is called too big.
    """
    if len(minutes) < USUAL_WEEKS_NEEDED:
        return PlanSizeFacts(asked)
    usual = habits.usual_minutes(minutes)
    size = habits.plan_size(asked, usual)
    last = [share for share in shares if share is not None][-2:]
    half_twice = len(last) == 2 and all(share < HALF for share in last)
    over = size is not None and size.size is habits.Size.TOO_MUCH
    return PlanSizeFacts(asked, usual, half_twice, over or half_twice)


def counts(
    as_asked: int,
    given: int,
    *,
    tapped: int,
    checked: bool,
    borders: Thresholds = DEFAULTS,
) -> Counts:
    """Whether the counts themselves are a question.

    'Done as asked', tapped on the day itself (`tapped` of both figures), is an honest
    answer of whoever's counts were checked by a coach or measured lately (`checked`),
    and is set aside; of everybody else one clip still tells more. House rule.
    """
    aside = tapped if checked else 0
    question = habits.is_all_as_asked(given - aside, as_asked - aside, borders.as_asked_share)
    return Counts(as_asked - aside, given - aside, question, aside)
