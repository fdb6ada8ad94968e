"""Habits over several weeks. The single-week rules are tested with practice.compliance."""

from datetime import date, timedelta

import pytest

from coaching.board.rules.habits import PartMinutes, cramming, favourite, load, plan_size

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
