"""Which practice day an entry belongs to, when phones' clocks may be wrong.

A phone's day is believed as long as its clock is: never moved because it was
sent late, never because the student travels. A clock that is plainly wrong is
corrected by what it says now. A day that a right clock says is impossible was
typed, and only the student can put it right.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from practice.log.fields import Refusal
from shared.kit.weeks import day_starts_at, practice_day

DAYS_BACK = 60
BELIEVED_BACK = timedelta(days=DAYS_BACK)
BELIEVED_AHEAD = timedelta(hours=26)
DAYS_AHEAD = 1
DAYS_BEFORE = 7  # Whoever joins in the middle of a week may log the days before.
FRESH = timedelta(hours=48)
CHANGE_DAYS = 7
TOO_LATE = (
    "A visit can be changed or taken back for seven days. These are over, so it stays as it is. "
    "Tell your coach what was different."
)


@dataclass(frozen=True, slots=True)
class Moment:
    """The practice day of an entry, and when it was written by the server's clock."""

    day: date
    at: datetime
    from_memory: bool


def settle(
    *, day: date, at: datetime, sent: datetime | None, now: datetime, zone: str, joined: date
) -> Moment:
    """The day and writing time to keep of an entry.

    Parameters
    ----------
    day, at : the practice day and the writing time as the phone has them
    sent : what the phone's clock said when it sent, or None if it did not say
    now : the server's time
    zone : the student's time zone
    joined : the day the student was entered; the week before it can be logged too

    Raises Refusal (reason 'day') for a day that cannot be, told by a right clock.
    """
    today = practice_day(now, zone)
    earliest = joined - timedelta(days=DAYS_BEFORE)
    first, last = max(today - timedelta(days=DAYS_BACK), earliest), today + timedelta(DAYS_AHEAD)
    written = written_at(at, sent, now)
    if _is_believed(at, now):
        _check(day, first, last)
    else:
        day = _shifted(day, at, written, zone)
        if not first <= day <= today:
            day = today
    return Moment(day, written, day_starts_at(day + timedelta(days=1), zone) + FRESH < written)


def open_until(day: date, received_at: datetime, zone: str) -> date:
    """The last practice day on which a session of `day` may be changed or taken back.

    Seven days from the day it was for, or from the one it arrived on if that is later: what
    waited on a phone without signal gets its week all the same.
    """
    return max(day, practice_day(received_at, zone)) + timedelta(days=CHANGE_DAYS)


def _is_believed(at: datetime, now: datetime) -> bool:
    return now - BELIEVED_BACK <= at <= now + BELIEVED_AHEAD


def _check(day: date, first: date, last: date) -> None:
    if day > last:
        raise Refusal("day", f"{day:%d %b %Y} has not come yet. Choose the day you practised.")
    if day < first:
        raise Refusal(
            "day", f"{day:%d %b %Y} is too long ago: the first day you can log is {first:%d %b %Y}."
        )


def written_at(at: datetime, sent: datetime | None, now: datetime) -> datetime:
    """When something was written by the server's clock; never later than it was received."""
    written = at if _is_believed(at, now) else _corrected(at, sent, now)
    return min(written, now).astimezone(UTC)


def _corrected(at: datetime, sent: datetime | None, now: datetime) -> datetime:
    """The writing time moved by what the clock is wrong now; the time of receipt failing that."""
    if sent is None:
        return now
    try:
        moved = at + (now - sent)
    except OverflowError:
        return now
    return moved if _is_believed(moved, now) else now


def _shifted(day: date, at: datetime, written: datetime, zone: str) -> date:
    """The day as far from the corrected writing time as it was from the phone's own."""
    try:
        phones = practice_day(at, zone)
        return practice_day(written, zone) + (day - phones)
    except OverflowError:
        return practice_day(written, zone)
