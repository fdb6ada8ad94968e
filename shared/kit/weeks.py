"""Days and weeks as a student lives them.

A practice day turns over at 03:00 on the student's own clock, so a session at
01:20 on Tuesday belongs to Monday. A week is seven practice days; it starts on
the studio's first weekday (Monday, as in ISO 8601, unless the studio says otherwise).
"""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

TURNS_AT = time(3)
TURNOVER = timedelta(hours=TURNS_AT.hour)
DAYS_IN_WEEK = 7
DAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def practice_day(instant: datetime, zone: str) -> date:
    """The practice day that an instant falls in, on the clock of `zone`.

    Raises ValueError for a naive instant and KeyError (ZoneInfoNotFoundError)
    for an unknown zone.
    """
    if instant.tzinfo is None:
        raise ValueError("An instant needs its UTC offset.")
    local = instant.astimezone(ZoneInfo(zone)).replace(tzinfo=None)
    return (local - TURNOVER).date()


def week_start(day: date, first_weekday: int = 0) -> date:
    """The first day of the week that `day` is in; 0 is Monday."""
    return day - timedelta(days=(day.weekday() - first_weekday) % DAYS_IN_WEEK)


def week_days(opens: date) -> list[date]:
    """The seven days of the week that opens on this date."""
    return [opens + timedelta(days=n) for n in range(DAYS_IN_WEEK)]


def utc_instant(day: date, at: time, zone: str) -> datetime:
    """The UTC instant of a wall-clock time on a calendar day.

    A time that a clock change skips resolves to just past the gap, an ambiguous
    one to its first occurrence (PEP 495, fold=0).
    """
    return datetime.combine(day, at, tzinfo=ZoneInfo(zone)).astimezone(UTC)


def day_starts_at(day: date, zone: str) -> datetime:
    """The UTC instant at which a practice day begins (03:00 local)."""
    return utc_instant(day, TURNS_AT, zone)
