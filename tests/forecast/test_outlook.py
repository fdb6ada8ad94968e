"""The outlook: worked examples of the rule, its edges, and its properties.

Source of (k + 1) / (n + 2): Laplace's rule of succession (Laplace, 1774; from memory).
The thresholds and the examples are our own definitions.
"""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coaching.forecast.outlook import (
    OpenPart,
    Pace,
    PastWeek,
    WeekOfDays,
    judge,
    late_minutes,
    out_of_days,
    pace_since,
    unlikely_by_arithmetic,
)
from tests.board.rules.make import MONDAY, past


@pytest.mark.parametrize(
    ("left", "weeks", "through", "counted", "pace"),
    [
        # Two finished weeks had less left than 36: they tell nothing.
        (36, "42+ 30+ 40+ 44+ 38- 46+ 28+ 40+", 6, 6, Pace.IN_STEP),
        (95, "70- 95+ 62- 95+ 66- 72- 97+ 63-", 3, 8, Pace.TIGHT),
        (110, "60+ 64+ 58+ 66- 20- 0-", 0, 3, Pace.TOO_SOON),
        (21, "34- 41+ 26+ 30- 38+ 29+", 6, 6, Pace.IN_STEP),
        (58, "20- 24- 18- 22- 16- 25- 20- 14-", 0, 8, Pace.UNLIKELY),
        (48, "60+ 52- 55+ 50- 62+ 49- 58+ 51-", 8, 8, Pace.IN_STEP),
        (30, "25- 40-", 1, 2, Pace.TOO_SOON),
        (22, "50+ 46+ 52+ 48+ 24+ 55+", 6, 6, Pace.IN_STEP),
        (40, "44- 30- 52- 41- 36- 47+ 28- 45+", 5, 8, Pace.IN_STEP),
        (70, "30- 42- 38- 74- 25- 40- 35- 28-", 1, 8, Pace.UNLIKELY),
    ],
)
def test_worked_examples(left, weeks, through, counted, pace):
    outlook = judge(left, past(weeks))
    assert (outlook.came_through, outlook.counted, outlook.pace) == (through, counted, pace)


def test_the_share_of_the_first_example_is_seven_eighths():
    assert judge(36, past("42+ 30+ 40+ 44+ 38- 46+ 28+ 40+")).share == pytest.approx(7 / 8)


def test_a_share_on_a_threshold_takes_the_better_word():
    assert judge(40, past("44- 30- 52- 41- 36- 47+ 28- 45+")).share == pytest.approx(0.6)
    assert judge(10, past("12- 12- 1- 1- 1- 1- 1- 1-")).share == pytest.approx(0.3)
    assert judge(10, past("12- 12- 1- 1- 1- 1- 1- 1-")).pace is Pace.TIGHT


def test_each_week_says_how_it_counted():
    counted = [week.came_through for week in judge(36, past("42+ 30+ 20-")).weeks]
    assert counted == [True, None, False]


@pytest.mark.parametrize(
    ("anything_today", "late"),
    [
        (False, 30 + 4 + 5 + 6 + 7),  # Today can still bring what it used to.
        (True, 4 + 5 + 6 + 7),  # Something is logged today: only later days count.
    ],
)
def test_late_minutes_run_from_this_point_of_the_week(anything_today, late):
    days = [10, 20, 30, 4, 5, 6, 7]
    assert late_minutes(days, today=2, anything_today=anything_today) == late


def test_too_many_sessions_of_part_one_for_the_days_left():
    """Four sessions in two days: the day line credits three at most."""
    assert out_of_days([OpenPart(1, 4, 15)], days_left=2, asked=200)
    assert not out_of_days([OpenPart(1, 3, 15)], days_left=2, asked=200)


def test_a_part_by_total_has_no_day_line():
    assert not out_of_days([OpenPart(1, 4, 15, by_total=True)], days_left=1, asked=60)


def test_a_small_later_part_may_be_left_within_a_tenth():
    """Half a session of 10 minutes is lost: within a tenth of 100 minutes, not of 40."""
    part = OpenPart(2, 2, 10)
    assert not out_of_days([part], days_left=1, asked=100)
    assert out_of_days([part], days_left=1, asked=40)


def test_many_parts_in_one_day_are_within_the_day_line():
    parts = [OpenPart(priority, 1, 10) for priority in (1, 2, 3, 4)]
    assert not out_of_days(parts, days_left=1, asked=40)


def test_no_days_left_and_anything_left_of_part_one():
    assert out_of_days([OpenPart(1, 0.5, 10)], days_left=0, asked=100)


def test_arithmetic_keeps_the_figures():
    before = judge(36, past("42+ 40+ 40+ 44+"))
    after = unlikely_by_arithmetic(before, ("Ladder",))
    assert after.pace is Pace.UNLIKELY
    assert after.by_arithmetic
    assert (after.came_through, after.counted, after.weeks) == (4, 4, before.weeks)


def _weeks(*days: tuple[float, ...], finished: bool) -> list[WeekOfDays]:
    return [
        WeekOfDays(MONDAY - timedelta(weeks=n + 1), day, finished) for n, day in enumerate(days)
    ]


def test_since_when_walks_back_to_the_day_the_word_began():
    """60 left since Monday. From Tuesday on 40 used to be done, from Monday on 60: tight since."""
    past_weeks = _weeks(*[(0, 30, 0, 30, 0, 0, 0)] * 4, finished=False)
    outlook = judge(60, [w.from_now_on(today=2, anything_today=False) for w in past_weeks])
    assert outlook.pace is Pace.UNLIKELY
    # At Monday's end sixty minutes were still to come in every one of those weeks.
    assert pace_since(outlook, [0, 0, 0], past_weeks) == 1


def test_since_today_has_no_earlier_day():
    past_weeks = _weeks(*[(0, 0, 60, 0, 0, 0, 0)] * 4, finished=False)
    outlook = judge(60, [w.from_now_on(today=2, anything_today=True) for w in past_weeks])
    assert outlook.pace is Pace.UNLIKELY
    assert pace_since(outlook, [0, 0, 0], past_weeks) is None


def test_since_the_first_day_of_the_week():
    past_weeks = _weeks(*[(0, 0, 1, 0, 0, 0, 0)] * 4, finished=False)
    outlook = judge(60, [w.from_now_on(today=2, anything_today=False) for w in past_weeks])
    assert pace_since(outlook, [5, 0, 0], past_weeks) == 0


histories = st.lists(
    st.builds(
        PastWeek,
        opens=st.dates(),
        late=st.floats(0, 500),
        finished=st.booleans(),
    ),
    max_size=8,
)


@given(st.floats(0, 500), histories)
def test_every_history_has_exactly_one_word_and_its_counts_agree(left, weeks):
    outlook = judge(left, weeks)
    assert outlook.pace in Pace
    assert 0 <= outlook.came_through <= outlook.counted <= len(weeks)
    assert (outlook.share is None) == (outlook.counted < 4)


@given(st.floats(0, 500), histories)
def test_a_week_finished_with_less_left_changes_nothing(left, weeks):
    easier = PastWeek(MONDAY, left / 2, finished=True)
    if left > 0:
        assert judge(left, [*weeks, easier]).share == judge(left, weeks).share
