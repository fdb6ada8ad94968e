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
    due_day,
    exists,
    first_decent,
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
        if day := due_day(now, at, zone):
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
    assert all(due_day(hour, time(17), zone) != skipped for hour in hours)
    # 29 December, 17:30 at UTC-10; then 31 December, 17:00 at UTC+14 (tz database: -10, +14).
    after = datetime(2011, 12, 30, 3, 30, tzinfo=UTC)
    assert next_due(after, time(17), zone) == datetime(2011, 12, 31, 3, tzinfo=UTC)


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
        ({"unheard": True}, ReminderKind.CALLS_STOP),
        ({"unheard": True, "stop_told": True}, None),
        ({"unheard": True, "planned": False}, None),
        ({"unheard": True, "weekdays": frozenset({0})}, None),
        ({"unheard": True, "wants": frozenset({ReminderKind.NEW_WEEK})}, None),
        ({"unheard": True, "sent_lately": 2, "lesson_ahead": True}, None),
        ({"new_week": True, "sent_lately": 2, "lesson_ahead": True}, ReminderKind.NEW_WEEK),
    ],
)
def test_the_one_reminder_of_a_day(change, kind):
    assert choose(replace(CALL, **change)) is kind


WRITTEN = replace(CALL, wants=frozenset({ReminderKind.WRITTEN}), written=True, answered=True)


@pytest.mark.parametrize(
    ("change", "written", "answer"),
    [
        ({}, "", ""),
        ({"excused": True, "hurting": True, "event_week": True}, "", ""),
        ({"sent_lately": 9}, "", ""),
        ({"sent_today": 1}, "one today already", ""),
        ({"silenced": True}, "stopped by the reader", "stopped by the reader"),
        ({"may_write": False}, "no consent or no access", "no consent or no access"),
        ({"wants": frozenset(ABOUT_PRACTICE)}, "this kind is off", "this kind is off"),
        ({"answered": False}, "", "read already, or told of"),
        ({"written": False}, "read already, or told of", ""),
    ],
)
def test_what_the_coach_wrote_is_held_back_by_little_and_an_answer_by_less(change, written, answer):
    facts = replace(WRITTEN, **change)
    assert objection(ReminderKind.WRITTEN, facts) == written
    assert objection(ReminderKind.ANSWER, facts) == answer


@pytest.mark.parametrize(
    ("kind", "change", "why"),
    [
        ("practice_call", {"sent_lately": 3}, "three this week already"),
        ("practice_call", {"excused": True}, "excused"),
        ("practice_call", {"hurting": True}, "something hurts"),
        ("practice_call", {"event_week": True}, "event week"),
        ("practice_call", {"logged": True}, "logged today"),
        ("practice_call", {"left": False}, "nothing left this week"),
        ("practice_call", {"weekdays": frozenset()}, "not a chosen day"),
        ("practice_call", {"planned": False}, "nothing planned today"),
        ("practice_call", {"unheard": True}, "nobody follows them"),
        ("calls_stop", {}, "calls are followed"),
        ("calls_stop", {"unheard": True, "stop_told": True}, "said already"),
        ("midweek_offer", {"day": date(2031, 2, 25)}, "not Wednesday"),
        ("midweek_offer", {}, "in step"),
        ("lesson_tomorrow", {}, "no lesson tomorrow"),
        ("test_tomorrow", {}, "no test tomorrow"),
        ("new_week", {}, "no new week"),
    ],
)
def test_each_says_why_it_does_not_go(kind, change, why):
    assert objection(ReminderKind(kind), replace(CALL, **change)) == why


@pytest.mark.parametrize(
    ("hour", "day"), [("16:59", None), ("17:00", 26), ("20:59", 26), ("21:00", None)]
)
def test_a_day_is_due_from_its_hour_until_nine_on_the_students_clock(hour, day):
    tokyo = ZoneInfo("Asia/Tokyo")
    local = datetime.fromisoformat(f"2031-02-26T{hour}:00").replace(tzinfo=tokyo)
    found = due_day(local.astimezone(UTC), time(17), "Asia/Tokyo")
    assert (found and found.day) == day


def test_the_next_time_is_later_than_now_and_the_quiet_hours_end_at_seven():
    now = datetime(2031, 2, 26, 17, tzinfo=UTC)
    assert next_due(now, time(17), "UTC") == now + timedelta(days=1)
    assert next_due(now - timedelta(seconds=1), time(17), "UTC") == now
    assert first_decent(now, "UTC") == now
    assert first_decent(now.replace(hour=21), "UTC") == datetime(2031, 2, 27, 7, tzinfo=UTC)
    assert first_decent(now.replace(hour=6), "UTC") == now.replace(hour=7)


def test_every_kind_says_why_not():
    nothing = replace(CALL, left=False, planned=False)
    both = replace(nothing, wants=frozenset({ReminderKind.WRITTEN}))
    for kind in (ReminderKind.WRITTEN, ReminderKind.ANSWER):
        assert objection(kind, both) == "read already, or told of"
    assert all(objection(kind, nothing) for kind in ABOUT_PRACTICE)
