"""When a lesson that comes back takes place: rules of RFC 5545, section 3.3.10, by dateutil.

Days are the calendar's, times those of a wall clock in a zone. A time that the clock leaves
out is read with the offset before the gap, one that comes twice is the first of the two (RFC
5545, 3.3.5), which is what `fold=0` means to zoneinfo.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from dateutil.rrule import rrulestr

from shared.kit.refused import Refused

CODES = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_ON = r"(?:[+-]?[1-4])?(?:MO|TU|WE|TH|FR|SA|SU)"
# What a rule may say: each of these comes back for ever, so that no search runs without end.
_PARTS = {
    "FREQ": r"DAILY|WEEKLY|MONTHLY",
    "INTERVAL": r"[1-9]\d?",
    "BYDAY": rf"{_ON}(?:,{_ON})*",
    "COUNT": r"[1-9]\d{0,3}",
    "UNTIL": r"\d{8}(?:T\d{6}Z?)?",
    "WKST": r"MO|TU|WE|TH|FR|SA|SU",
}


@dataclass(frozen=True, slots=True)
class RecurrenceRule:
    """A checked rule without its end, and the last day on which it may take place."""

    text: str
    last: date | None = None


def weekly(weekday: int, every: int = 1) -> str:
    """The rule of a lesson each week, or every so many weeks; Monday is 0."""
    interval = f";INTERVAL={every}" if every > 1 else ""
    return f"FREQ=WEEKLY{interval};BYDAY={CODES[weekday]}"


def read_rule(text: str, zone: str = "UTC") -> RecurrenceRule:
    """A rule as a calendar writes it. Its UNTIL becomes the last day. Raises Refused."""
    said: dict[str, str] = {}
    for part in text.strip().upper().rstrip(";").split(";"):
        name, _, value = part.partition("=")
        if name not in _PARTS or name in said or not re.fullmatch(_PARTS[name], value):
            raise Refused(f"“{part}” is not a way in which lessons come back here.")
        said[name] = value
    if "FREQ" not in said:
        raise Refused("The rule does not say how often it comes back.")
    last = _until(said.pop("UNTIL"), zone) if "UNTIL" in said else None
    if said["FREQ"] != "MONTHLY" and re.search(r"\d", said.get("BYDAY", "")):
        raise Refused("Only a monthly lesson can be on the first or last of a weekday.")
    return RecurrenceRule(";".join(f"{name}={value}" for name, value in said.items()), last)


def _until(value: str, zone: str) -> date:
    try:
        day = datetime.strptime(value[:8], "%Y%m%d")  # noqa: DTZ007 (a day of the calendar)
        if not value.endswith("Z"):
            return day.date()
        at = datetime.strptime(value, "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)
    except ValueError as error:
        raise Refused(f"“{value}” is no day.") from error
    return at.astimezone(ZoneInfo(zone)).date()


def days(rule: str, first: date, begin: date, end: date) -> list[date]:
    """The days of the rule from `begin` to `end`, both included. `first` is where it starts."""
    if end < begin or end < first:
        return []
    midnight = time()
    found = rrulestr(rule, dtstart=datetime.combine(first, midnight), cache=False)
    start = datetime.combine(max(begin, first), midnight)
    return [each.date() for each in found.between(start, datetime.combine(end, midnight), inc=True)]


def instant(day: date, at: time, zone: str) -> datetime:
    """That time of that day on the zone's clock, in UTC."""
    return datetime.combine(day, at, tzinfo=ZoneInfo(zone)).astimezone(UTC)


def words(rule: str, at: time) -> str:
    """As a coach says it: every Tuesday at 16:00."""
    said = dict(part.split("=") for part in rule.split(";"))
    every = int(said.get("INTERVAL", "1"))
    if said["FREQ"] == "DAILY":
        often = "every day" if every == 1 else f"every {every} days"
    elif said["FREQ"] == "WEEKLY":
        names = _listed(
            [NAMES[CODES.index(code)] for code in said.get("BYDAY", "").split(",") if code]
        )
        often = {1: f"every {names}", 2: f"every second {names}"}.get(
            every, f"{names} of every {every} weeks"
        )
    else:
        often = "once a month" if every == 1 else f"every {every} months"
    return f"{often} at {at:%H:%M}"


def _listed(names: Sequence[str]) -> str:
    if not names:
        return "week"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def first_on(weekday: int, today: date) -> date:
    """The first such weekday from today on."""
    return today + timedelta(days=(weekday - today.weekday()) % 7)
