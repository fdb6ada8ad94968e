"""Which day an entry is of. The rules are the product's own; no outside source."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from practice.log import clock
from practice.log.fields import Refusal

NOW = datetime(2031, 2, 26, 12, tzinfo=UTC)
TODAY = date(2031, 2, 26)


def settle(*, day=TODAY, at=NOW, sent=None, now=NOW, zone="Europe/London", joined=date(2030, 1, 1)):
    return clock.settle(day=day, at=at, sent=sent, now=now, zone=zone, joined=joined)


def test_just_before_midnight_sent_three_days_later_stays_on_its_day():
    written = datetime(2031, 2, 23, 23, 59, tzinfo=UTC)
    moment = settle(day=date(2031, 2, 23), at=written)
    assert (moment.day, moment.at) == (date(2031, 2, 23), written)
    assert not moment.from_memory


@pytest.mark.parametrize("day", [TODAY + timedelta(days=1), TODAY - timedelta(days=60)])
def test_the_ends_of_what_can_be_logged(day):
    assert settle(day=day).day == day


@pytest.mark.parametrize("day", [TODAY + timedelta(days=2), TODAY - timedelta(days=61)])
def test_a_day_that_cannot_be_is_for_the_student_to_put_right(day):
    with pytest.raises(Refusal, match=f"{day.year}") as refused:
        settle(day=day)
    assert refused.value.reason == "day"


def test_the_week_before_the_student_joined_can_be_logged_and_no_day_earlier():
    assert settle(day=date(2031, 2, 18), joined=date(2031, 2, 25)).day == date(2031, 2, 18)
    with pytest.raises(Refusal, match="first day you can log is 18 Feb 2031"):
        settle(day=date(2031, 2, 17), joined=date(2031, 2, 25))


@pytest.mark.parametrize("years", [-40, -5, 3, 5])
def test_a_clock_that_is_years_wrong_is_corrected_by_what_it_says_now(years):
    wrong = timedelta(days=365 * years)
    written = NOW - timedelta(days=2)
    moment = settle(day=(written + wrong).date(), at=written + wrong, sent=NOW + wrong)
    assert moment.day == written.date()
    assert moment.at == written


def test_a_session_of_yesterday_stays_yesterdays_on_a_wrong_clock():
    wrong = timedelta(days=365 * 3)
    day = (NOW + wrong).date() - timedelta(days=1)
    assert settle(day=day, at=NOW + wrong, sent=NOW + wrong).day == TODAY - timedelta(days=1)


def test_a_clock_put_right_after_logging_moves_nothing_it_said_rightly():
    written = NOW - timedelta(hours=3)
    assert settle(at=written, sent=NOW - timedelta(days=400)).at == written


def test_a_clock_put_right_before_sending_leaves_only_today():
    moment = settle(day=date(2036, 1, 1), at=datetime(2036, 1, 1, tzinfo=UTC), sent=NOW)
    assert moment == clock.Moment(TODAY, NOW, from_memory=False)


def test_without_a_word_of_the_phones_clock_today_is_left():
    assert settle(day=date(1970, 1, 1), at=datetime(1970, 1, 1, tzinfo=UTC)).day == TODAY


@pytest.mark.parametrize("year", [1, 9999])
def test_clocks_at_the_end_of_time_do_no_harm(year):
    at = datetime(year, 6, 1, tzinfo=UTC)
    for sent in (None, datetime(1, 1, 2, tzinfo=UTC), datetime(9999, 12, 30, tzinfo=UTC)):
        for day in (date(1, 1, 1), date(9999, 12, 31)):
            assert clock.DAYS_BACK >= (TODAY - settle(day=day, at=at, sent=sent).day).days >= -1


def test_written_48_hours_after_the_day_is_from_memory():
    # The practice day of 23 Feb ends at 03:00 on the 24th.
    day, line = date(2031, 2, 23), datetime(2031, 2, 26, 3, tzinfo=UTC)
    assert not settle(day=day, at=line).from_memory
    assert settle(day=day, at=line + timedelta(seconds=1)).from_memory


def test_a_student_ahead_of_us_may_already_be_in_tomorrow():
    now = datetime(2031, 2, 26, 20, tzinfo=UTC)  # 09:00 on the 27th in Auckland.
    assert settle(day=date(2031, 2, 27), at=now, now=now, zone="Pacific/Auckland").day == date(
        2031, 2, 27
    )


@pytest.mark.parametrize(("over", "day"), [(timedelta(0), 27), (timedelta(seconds=1), 26)])
def test_a_clock_may_be_as_far_ahead_as_zones_lie_apart(over, day):
    furthest = ZoneInfo("Pacific/Kiritimati"), ZoneInfo("Etc/GMT+12")  # By the tz database.
    east, west = (NOW.astimezone(zone).utcoffset() for zone in furthest)
    at = NOW + (east - west) + over
    assert settle(day=date(2031, 2, 27), at=at).day == date(2031, 2, day)
