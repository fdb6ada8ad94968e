"""A week to be planned and a plan of it, as values. The sums are done by hand."""

import pytest

from coaching.season.week import (
    Fitted,
    Placed,
    PlannedBlock,
    Task,
    Window,
    even_share,
    most_a_day,
    value_of,
    worths,
)
from practice.weeks.places import DayPlace
from shared.kit.refused import Refused

HOME, NET, RANGE = DayPlace.HOME, DayPlace.NET, DayPlace.RANGE
WHOLE = tuple(Window(day, NET, 60) for day in range(7))


def block(key="a", minutes=20, sessions=1, **more):
    return PlannedBlock(key, key.upper(), minutes, sessions, **more)


def fitted(*placed):
    return Fitted(placed, (), (), "", 0, is_best=True)


# --- where a part may be --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("window", "suits"),
    [
        (Window(0, NET, 20), True),
        (Window(0, NET, 19), False),
        (Window(0, RANGE, 60), False),
        (Window(1, NET, 60), False),
        (Window(2, NET, 60), False),
    ],
)
def test_a_session_suits_its_place_a_day_that_is_open_and_its_length(window, suits):
    task = Task(WHOLE, (), events=frozenset({1}), closed=frozenset({2}))
    assert task.suits(block(places=frozenset({NET})), window) == suits


HEAVY = {"heavy_legs": frozenset({-1, 2})}
NEXT_TO = {"speed_before": True, "speed_after": True}


@pytest.mark.parametrize(
    ("more", "barred"),
    [
        (HEAVY, {0: "heavy legs the day before", 2: "heavy legs that day",
                 3: "heavy legs the day before"}),
        (NEXT_TO, dict.fromkeys((0, 6), "hard speed work less than 48 hours away")),
        ({"speed_before": True}, {0: "hard speed work less than 48 hours away"}),
        ({"events": frozenset({5})}, dict.fromkeys((2, 3, 4), "an event within 72 hours")),
        ({"events": frozenset({9})}, {6: "an event within 72 hours"}),
    ],
)  # fmt: skip
def test_what_bars_speed_work_is_said_day_by_day(more, barred):
    task = Task(WHOLE, (), **more)
    found = {day: task.bars(block(is_speed=True), day) for day in range(7)}
    assert {day: why for day, why in found.items() if why} == barred
    # Hard swings keep off events alone, and anything else may be everywhere.
    hard = {day for day in range(7) if task.bars(block(is_hard=True), day)}
    assert hard == (set(barred) if "events" in more else set())
    assert not any(task.bars(block(), day) for day in range(7))


def test_what_is_not_fixed_is_free_to_be_placed():
    assert block(sessions=3, fixed=(0, 4)).free == 1
    assert block().free == 1


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"fixed": (1, 1), "sessions": 2}, "more fixed days than visits"),
        ({"fixed": (-1,)}, "cannot be planned"),
        ({"first_worth": -1}, "cannot be planned"),
        ({"worth": -1}, "cannot be planned"),
        ({"minutes": 601}, "takes from half a minute to 600 minutes"),
        ({"minutes": -1}, "takes from half a minute to 600 minutes"),
    ],
)
def test_a_part_that_cannot_be_is_refused(more, words):
    with pytest.raises(Refused, match=words):
        Task(WHOLE, (block(**more),))
    with pytest.raises(Refused, match="from 0 to 600 minutes"):
        Task((Window(-1, NET, 5),), ())


# --- what was planned -----------------------------------------------------------------------


def test_days_and_places_of_a_part_are_its_own_in_order():
    plan = fitted(
        Placed(4, "a", RANGE), Placed(2, "b", NET), Placed(4, "a", NET), Placed(1, "a"),
        Placed(0, "a", HOME),
    )  # fmt: skip
    assert plan.days_of("a") == (0, 1, 4)
    # Of two on one day the first; where no place suits there is none.
    assert plan.places_of("a") == ((0, "home"), (4, "range"))
    assert plan.says == ()


def test_earlier_parts_are_worth_more_and_the_first_session_twice():
    assert worths([(1, 20), (2, 20), (3, 20), (4, 20), (9, 5)]) == [
        (90, 90),
        (70, 70),
        (50, 50),
        (30, 30),
        (15, 15),
    ]


@pytest.mark.parametrize(
    ("sessions", "windows", "fixed", "most"),
    [
        (2, (0, 3), (), 1),
        (3, (0, 3), (), 2),
        (3, (0, 3), (5,), 1),
        (4, (0, 3), (), 2),
        (2, (), (), 2),
        (1, (0, 3), (), 1),
    ],
)
def test_a_part_stands_once_a_day_while_there_are_days(sessions, windows, fixed, most):
    found = block(sessions=sessions, fixed=fixed)
    task = Task(tuple(Window(day, NET, 60) for day in windows), (found,))
    assert most_a_day(task, found) == most


def test_the_even_share_is_of_the_days_on_which_there_is_time():
    windows = (Window(0, NET, 60), Window(0, HOME, 30), Window(2, NET, 0), Window(3, NET, 5),
               Window(4, NET, 60))  # fmt: skip
    blocks = (block("a", 20, 2), block("b", 10, 3))
    # 70 minutes on Monday and Thursday: Friday is closed, on Wednesday is no time.
    assert even_share(Task(windows, blocks, closed=frozenset({4}))) == 35
    assert even_share(Task((), blocks)) == 70


def test_what_a_plan_is_worth_is_its_sessions_less_what_crowding_costs():
    a = block("a", 20, 2, worth=10.0, first_worth=5.0, skill="swing")
    b = block("b", 30, 2, worth=8.0, first_worth=3.0, skill="swing")
    task = Task((Window(0, NET, 60), Window(1, NET, 60), Window(3, NET, 60)), (a, b))
    assert value_of(task, []) == 0
    # Minutes a day in an even week: 100 of 3. Worth 15; on day 3 it costs 0.003.
    assert value_of(task, [Placed(3, "a")]) == pytest.approx(15 - 0.003)
    assert value_of(task, [Placed(3, "a", is_fixed=True)]) == pytest.approx(15)
    # Two of one part: its first worth once. Next to each other it costs 0.2, for one skill.
    assert value_of(task, [Placed(0, "a"), Placed(3, "a")]) == pytest.approx(25 - 0.003)
    assert value_of(task, [Placed(0, "a"), Placed(1, "b")]) == pytest.approx(26 - 0.001 - 0.2)
    # 50 minutes on one day are 16 2/3 above the even share, a hundredth each.
    crowded = 26 - 0.01 * (50 - 100 / 3)
    assert value_of(task, [Placed(0, "a"), Placed(0, "b")]) == pytest.approx(crowded)


def test_parts_without_a_skill_are_each_their_own():
    a, b = block("a"), block("b")
    task = Task(WHOLE, (a, b))
    share = 40 / 7
    beside = 2 - 0.001 - 2 * 0.01 * (20 - share)
    assert value_of(task, [Placed(0, "a"), Placed(1, "b")]) == pytest.approx(beside)
