"""Rules of RFC 5545 and their hours, against the RFC's own examples and the zones' real changes."""

from datetime import UTC, date, datetime, time

import pytest

from coaching.timetable import recurrence
from coaching.timetable.recurrence import days, instant, read_rule, weekly, words
from shared.kit.refused import Refused

LONG_AGO, LATER = date(1997, 1, 1), date(1998, 12, 31)


@pytest.mark.parametrize(
    ("rule", "first", "expected"),
    [
        # RFC 5545, 3.8.5.3: "Weekly for 10 occurrences", from 2 September 1997.
        ("FREQ=WEEKLY;COUNT=10", date(1997, 9, 2),
         [date(1997, 9, d) for d in (2, 9, 16, 23, 30)]
         + [date(1997, 10, d) for d in (7, 14, 21, 28)] + [date(1997, 11, 4)]),
        # "Every other week on Tuesday and Thursday, for 8 occurrences", WKST=SU.
        ("FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH", date(1997, 9, 2),
         [date(1997, 9, d) for d in (2, 4, 16, 18, 30)] + [date(1997, 10, d) for d in (2, 14, 16)]),
        # "Monthly on the first Friday for 10 occurrences", from 5 September 1997.
        ("FREQ=MONTHLY;COUNT=10;BYDAY=1FR", date(1997, 9, 5),
         [date(1997, 9, 5), date(1997, 10, 3), date(1997, 11, 7), date(1997, 12, 5),
          date(1998, 1, 2), date(1998, 2, 6), date(1998, 3, 6), date(1998, 4, 3),
          date(1998, 5, 1), date(1998, 6, 5)]),
    ],
)  # fmt: skip
def test_the_rfcs_own_examples(rule, first, expected):
    assert days(read_rule(rule).text, first, LONG_AGO, LATER) == expected


def test_until_is_the_last_day_on_the_zones_clock():
    # RFC 5545, 3.8.5.3: "Weekly until December 24, 1997", UNTIL=19971224T000000Z, New York.
    rule = read_rule("FREQ=WEEKLY;UNTIL=19971224T000000Z;WKST=SU", "America/New_York")
    assert rule.last == date(1997, 12, 23)
    found = days(rule.text, date(1997, 9, 2), LONG_AGO, rule.last)
    assert found[-1] == date(1997, 12, 23)
    assert len(found) == 17


@pytest.mark.parametrize(
    ("day", "zone", "expected"),
    [
        # The EU's changes of 2031: 30 March and 26 October at 01:00 UTC.
        (date(2031, 3, 29), "Europe/Paris", datetime(2031, 3, 29, 15, 30, tzinfo=UTC)),
        (date(2031, 3, 30), "Europe/Paris", datetime(2031, 3, 30, 14, 30, tzinfo=UTC)),
        (date(2031, 10, 25), "Europe/Paris", datetime(2031, 10, 25, 14, 30, tzinfo=UTC)),
        (date(2031, 10, 26), "Europe/Paris", datetime(2031, 10, 26, 15, 30, tzinfo=UTC)),
        (date(2031, 1, 8), "Australia/Sydney", datetime(2031, 1, 8, 5, 30, tzinfo=UTC)),
    ],
)
def test_an_hour_stays_on_the_wall_through_both_changes(day, zone, expected):
    assert instant(day, time(16, 30), zone) == expected


def test_an_hour_that_is_not_there_and_one_that_comes_twice():
    # RFC 5545, 3.3.5: 2:30 on 11 March 2007 in New York is read as 3:30 EDT; 1:30 on 4 November
    # 2007 is the first of the two, EDT.
    gap = instant(date(2007, 3, 11), time(2, 30), "America/New_York")
    assert gap == datetime(2007, 3, 11, 7, 30, tzinfo=UTC)
    twice = instant(date(2007, 11, 4), time(1, 30), "America/New_York")
    assert twice == datetime(2007, 11, 4, 5, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    "rule",
    ["", "WEEKLY", "FREQ=SECONDLY", "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=31", "FREQ=WEEKLY;BYDAY=1MO",
     "FREQ=WEEKLY;INTERVAL=0", "FREQ=WEEKLY;FREQ=DAILY", "FREQ=WEEKLY;COUNT=99999",
     "BYDAY=MO", "FREQ=WEEKLY;UNTIL=20319999"],
)  # fmt: skip
def test_a_rule_that_cannot_be_kept_is_refused(rule):
    with pytest.raises(Refused):
        read_rule(rule)


@pytest.mark.parametrize(
    ("rule", "expected"),
    [
        (weekly(1), "every Tuesday at 16:30"),
        (weekly(1, 2), "every second Tuesday at 16:30"),
        ("FREQ=WEEKLY;BYDAY=MO,TH", "every Monday and Thursday at 16:30"),
        ("FREQ=WEEKLY;INTERVAL=3;BYDAY=MO", "Monday of every 3 weeks at 16:30"),
        ("FREQ=DAILY", "every day at 16:30"),
        ("FREQ=MONTHLY;BYDAY=1FR", "once a month at 16:30"),
    ],
)
def test_a_rule_in_words(rule, expected):
    assert words(rule, time(16, 30)) == expected


def test_the_first_such_weekday_is_today_or_later():
    wednesday = date(2031, 2, 26)
    assert recurrence.first_on(2, wednesday) == wednesday
    assert recurrence.first_on(1, wednesday) == date(2031, 3, 4)
