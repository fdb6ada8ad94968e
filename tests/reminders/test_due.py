"""Days and clocks. The expected counts are one per existing local day, by definition."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from zoneinfo import ZoneInfo

import pytest

from coaching.reminders.due import (
    ABOUT_PRACTICE,
    ReminderFacts,
    ReminderKind,
    choose,
    due_days,
    exists,
    is_quiet,
    next_due,
    objection,
)

ZONES = [
    "Europe/London",
    "Europe/Berlin",
    "America/New_York",
    "America/Santiago",
    "America/St_Johns",
    "Australia/Lord_Howe",
    "Africa/Casablanca",
    "Africa/Cairo",
    "Pacific/Auckland",
    "Asia/Beirut",
]
TIMES = [time(0, 15), time(1, 30), time(2, 30), time(7), time(17), time(20, 45)]


@cache
def changes(zone: str, year: int) -> list[datetime]:
    """The instants in a year at which the offset of the zone changes, to the hour."""
    start, clock = datetime(year, 1, 1, tzinfo=UTC), ZoneInfo(zone)
    hours = [start + timedelta(hours=n) for n in range(366 * 24)]
    offsets = [hour.astimezone(clock).utcoffset() for hour in hours]
    return [hours[n] for n in range(1, len(hours)) if offsets[n] != offsets[n - 1]]


@pytest.mark.parametrize("zone", ZONES)
@pytest.mark.parametrize("at", TIMES, ids=str)
def test_one_a_day_across_every_change_of_the_clock(zone, at):
    found = changes(zone, 2031)
    assert len(found) >= 2
    for change in found:
        _one_a_day(zone, at, change)


def _one_a_day(zone, at, change):
    """Five-minute ticks over six days; a day counts once when any tick finds it."""
    first = change.astimezone(ZoneInfo(zone)).date() - timedelta(days=2)
    instants: dict[date, list[datetime]] = {}
    now, end = change - timedelta(days=3), change + timedelta(days=3)
    while now < end:
        for day in due_days(now, at, zone):
            instants.setdefault(day, []).append(now)
        now += timedelta(minutes=5)
    for day in (first + timedelta(days=n) for n in range(5)):
        # Without a break: the unique key then makes it exactly one.
        assert instants.get(day), (zone, at, day)
        seen = instants[day]
        assert seen[-1] - seen[0] == timedelta(minutes=5) * (len(seen) - 1)


@pytest.mark.parametrize("zone", ZONES)
def test_following_the_next_instant_visits_every_day_once(zone):
    now, days = datetime(2031, 1, 1, tzinfo=UTC), []
    for _ in range(365):
        now = next_due(now, time(17), zone)
        days.append(now.astimezone(ZoneInfo(zone)).date())
    assert days == [days[0] + timedelta(days=n) for n in range(365)]


def test_a_day_that_a_zone_skips_gets_none():
    # Samoa went from 29 to 31 December 2011 over the date line (IANA tz database).
    zone, skipped = "Pacific/Apia", date(2011, 12, 30)
    assert not exists(skipped, zone)
    hours = [datetime(2011, 12, 29, tzinfo=UTC) + timedelta(hours=n) for n in range(96)]
    assert all(skipped not in due_days(hour, time(17), zone) for hour in hours)


@pytest.mark.parametrize(
    ("clock", "quiet"),
    [
        ("20:59", False),
        ("21:00", True),
        ("23:59", True),
        ("03:00", True),
        ("06:59", True),
        ("07:00", False),
    ],
)
def test_nights_are_quiet_on_the_students_clock(clock, quiet):
    local = datetime.fromisoformat(f"2031-07-01T{clock}:00").replace(tzinfo=ZoneInfo("Asia/Tokyo"))
    assert is_quiet(local.astimezone(UTC), "Asia/Tokyo") is quiet


WEDNESDAY = date(2031, 2, 26)
CALL = ReminderFacts(
    day=WEDNESDAY,
    wants=frozenset(ABOUT_PRACTICE),
    weekdays=frozenset(range(7)),
    left=True,
    planned=True,
)


@pytest.mark.parametrize(
    ("change", "kind"),
    [
        ({}, ReminderKind.PRACTICE_CALL),
        ({"logged": True}, None),
        ({"left": False}, None),
        ({"planned": False}, None),
        ({"weekdays": frozenset({0, 1})}, None),
        ({"excused": True}, None),
        ({"hurting": True}, None),
        ({"event_week": True}, None),
        ({"may_write": False}, None),
        ({"silenced": True}, None),
        ({"wants": frozenset()}, None),
        ({"sent_today": 1}, None),
        ({"sent_lately": 2}, ReminderKind.PRACTICE_CALL),
        ({"sent_lately": 3}, None),
        ({"sent_lately": 2, "lesson_ahead": True}, None),
        ({"pace": "Tight"}, ReminderKind.MIDWEEK_OFFER),
        ({"pace": "Unlikely"}, ReminderKind.MIDWEEK_OFFER),
        ({"pace": "In step"}, ReminderKind.PRACTICE_CALL),
        ({"pace": "Unlikely", "day": date(2031, 2, 27)}, ReminderKind.PRACTICE_CALL),
        ({"pace": "Tight", "logged": True}, None),
        ({"lesson_tomorrow": True, "pace": "Tight"}, ReminderKind.LESSON_TOMORROW),
        ({"lesson_tomorrow": True, "event_week": True}, ReminderKind.LESSON_TOMORROW),
        (
            {"lesson_tomorrow": True, "sent_lately": 2, "lesson_ahead": True},
            ReminderKind.LESSON_TOMORROW,
        ),
        ({"lesson_tomorrow": True, "excused": True}, None),
        ({"lesson_tomorrow": True, "hurting": True}, None),
        ({"test_tomorrow": True, "event_week": True, "logged": True}, ReminderKind.TEST_TOMORROW),
        ({"new_week": True}, ReminderKind.NEW_WEEK),
        ({"new_week": True, "event_week": True}, None),
    ],
)
def test_the_one_reminder_of_a_day(change, kind):
    assert choose(replace(CALL, **change)) is kind


def test_every_kind_says_why_not():
    nothing = replace(CALL, left=False, planned=False)
    both = replace(nothing, wants=frozenset({ReminderKind.WRITTEN}))
    for kind in (ReminderKind.WRITTEN, ReminderKind.ANSWER):
        assert objection(kind, both) == "read already, or told of"
    assert all(objection(kind, nothing) for kind in ABOUT_PRACTICE)
