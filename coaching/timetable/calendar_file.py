"""Lessons as a calendar reads them: RFC 5545, written by the icalendar library.

A lesson that comes back is one event with its rule, the days on which it is off (EXDATE) and
the days that were moved (RECURRENCE-ID). Its UID never changes, so a calendar that reads the
feed again changes its events and adds none. Hours stand on a wall clock with its zone
(VTIMEZONE), so that they stay there when the clock changes.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from coaching.timetable import recurrence

AHEAD = timedelta(days=3 * 366)  # So far ahead the changes of the clock are written out.


@dataclass(frozen=True, slots=True)
class Weekly:
    """A lesson that comes back; `moved` are days with the instant at which it is instead."""

    uid: str
    title: str
    first: date
    at: time
    zone: str
    minutes: int
    rule: str
    last: date | None
    place: str
    off: tuple[date, ...]
    moved: tuple[tuple[date, datetime], ...]
    changed_at: datetime


@dataclass(frozen=True, slots=True)
class Single:
    """One lesson by itself, at an instant."""

    uid: str
    title: str
    at: datetime
    zone: str
    minutes: int
    place: str
    changed_at: datetime


def calendar_file(name: str, weekly: Iterable[Weekly], single: Iterable[Single]) -> bytes:
    """The whole calendar. Lines end and fold as section 3.1 asks."""
    from icalendar import Calendar

    made = Calendar()
    made.add("prodid", "-//Between Lessons//timetable//EN")
    made.add("version", "2.0")
    made.add("method", "PUBLISH")
    made.add("x-wr-calname", name)
    made.add("refresh-interval", timedelta(hours=6), parameters={"value": "DURATION"})
    starts = []
    for each in weekly:
        events = _weekly(each)
        starts += [event.start.date() for event in events]
        for event in events:
            made.add_component(event)
    for one in single:
        starts.append(one.at.date())
        made.add_component(_event(one.uid, one, one.at.astimezone(ZoneInfo(one.zone))))
    if starts:
        made.add_missing_timezones(min(starts) - timedelta(days=366), max(starts) + AHEAD)
    return bytes(made.to_ical())


def _weekly(each: Weekly) -> list[Any]:
    """The event with its rule, and one for every day that was moved."""
    from icalendar import vRecur

    begin = next(
        iter(recurrence.days(each.rule, each.first, each.first, each.first + timedelta(days=400))),
        None,
    )
    if begin is None:
        return []
    zone = ZoneInfo(each.zone)
    event = _event(each.uid, each, datetime.combine(begin, each.at, tzinfo=zone))
    rule = vRecur.from_ical(each.rule)
    if each.last is not None and "COUNT" not in rule:
        rule["UNTIL"] = [recurrence.instant(each.last, each.at, each.zone)]
    event.add("rrule", rule)
    for day in each.off:
        event.add("exdate", datetime.combine(day, each.at, tzinfo=zone))
    moved = []
    for day, at in each.moved:
        other = _event(each.uid, each, at.astimezone(zone))
        other.add("recurrence-id", datetime.combine(day, each.at, tzinfo=zone))
        moved.append(other)
    return [event, *moved]


def _event(uid: str, said: Weekly | Single, begins: datetime) -> Any:
    from icalendar import Event

    event = Event()
    event.add("uid", f"{uid}@between-lessons")
    event.add("dtstamp", said.changed_at.astimezone(UTC))
    event.add("last-modified", said.changed_at.astimezone(UTC))
    event.add("summary", said.title)
    event.add("dtstart", begins)
    event.add("duration", timedelta(minutes=said.minutes))
    if said.place:
        event.add("location", said.place)
    return event
