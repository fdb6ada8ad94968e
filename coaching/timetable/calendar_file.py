"""Lessons as a calendar reads them: RFC 5545, written by the icalendar library.

A lesson that comes back is one event with its rule, the days on which it is off (EXDATE) and
the days that were moved (RECURRENCE-ID). Its UID never changes, so a calendar that reads the
feed again changes its events and adds none. Hours stand on a wall clock with its zone
(VTIMEZONE), so that they stay there when the clock changes.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo

from coaching.timetable import recurrence

SINCE = datetime(2020, 1, 1, tzinfo=UTC)
DAY, MINUTE = timedelta(days=1), timedelta(minutes=1)
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


def calendar_file(
    name: str, weekly: Iterable[Weekly], single: Iterable[Single], now: datetime
) -> bytes:
    """The whole calendar. Lines end and fold as section 3.1 asks.

    It is read, not sent: a METHOD would ask for one in the Content-Type (3.7.2), and for an
    ORGANIZER (RFC 5546, 3.2.1).
    """
    from icalendar import Calendar, vText

    made = Calendar()
    made.add("prodid", "-//Between Lessons//timetable//EN")
    made.add("version", "2.0")
    made.add("name", vText(name))  # RFC 7986, 5.1; the other is what was there before it.
    made.add("x-wr-calname", vText(name))
    made.add("refresh-interval", timedelta(hours=6), parameters={"value": "DURATION"})
    starts = [now.date()]  # A lesson that began years ago comes back in years to come.
    zones, found = set(), []
    for each in weekly:
        events = _weekly(each)
        starts += [event.start.date() for event in events]
        found += events
        zones |= {each.zone} if events else set()
    for one in single:
        starts.append(one.at.date())
        zones.add(one.zone)
        found.append(_event(one.uid, one, one.at.astimezone(ZoneInfo(one.zone))))
    for zone in sorted(zones):
        made.add_component(_zone(zone, min(starts) - timedelta(days=366), max(starts) + AHEAD))
    for event in found:
        made.add_component(event)
    return bytes(made.to_ical())


def _zone(name: str, first: date, last: date) -> Any:
    """The changes of a clock between two days (3.6.5), each written out."""
    from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

    zone = ZoneInfo(name)
    made = Timezone()
    made.add("tzid", name)
    for at, before in _changes(name, first, last):
        there = at.astimezone(zone)
        change = TimezoneDaylight() if there.dst() else TimezoneStandard()
        change.add("dtstart", (at + before).replace(tzinfo=None))
        change.add("tzoffsetfrom", before)
        change.add("tzoffsetto", _offset(zone, at))
        change.add("tzname", there.tzname())
        made.add_component(change)
    return made


@lru_cache(maxsize=64)  # Most calendars of a studio are of one clock, and phones ask all day.
def _changes(name: str, first: date, last: date) -> tuple[tuple[datetime, timedelta], ...]:
    """The first day, and when the clock changes, each with its offset until then.

    Day by day: the library takes longer steps, and misses the weeks around Ramadan in Morocco.
    """
    zone, at = ZoneInfo(name), datetime.combine(first, time(), tzinfo=UTC)
    now = _offset(zone, at)
    changes = [(at, now)]
    while at.date() < last:
        then = _offset(zone, at + DAY)
        if then != now:
            low, high = at, at + DAY
            while high - low > MINUTE:
                half = low + (high - low) // MINUTE // 2 * MINUTE
                low, high = (half, high) if _offset(zone, half) == now else (low, half)
            changes.append((high, now))
        at, now = at + DAY, then
    return tuple(changes)


def _offset(zone: ZoneInfo, at: datetime) -> timedelta:
    return at.astimezone(zone).utcoffset() or timedelta()


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


def _revision(changed_at: datetime) -> int:
    """Grows with each change, as SEQUENCE asks (3.8.7.4): the second of it since 2020.

    A lesson whose student or coach has another name is not revised: only what says when it is
    or whether it is asks for that (RFC 5546, 2.1.4), and a feed is read as a whole.
    """
    return max(0, int((changed_at - SINCE).total_seconds()))


def _event(uid: str, said: Weekly | Single, begins: datetime) -> Any:
    from icalendar import Event

    event = Event()
    event.add("uid", f"{uid}@between-lessons")
    event.add("dtstamp", said.changed_at.astimezone(UTC))
    event.add("last-modified", said.changed_at.astimezone(UTC))
    event.add("sequence", _revision(said.changed_at))
    event.add("summary", said.title)
    event.add("dtstart", begins)
    event.add("duration", timedelta(minutes=said.minutes))
    if said.place:
        event.add("location", said.place)
    return event
