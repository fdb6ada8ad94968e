"""What a calendar says now of an event, beside what was taken of it. Pure.

Only what the calendar itself changed is a change: a day that was taken off here stays off.
"""

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from coaching.timetable import recurrence
from coaching.timetable.calendar_in import CalendarEvent
from shared.kit.text import date_words

YEAR = timedelta(days=366)
_BASE = ("first", "at", "zone", "minutes", "rule", "last", "place")


@dataclass(frozen=True, slots=True)
class CalendarChange:
    """`is_new`: the rule, its hour, length, place or end. Days are the rule's own, and to come."""

    is_new: bool
    off: tuple[date, ...]
    on_again: tuple[date, ...]
    moved: tuple[tuple[date, datetime], ...]
    back: tuple[date, ...]

    def __bool__(self) -> bool:
        return bool(self.is_new or self.off or self.on_again or self.moved or self.back)


def plain(event: CalendarEvent) -> dict[str, Any]:
    """The event as values of JSON."""
    said = asdict(event)
    said["first"], said["at"] = event.first.isoformat(), event.at.isoformat()
    said["last"] = event.last.isoformat() if event.last else None
    said["off"] = [day.isoformat() for day in event.off]
    said["moved"] = [[day.isoformat(), at.astimezone(UTC).isoformat()] for day, at in event.moved]
    return said


def event_of(said: dict[str, Any]) -> CalendarEvent:
    """The event that `plain` wrote."""
    day = date.fromisoformat
    last = day(said["last"]) if said["last"] else None
    moved = [(day(on), datetime.fromisoformat(at)) for on, at in said["moved"]]
    return CalendarEvent(
        **said | {"first": day(said["first"]), "at": time.fromisoformat(said["at"]), "last": last,
                  "off": [day(each) for each in said["off"]], "moved": moved}
    )  # fmt: skip


def change_of(
    taken: CalendarEvent, said: CalendarEvent, today: date, now: datetime
) -> CalendarChange:
    """What became of it since it was taken. With a new rule every day off or moved counts anew."""
    is_new = any(getattr(taken, name) != getattr(said, name) for name in _BASE)
    was_off, is_off = set(taken.off), set(said.off)
    was_moved, is_moved = ({} if is_new else dict(taken.moved)), dict(said.moved)
    ahead = {day: at for day, at in is_moved.items() if day >= today and at > now}
    return CalendarChange(
        is_new,
        tuple(sorted(day for day in (is_off if is_new else is_off - was_off) if day >= today)),
        tuple(sorted(day for day in was_off - is_off - set(is_moved) if day >= today)),
        tuple(sorted((day, at) for day, at in ahead.items() if was_moved.get(day) != at)),
        tuple(sorted(day for day in was_moved.keys() - is_moved.keys() - is_off if day >= today)),
    )


def change_words(
    taken: CalendarEvent, said: CalendarEvent, change: CalendarChange, today: date
) -> list[str]:
    """A sentence for each thing that is other than it was."""
    return [*(_rule_words(taken, said, today) if change.is_new else ()), *_day_words(said, change)]


def _rule_words(taken: CalendarEvent, said: CalendarEvent, today: date) -> Iterator[str]:
    if (taken.rule, taken.at, taken.first) != (said.rule, said.at, said.first):
        coming = recurrence.days(said.rule, said.first, today, today + YEAR)
        since = f", from {date_words(coming[0])}" if coming else ""
        yield f"Now {recurrence.words(said.rule, said.at)}{since}."
        yield f"Until now {recurrence.words(taken.rule, taken.at)}."
    if taken.zone != said.zone:
        yield f"By the clock of {said.zone}."
    if taken.minutes != said.minutes:
        yield f"Lasts {said.minutes} minutes."
    if taken.place != said.place:
        yield f"Takes place at {said.place}." if said.place else "Names no place any more."
    if taken.last != said.last:
        yield f"Ends on {date_words(said.last)}." if said.last else "Goes on without an end."


def _day_words(said: CalendarEvent, change: CalendarChange) -> Iterator[str]:
    for day in change.off:
        yield f"Off on {date_words(day)}."
    for day in change.on_again:
        yield f"On again on {date_words(day)}."
    for day, at in change.moved:
        to = at.astimezone(ZoneInfo(said.zone))
        yield f"{date_words(day)} moved to {date_words(to.date())}, {to:%H:%M}."
    for day in change.back:
        yield f"{date_words(day)} is back at its usual time."
