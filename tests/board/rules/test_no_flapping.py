"""A word changes when the evidence does: no A, B, A while nothing is logged and days go by."""

from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from coaching.forecast.outlook import (
    OpenPart,
    Pace,
    WeekOfDays,
    judge,
    minutes_to_step,
    out_of_days,
)
from tests.board.rules.make import MONDAY

DAYS = st.lists(st.floats(0, 60), min_size=7, max_size=7).map(tuple)
WEEKS = st.lists(st.tuples(DAYS, st.booleans()), max_size=8).map(
    lambda rows: [
        WeekOfDays(MONDAY - timedelta(weeks=n + 1), days, done)
        for n, (days, done) in enumerate(rows)
    ]
)


def words_by_day(left, past, parts=(), asked=100.0, logged_on=None):
    """The word on each day, morning and evening, with nothing new after `logged_on`."""
    words = []
    for today in range(7):
        anything = logged_on is not None and today == logged_on
        weeks = [w.from_now_on(today=today, anything_today=anything) for w in past]
        lost = out_of_days(parts, days_left=7 - today - anything, asked=asked)
        words.append(Pace.UNLIKELY if lost else judge(left, weeks).pace)
    return words


@given(st.floats(0, 200), WEEKS)
def test_no_word_comes_back_while_days_go_by_and_nothing_is_logged(left, past):
    words = words_by_day(left, past)
    changes = [word for n, word in enumerate(words) if n == 0 or word is not words[n - 1]]
    assert len(changes) == len(set(changes))


@given(st.floats(0, 200), WEEKS, st.floats(0, 7), st.floats(5, 40))
def test_nor_where_the_days_left_decide(left, past, sessions, minutes):
    parts = [OpenPart(1, sessions, minutes, name="Ladder")]
    words = words_by_day(left, past, parts)
    decided = [n for n in range(7) if out_of_days(parts, days_left=7 - n, asked=100)]
    assert decided == list(range(7 - len(decided), 7))
    assert all(words[n] is Pace.UNLIKELY for n in decided)


@given(st.floats(1, 200), WEEKS, st.integers(0, 6))
def test_what_is_said_to_bring_it_back_does(left, past, today):
    more = minutes_to_step(left, past, today=today)
    weeks = [w.from_now_on(today=today, anything_today=True) for w in past]
    if more is None:
        assert judge(0.0, weeks).pace is not Pace.IN_STEP
    else:
        assert 0 <= more <= left
        # The last digits of a difference of floats are no minutes.
        assert judge(left - more - 1e-9, weeks).pace is Pace.IN_STEP
        # A minute less would not do.
        assert more <= 1 or judge(left - more + 1, weeks).pace is not Pace.IN_STEP
