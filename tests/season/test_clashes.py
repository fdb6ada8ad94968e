"""Hard golf beside hard gym, and event weeks: what is said, and what is not."""

from datetime import date, timedelta

import pytest

from coaching.season.clashes import Body, GymLine, GymLoad, HardGolf, clashes_of
from practice.care.hard_swings import most_hard_swings
from practice.weeks.places import EVERYWHERE, DayPlace, in_words, places_in

MONDAY = date(2031, 2, 24)
LEGS = GymLine(GymLoad.HEAVY, Body.LOWER)


def day(n):
    return MONDAY + timedelta(n)


def says(gym, golf):
    return [clash.words for clash in clashes_of({day(n): line for n, line in gym.items()}, golf)]


def test_heavy_legs_the_day_before_speed_is_a_clash():
    # Heavy legs Monday and Wednesday, speed test Tuesday, speed set Thursday.
    golf = [HardGolf(day(1), "speed test"), HardGolf(day(3), "speed set")]
    assert says({0: LEGS, 2: LEGS}, golf) == [
        "Tue 25 Feb: speed test the day after heavy legs.",
        "Wed 26 Feb: the third hard day in a row, golf and gym together.",
        "Thu 27 Feb: speed set the day after heavy legs.",
    ]


def test_speed_two_days_before_heavy_legs_is_none():
    # Heavy Monday and Thursday, speed Wednesday and Saturday.
    golf = [HardGolf(day(2), "speed set"), HardGolf(day(5), "speed set")]
    assert says({0: LEGS, 3: LEGS}, golf) == []


def test_the_same_day_is_a_clash_and_a_competition_counts():
    golf = [HardGolf(day(4), "Spring cup", is_speed=False)]
    assert says({4: LEGS}, golf) == ["Fri 28 Feb: Spring cup on a day of heavy legs."]
    assert says({3: LEGS}, golf) == ["Fri 28 Feb: Spring cup the day after heavy legs."]
    assert says({2: LEGS}, golf) == []


@pytest.mark.parametrize(
    ("line", "is_hard"),
    [
        (GymLine(GymLoad.HEAVY, Body.BOTH), True),
        (GymLine(GymLoad.HEAVY, Body.UPPER), False),
        (GymLine(GymLoad.MEDIUM, Body.LOWER), False),
        (GymLine(GymLoad.MEDIUM, Body.UPPER, jumps=True), True),
        (GymLine(GymLoad.LIGHT, Body.LOWER, jumps=True), False),
        (GymLine(GymLoad.REST), False),
    ],
)
def test_what_is_hard_on_legs(line, is_hard):
    assert line.is_hard_on_legs == is_hard


def test_hard_speed_work_on_two_days_running():
    golf = [HardGolf(day(1), "speed set"), HardGolf(day(2), "speed test")]
    assert says({}, golf) == ["Wed 26 Feb: hard speed work the day after hard speed work."]


def test_a_fourth_hard_day_is_not_said_again():
    upper = GymLine(GymLoad.HEAVY, Body.UPPER)
    assert len(says(dict.fromkeys(range(5), upper), [])) == 1


# --- event weeks --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "under_16", "most"),
    [
        ([20, 24, 18, 26], False, 11),
        ([], False, 30),
        ([20, 20], True, 20),
        ([0, 0, 0], False, 0),
        ([120, 120, 120], False, 60),
        ([120, 120, 120], True, 40),
    ],
)
def test_hard_swings_to_stay_within(before, under_16, most):
    # By hand: half of the mean of 22; half of the ceilings of 60 and 40; and for the young never
    # more than the 40 that hold in every week.
    assert most_hard_swings(before, under_16=under_16) == most


# --- places -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "places"),
    [
        ("range, net, bay", {DayPlace.NET, DayPlace.RANGE}),
        ("home, range, net, bay", {DayPlace.HOME, DayPlace.NET, DayPlace.RANGE}),
        (
            "short-game lawn, garden, carpet with soft balls",
            {DayPlace.HOME, DayPlace.NET, DayPlace.COURSE},
        ),
        ("putting green, carpet", {DayPlace.HOME, DayPlace.NET, DayPlace.COURSE}),
        ("home, hotel room, anywhere", set(EVERYWHERE)),
        ("", set(EVERYWHERE)),
        ("in a quiet corner", set(EVERYWHERE)),
        ("Gym", {DayPlace.GYM}),
    ],
)
def test_where_a_drill_can_be_done(words, places):
    assert places_in(words) == places


def test_places_are_said_in_order():
    assert in_words(frozenset({DayPlace.GYM, DayPlace.RANGE})) == "range or bay, or gym"
