"""Lessons out of somebody's calendar: RFC 5545, read by the icalendar library. Pure.

Of an event that comes back are taken its rule, its hour on the wall clock of its own zone, the
days on which it is off (EXDATE, or an instance that is cancelled) and those that were moved
(RECURRENCE-ID). What cannot be kept is said in a sentence; nothing is guessed.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from coaching.timetable import recurrence
from shared.kit.refused import Refused
from shared.kit.zones import known_zones

MOST_EVENTS = 400
LONGEST_TITLE = 120
# Events that a calendar of years holds beside those that come back: they are not even read.
MOST_LINES = 400_000
_COMES_BACK = re.compile(r"(?:RRULE|RECURRENCE-ID)[;:]", re.IGNORECASE)
EARLIEST = 1990  # A rule is reckoned day by day from its first.


@dataclass(slots=True)
class CalendarEvent:
    """One event that comes back. With a fault it is not taken; `remark` is said beside it."""

    uid: str
    title: str
    first: date
    at: time
    zone: str
    minutes: int
    rule: str = ""
    last: date | None = None
    place: str = ""
    off: list[date] = field(default_factory=list)
    moved: list[tuple[date, datetime]] = field(default_factory=list)
    fault: str = ""
    remark: str = ""


def read(text: str, zone: str, *, is_whole: bool = True) -> list[CalendarEvent]:
    """Every event of the calendar, in its order; `zone` is the clock of what names none.

    Without `is_whole` only what comes back is read. Raises Refused.
    """
    from icalendar import Calendar

    if "BEGIN:VCALENDAR" not in text.upper():
        raise Refused("This is no calendar. Save yours as a file that ends in .ics.")
    try:
        lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
        wanted = "\n".join(_wanted(lines, is_whole=is_whole))
        calendars = Calendar.from_ical(wanted, multiple=True)
        events = [event for each in calendars for event in each.walk("VEVENT")]
    except (ValueError, KeyError, IndexError, TypeError) as error:
        raise Refused("The calendar cannot be read. Save it again as an .ics file.") from error
    if len(events) > MOST_EVENTS:
        raise Refused(f"At most {MOST_EVENTS} events at once. Save a part of the calendar.")
    return list(_together(events, zone))


def _wanted(lines: list[str], *, is_whole: bool) -> Iterator[str]:
    """The calendar without its rules of zones, and without what takes place once.

    Their rules could be made to run for long, and every zone that we keep is known here anyway.
    """
    if len(lines) > MOST_LINES:
        raise Refused("The calendar is too long. Share a smaller one.")
    event: list[str] = []
    skipped = ""
    for line in lines:
        said = line.strip().upper()
        if skipped:
            skipped = "" if said == skipped else skipped
        elif said == "BEGIN:VTIMEZONE":
            skipped = "END:VTIMEZONE"
        elif said == "BEGIN:VEVENT" and not is_whole:
            yield from event
            event = [line]
        elif said == "END:VEVENT" and event:
            if any(_COMES_BACK.match(each) for each in event):
                yield from [*event, line]
            event = []
        elif event:
            event.append(line)
        else:
            yield line
    yield from event


def _together(events: Iterable[Any], zone: str) -> Iterator[CalendarEvent]:
    """Each event with the instances that say otherwise, which bear its UID."""
    alone: dict[str, list[Any]] = {}
    whole: list[Any] = []
    for event in events:
        (alone.setdefault(str(event.get("UID", "")), []) if "RECURRENCE-ID" in event else whole
         ).append(event)  # fmt: skip
    for event in whole:
        found = _event(event, zone)
        if found is None:
            continue
        if not found.fault:
            for instance in alone.get(found.uid, []):
                _instance(found, instance, zone)
        yield found


def _event(event: Any, zone: str) -> CalendarEvent | None:
    """None for what has no beginning at all."""
    begins = getattr(event.get("DTSTART"), "dt", None)
    title = " ".join(str(event.get("SUMMARY", "")).split())[:LONGEST_TITLE] or "without a name"
    uid = str(event.get("UID", ""))[:255]
    if begins is None:
        return None
    if not isinstance(begins, datetime):
        return CalendarEvent(uid, title, begins, time(), zone, 60, fault="Lasts all day. Left out.")
    named, remark, fault = _zone_of(event, begins, zone)
    found = CalendarEvent(
        uid, title, begins.date(), begins.time().replace(second=0, microsecond=0, tzinfo=None),
        named, _minutes(event), place=" ".join(str(event.get("LOCATION", "")).split()),
        remark=remark, fault=fault,
    )  # fmt: skip
    if not fault:
        _add_rule(found, event)
    return found


def _zone_of(event: Any, begins: datetime, zone: str) -> tuple[str, str, str]:
    """The name of the zone, what is to be said of it, and why it cannot be taken."""
    if begins.tzinfo is None:
        said = event["DTSTART"].params.get("TZID")
        unknown = f"The zone “{str(said)[:40]}” is unknown: read by the studio’s clock."
        return zone, unknown if said else "", ""
    name = getattr(begins.tzinfo, "key", "")
    if begins.tzinfo is UTC or name in {"UTC", "Etc/UTC"}:
        return "UTC", "Written in UTC: its hour here moves with the clock.", ""
    if name not in known_zones():
        return zone, "", "Its time zone is not known by name. Add it by hand."
    return name, "", ""


def _minutes(event: Any) -> int:
    try:
        length = event.duration
    except (ValueError, KeyError, TypeError, AttributeError):
        length = timedelta()
    minutes = round(length.total_seconds() / 60) if length else 60
    return min(max(minutes, 5), 480)


def _add_rule(found: CalendarEvent, event: Any) -> None:
    rules = event.get("RRULE")
    if rules is None:
        found.fault = "Takes place once. Note it as a single lesson."
        return
    if found.first.year < EARLIEST:
        found.fault = f"Begins before {EARLIEST}. Add it by hand."
        return
    if str(event.get("STATUS", "")).upper() == "CANCELLED":
        found.fault = "Is cancelled. Left out."
        return
    if isinstance(rules, list):
        found.fault = "Comes back by several rules. Add it by hand."
        return
    try:
        rule = recurrence.read_rule(rules.to_ical().decode(), found.zone)
    except Refused as error:
        found.fault = str(error)
        return
    found.rule, found.last = _with_day(rule.text, found.first), rule.last
    found.off = sorted({_local(each, found.zone) for each in _dates(event, "EXDATE")})
    if _dates(event, "RDATE"):
        found.remark = f"{found.remark} Days added by hand are not taken.".strip()


def _with_day(rule: str, first: date) -> str:
    """A weekly rule that names no weekday means that of its first day (3.3.10)."""
    if "FREQ=WEEKLY" not in rule or "BYDAY" in rule:
        return rule
    return f"{rule};BYDAY={recurrence.CODES[first.weekday()]}"


def _dates(event: Any, name: str) -> list[date]:
    said = event.get(name)
    lists = said if isinstance(said, list) else [said] if said is not None else []
    return [each.dt for those in lists for each in those.dts]


def _local(moment: date, zone: str) -> date:
    """The day on the wall clock of the zone."""
    if isinstance(moment, datetime):
        return (moment.astimezone(ZoneInfo(zone)) if moment.tzinfo else moment).date()
    return moment


def _instance(found: CalendarEvent, event: Any, zone: str) -> None:
    """One day that is off or elsewhere in time."""
    day = _local(event["RECURRENCE-ID"].dt, found.zone)
    begins = getattr(event.get("DTSTART"), "dt", None)
    if str(event.get("STATUS", "")).upper() == "CANCELLED":
        found.off = sorted({*found.off, day})
        return
    if not isinstance(begins, datetime):
        return
    named, *_ = _zone_of(event, begins, zone)
    at = begins if begins.tzinfo else begins.replace(tzinfo=ZoneInfo(named))
    if at != recurrence.instant(day, found.at, found.zone):
        found.moved = sorted([*found.moved, (day, at)])
