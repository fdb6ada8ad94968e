"""What is different in a sent week since an instant, in words a coach would say."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from practice.weeks.models import Part, Week
from shared.kit import text
from shared.kit.text import many, number

MOST_PARTS = 60  # Those that were closed meanwhile are among them.


def changed_since(week: Week, at: datetime) -> list[str]:
    """What went, what is new, what is more or less: a sentence each. One query."""
    rows = Part.objects.filter(week=week).select_related("revision")
    parts = list(rows.order_by("priority", "added_at", "pk")[:MOST_PARTS])
    begun = [part for part in parts if part.removed_at is None and part.added_at > at]
    gone = {part.drill_id: part for part in parts if _went(part, at)}
    # A part of another make closes the old one of its drill.
    made_anew = {part.drill_id for part in begun} & set(gone)
    said: list[str] = []
    for part in parts:
        name = part.revision.name
        if part in begun and part.drill_id in made_anew:
            said += _differences(part, vars(gone[part.drill_id]))
        elif part in begun:
            said.append(
                f"{name} is new: {_minutes(part)} each time, {many(part.sessions, 'visit')}."
            )
        elif _went(part, at) and part.drill_id not in made_anew:
            said.append(f"{name} is out.")
        elif part.removed_at is None and (was := _as_it_stood(part, at)):
            said += _differences(part, was)
    return said


def _went(part: Part, at: datetime) -> bool:
    return part.removed_at is not None and part.added_at <= at < part.removed_at


def _differences(part: Part, was: dict[str, Any]) -> Iterator[str]:
    name = part.revision.name
    if text.minutes(part.minutes) != text.minutes(was["minutes"]):
        yield f"{name} takes {_minutes(part)} each time now."
    elif part.dose != was["dose"]:
        yield f"{name} is done another way now."
    if part.sessions != was["sessions"]:
        yield f"{name}: {many(part.sessions, 'visit')}, not {number(was['sessions'])}."
    if part.days != was["days"]:
        yield f"{name} has other days."


def _as_it_stood(part: Part, at: datetime) -> dict[str, Any] | None:
    """What the first change after the instant replaced; None if nothing changed since."""
    return next((row for row in part.before if datetime.fromisoformat(row["until"]) > at), None)


def _minutes(part: Part) -> str:
    minutes = text.minutes(part.minutes)
    return "1 minute" if minutes == 1 else f"{minutes} minutes"
