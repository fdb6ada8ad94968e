"""Days, weeks and clock changes against ISO 8601 and the IANA time zone database."""

from datetime import UTC, date, datetime, time, timedelta

import pytest

from shared.kit.weeks import day_starts_at, practice_day, utc_instant, week_days, week_start

pytestmark = pytest.mark.outside


@pytest.mark.parametrize(
    ("day", "iso"),
    [
        # ISO 8601: week 1 holds the first Thursday (reference: date.isocalendar).
        (date(2005, 1, 1), (2004, 53, 6)),
        (date(2008, 12, 29), (2009, 1, 1)),
        (date(2010, 1, 3), (2009, 53, 7)),
        (date(2027, 1, 1), (2026, 53, 5)),
    ],
)
def test_a_week_from_monday_is_the_iso_week(day, iso):
    opens = week_start(day)
    assert opens.isoweekday() == 1
    assert opens == date.fromisocalendar(iso[0], iso[1], 1)
    assert (day - opens).days + 1 == iso[2]
    assert day in week_days(opens)


@pytest.mark.parametrize("first", range(7))
def test_a_week_may_start_on_any_weekday(first):
    for offset in range(21):
        day = date(2031, 2, 20) + timedelta(days=offset)
        opens = week_start(day, first)
        assert opens.weekday() == first
        assert day in week_days(opens)


@pytest.mark.parametrize(
    ("day", "zone", "utc"),
    [
        # IANA tz database: 18:30 local, winter and summer.
        (date(2026, 1, 15), "America/New_York", "2026-01-15T23:30"),
        (date(2026, 7, 15), "America/New_York", "2026-07-15T22:30"),
        (date(2026, 1, 15), "Europe/London", "2026-01-15T18:30"),
        (date(2026, 7, 15), "Europe/London", "2026-07-15T17:30"),
        (date(2026, 1, 15), "Asia/Kolkata", "2026-01-15T13:00"),
        (date(2026, 1, 15), "Asia/Kathmandu", "2026-01-15T12:45"),
    ],
)
def test_a_local_time_in_utc(day, zone, utc):
    assert utc_instant(day, time(18, 30), zone).strftime("%Y-%m-%dT%H:%M") == utc


@pytest.mark.parametrize(
    ("zone", "before", "hours"),
    [
        # IANA tz database: hours between 18:30 on one day and the next, over a clock change.
        ("America/New_York", date(2026, 3, 7), 23),
        ("America/New_York", date(2026, 10, 31), 25),
        ("Europe/London", date(2026, 3, 28), 23),
        ("Europe/London", date(2026, 10, 24), 25),
        ("Australia/Lord_Howe", date(2026, 10, 3), 23.5),
        ("America/Phoenix", date(2026, 3, 7), 24),
    ],
)
def test_the_same_time_tomorrow_is_not_always_24_hours_away(zone, before, hours):
    first = utc_instant(before, time(18, 30), zone)
    second = utc_instant(before + timedelta(days=1), time(18, 30), zone)
    assert second - first == timedelta(hours=hours)


def test_an_ambiguous_time_is_its_first_occurrence():
    # PEP 495: New York, 2026-11-01 01:30, fold=0.
    assert utc_instant(date(2026, 11, 1), time(1, 30), "America/New_York") == datetime(
        2026, 11, 1, 5, 30, tzinfo=UTC
    )


def test_a_time_that_a_clock_change_skips_is_past_the_gap():
    # New York, 2026-03-08 02:30 does not exist; 03:30 daylight time is 07:30 UTC.
    assert utc_instant(date(2026, 3, 8), time(2, 30), "America/New_York") == datetime(
        2026, 3, 8, 7, 30, tzinfo=UTC
    )


@pytest.mark.parametrize(
    ("local", "day"),
    [("2031-02-25T01:20", date(2031, 2, 24)), ("2031-02-25T03:00", date(2031, 2, 25))],
)
def test_a_practice_day_turns_over_at_three(local, day):
    # House rule (common practice, no source).
    assert practice_day(datetime.fromisoformat(local + "+00:00"), "UTC") == day


def test_a_practice_day_starts_at_three_even_where_midnight_is_skipped():
    # Santiago skips midnight on 2026-09-06.
    assert day_starts_at(date(2026, 9, 6), "America/Santiago") == datetime(
        2026, 9, 6, 6, tzinfo=UTC
    )


def test_the_day_is_the_students_own():
    # 00:30 UTC on Monday is still Sunday evening in New York and Monday afternoon in Auckland.
    moment = datetime(2031, 2, 24, 0, 30, tzinfo=UTC)
    assert practice_day(moment, "America/New_York") == date(2031, 2, 23)
    assert practice_day(moment, "Pacific/Auckland") == date(2031, 2, 24)


def test_a_naive_time_is_refused():
    with pytest.raises(ValueError, match="UTC offset"):
        practice_day(datetime(2031, 2, 24, 12), "UTC")  # noqa: DTZ001 (that is the point)
