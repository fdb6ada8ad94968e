"""No word and Logs later: the definitions' own examples (our choice of numbers)."""

from datetime import date, timedelta

import pytest

from coaching.board.rules.no_word import Written, logs_later, quiet_from, silence
from coaching.forecast.thresholds import Thresholds

TODAY = date(2031, 2, 26)
LONG_AGO = date(2031, 1, 1)


@pytest.mark.parametrize(
    ("gaps", "from_day"),
    [
        ([1, 2, 1, 2, 3, 1], 5),
        ([7, 7, 6, 7], 11),
        ([1, 1, 1], 4),
        ([], 4),
    ],
)
def test_quiet_is_one_and_a_half_times_the_longest_gap(gaps, from_day):
    assert quiet_from(gaps) == from_day


def days_back(*back: int) -> list[date]:
    return [TODAY - timedelta(days=n) for n in back]


def test_nine_days_after_writing_every_one_to_three():
    quiet = silence(days_back(9, 10, 12, 13, 15, 18, 19), TODAY, start=LONG_AGO)
    assert (quiet.days, quiet.quiet_from, quiet.is_no_word) == (9, 5, True)
    assert (quiet.shortest_gap, quiet.longest_gap) == (1, 3)
    assert quiet.since == TODAY - timedelta(days=9)


@pytest.mark.parametrize(("last", "quiet"), [(4, False), (5, True)])
def test_the_day_on_which_it_begins(last, quiet):
    written = days_back(last, last + 3, last + 4)
    assert silence(written, TODAY, start=LONG_AGO).is_no_word is quiet


def test_a_sunday_writer_is_not_chased_on_wednesday():
    assert not silence(days_back(3, 10, 17, 23), TODAY, start=LONG_AGO).is_no_word


def test_excused_days_are_no_silence():
    excused = set(days_back(0, 1, 2, 3, 4))
    assert silence(days_back(6, 7), TODAY, excused=excused, start=LONG_AGO).days == 1


def test_excused_days_are_no_habit_of_long_gaps():
    excused = set(days_back(*range(8, 18)))
    quiet = silence(days_back(7, 18), TODAY, excused=excused, start=LONG_AGO)
    assert quiet.longest_gap == 1


def test_a_gap_older_than_six_weeks_is_forgotten():
    assert silence(days_back(1, 2, 60, 80), TODAY, start=LONG_AGO).longest_gap == 1


@pytest.mark.parametrize(("back", "longest"), [(42, 40), (43, 1)])
def test_six_weeks_are_forty_two_days(back, longest):
    assert silence(days_back(1, 2, back), TODAY, start=LONG_AGO).longest_gap == longest


def test_without_an_entry_it_runs_from_what_was_first_asked():
    started = TODAY - timedelta(days=4)
    quiet = silence([], TODAY, start=started)
    assert (quiet.days, quiet.since, quiet.is_no_word) == (4, started, True)


def test_a_week_sent_for_later_is_no_silence():
    assert silence([], TODAY, start=TODAY + timedelta(days=2)).days == 0


def written(*lags: int, on: date = date(2031, 2, 23)) -> list[Written]:
    return [Written(on - timedelta(days=lag), on) for lag in lags]


def test_a_sunday_writer_logs_later():
    assert logs_later(written(6, 4, 3, 1, 0, 6, 5, 3, 2, 1)) == 6


def test_three_in_four_on_one_weekday_are_a_habit_and_fewer_are_none():
    week_up, other = written(*[3] * 6), written(*[3] * 2, on=TODAY - timedelta(days=1))
    assert logs_later(week_up + other) == week_up[0].on.weekday()
    assert logs_later(week_up[:5] + other) is None  # Seven are too few.
    assert logs_later(week_up[:5] + other + other[:1]) is None  # Five of eight.


def test_seven_entries_are_too_few():
    assert logs_later(written(6, 4, 3, 6, 5, 3, 2)) is None


def test_written_the_same_day_is_no_writing_up():
    assert logs_later(written(*[0] * 10)) is None


def test_late_but_on_any_day_is_no_habit():
    scattered = [
        Written(TODAY - timedelta(days=n + 3), TODAY - timedelta(days=n)) for n in range(10)
    ]
    assert logs_later(scattered) is None


def test_only_the_last_twenty_entries_count():
    old = written(*[5] * 20, on=date(2031, 1, 5))
    new = [Written(day, day) for day in days_back(*range(20))]
    assert logs_later(old + new) is None
    assert logs_later(old) == 6


def test_a_word_of_today_ends_a_gap_and_one_of_tomorrow_is_not_yet_there():
    """Who writes in another zone may be a day ahead."""
    tomorrow = TODAY + timedelta(days=1)
    quiet = silence([tomorrow, *days_back(0, 5)], TODAY, start=LONG_AGO)
    assert (quiet.days, quiet.since, quiet.longest_gap) == (0, TODAY, 5)
    ahead = silence([tomorrow, *days_back(5)], TODAY, start=LONG_AGO)
    assert (ahead.days, ahead.since, ahead.longest_gap) == (5, days_back(5)[0], None)


def test_without_a_gap_the_studios_days_alone_decide():
    assert quiet_from([], Thresholds(quiet_times=5.0)) == 4
    assert quiet_from([3], Thresholds(quiet_times=5.0)) == 15


def test_two_days_later_is_late_and_half_of_twenty_are_enough():
    assert logs_later(written(*[2] * 8)) == 6
    assert logs_later(written(*[1] * 8)) is None
    late = written(*[3] * 10, on=date(2031, 2, 16))
    assert logs_later(late + written(*[0] * 10)) == 6
    assert logs_later(late[1:] + written(*[0] * 11)) is None
