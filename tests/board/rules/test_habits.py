"""Habits over several weeks. The single-week rules are tested with practice.compliance."""

from datetime import date, timedelta

import pytest

from coaching.board.rules.habits import (
    PartMinutes,
    counts,
    cramming,
    favourite,
    load,
    plan_size,
)
from coaching.forecast.thresholds import Thresholds

LESSON = date(2031, 2, 24)


def by_day(lesson: date, *minutes: float) -> dict[date, float]:
    """Seven days before a lesson, oldest first."""
    return {lesson - timedelta(days=7 - n): amount for n, amount in enumerate(minutes)}


SPREAD = (20, 0, 20, 0, 20, 20, 0)
CRAMMED = (0, 0, 0, 10, 0, 35, 40)
LESSONS = [LESSON - timedelta(weeks=n) for n in range(3)]


def found(*weeks: tuple[float, ...]):
    """Cramming over lessons, newest first, of plans that were spread out."""
    minutes, planned = {}, {}
    for lesson, week in zip(LESSONS, weeks, strict=False):
        minutes |= by_day(lesson, *week)
        planned |= by_day(lesson, *SPREAD)
    return cramming(minutes, planned, LESSONS)


@pytest.mark.parametrize(
    ("weeks", "times", "habit"),
    [
        ((CRAMMED, CRAMMED, SPREAD), 2, True),
        ((CRAMMED, SPREAD, SPREAD), 1, False),
        ((CRAMMED,), 1, False),
        ((SPREAD, SPREAD, SPREAD), 0, False),
    ],
)
def test_two_of_the_last_three_lessons_are_a_habit(weeks, times, habit):
    crammed = found(*weeks)
    assert (crammed.times, crammed.is_habit) == (times, habit)


def test_weeks_without_practice_are_no_lessons_to_go_by():
    assert found(CRAMMED).lessons == 1


def test_the_share_is_that_of_the_last_crammed_lesson():
    assert found(CRAMMED, CRAMMED).last_share == pytest.approx(75 / 85)


def week(*done: float, credit: float = 0) -> list[PartMinutes]:
    planned = (58, 28, 34)
    names = ("Ladder", "Chips", "Putting")
    return [
        PartMinutes(name, n, minutes, asked, credit if n == 1 else 1)
        for n, (name, minutes, asked) in enumerate(zip(names, done, planned, strict=True), start=1)
    ]


def test_the_same_favourite_two_weeks_running():
    part = favourite([week(0, 28, 104), week(5, 28, 104)])
    assert (part.part, part.first_part) == ("Putting", "Ladder")
    assert part.share == pytest.approx(104 / 132)


@pytest.mark.parametrize(
    "weeks",
    [
        [week(0, 28, 104)],
        [week(0, 28, 104), week(40, 28, 34)],
        [week(0, 28, 104), week(0, 104, 20)],
        [week(0, 28, 104, credit=0.8), week(0, 28, 104)],
        [],
    ],
    ids=["one week", "once", "another part", "part 1 done", "nothing"],
)
def test_no_favourite(weeks):
    assert favourite(weeks) is None


@pytest.mark.parametrize(
    ("asked", "minutes", "shares", "too_big"),
    [
        (147, [90, 70, 110, 95, 85, 120], [1] * 6, True),
        (105, [90, 70, 110, 95, 85, 120], [1] * 6, False),
        (105, [90, 70, 110, 95, 85, 120], [1, 0.49, 0.49], True),
        (105, [90, 70, 110, 95, 85, 120], [0.49, 0.49, 0.5], False),
        (300, [90, 70, 110], [0.1, 0.1], False),
    ],
    ids=["1.59 times", "fits", "half twice", "half once", "too few weeks"],
)
def test_a_plan_too_big(asked, minutes, shares, too_big):
    assert plan_size(asked, minutes, shares).too_big is too_big


def test_load_without_a_base_knows_its_ceiling_alone():
    assert load([None, None, 10, 12], 70, under_16=False).ceiling_passed == 60
    assert load([None, None, 10, 12], 60, under_16=False).ceiling_passed is None
    assert load([40, 48, 44, 52], 128, under_16=True).jump


def test_taps_are_set_aside_where_counts_were_checked():
    checked = counts(14, 16, tapped=4, checked=True)
    assert (checked.as_asked, checked.given, checked.tapped, checked.question) == (10, 12, 4, False)
    trusted = counts(14, 15, tapped=4, checked=False)
    assert (trusted.as_asked, trusted.given, trusted.tapped, trusted.question) == (14, 15, 0, True)


def test_a_usual_needs_four_weeks_and_two_halves_need_two():
    four = plan_size(105, [90, 70, 110, 95], [1] * 4)
    assert (four.usual, four.half_twice, four.too_big) == (92.5, False, False)
    assert plan_size(105, [90, 70, 110], [1] * 3).usual is None
    assert not plan_size(105, [90, 70, 110, 95], [None, None, None, 0.4]).half_twice
    assert plan_size(105, [90, 70, 110, 95], [0.4, None, None, 0.4]).half_twice


def test_seven_days_before_each_of_three_lessons_are_looked_at():
    crammed = found(CRAMMED, CRAMMED, CRAMMED)
    assert (crammed.times, crammed.lessons) == (3, 3)
    # Three days of practice written down, and the first of them a week before.
    sparse = {LESSON - timedelta(days=n): m for n, m in ((7, 30.0), (2, 30.0), (1, 40.0))}
    plan = {LESSON - timedelta(days=n): 10.0 for n in range(1, 8)}
    once = cramming(sparse, plan, [LESSON])
    assert (once.times, once.last_share) == (1, pytest.approx(0.7))


def test_first_weeks_have_a_ceiling_of_the_studio_and_the_limits_their_own():
    young = load([None] * 4, 41, under_16=True)
    assert (young.now, young.usual, young.jump, young.ceiling_passed) == (41, None, False, 40)
    mine = load([10, 10, 10], 60, under_16=False, borders=Thresholds(jump_rise=60))
    assert (mine.usual, mine.jump, mine.is_much) == (10, False, True)
