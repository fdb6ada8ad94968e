"""How often suggestions were taken when lessons were closed, and what followed."""

from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from coaching.lessons.carry import WELL_DONE, Carry
from coaching.lessons.models import CarryKept
from practice.compliance.models import WeekTally
from shared.kit.text import capital, date_words, many
from shared.people import access
from shared.people.models import Student, User

BACK = timedelta(days=180)
WEEK = timedelta(days=7)
MOST = 2000
LATELY = 5


@dataclass(frozen=True, slots=True)
class TakenRows:
    """Sentences for the page: one a suggestion, and one on the weeks that followed."""

    rows: list[str]
    followed: str


def taken(user: User, now: datetime) -> TakenRows:
    """Of all whom the user teaches, over half a year. Two queries."""
    kept = CarryKept.objects.filter(
        lesson__student__in=access.students_taught_by(user), opens__gte=(now - BACK).date()
    )
    fields = ("lesson__student", "drill", "opens", "suggested", "chosen")
    choices = list(kept.order_by("-opens", "pk").values_list(*fields)[:MOST])
    suggested = Counter(each[3] for each in choices)
    as_said = Counter(each[3] for each in choices if each[3] == each[4])
    rows = [
        f"{capital(carry.value)}: suggested {many(suggested[carry.value], 'time')},"
        f" taken {as_said[carry.value]}."
        for carry in Carry
        if suggested[carry.value]
    ]
    over = [each for each in choices if each[2] + WEEK <= now.date()]
    return TakenRows(rows, _followed(over))


def _followed(choices: list[tuple[UUID, UUID, date, str, str]]) -> str:
    """Of the weeks that are over: how many parts were done to four fifths."""
    weeks = WeekTally.objects.filter(
        student__in={each[0] for each in choices}, opens__in={each[2] for each in choices}
    )
    credit = {
        (student, opens, part["drill"]): part["credit"]
        for student, opens, parts in weeks.values_list("student", "opens", "parts")
        for part in parts
        if part["credit"] is not None and not part["removed"]
    }
    done: dict[bool, list[bool]] = {True: [], False: []}
    for student, drill, opens, suggested, chosen in choices:
        found = credit.get((student, opens, str(drill)))
        if found is not None:
            done[suggested == chosen].append(found >= WELL_DONE)
    if not done[True] and not done[False]:
        return ""
    return (
        f"Four fifths or more was done of {sum(done[True])} of {len(done[True])} parts as "
        f"suggested. Of those chosen otherwise it was {sum(done[False])} of {len(done[False])}. "
        f"This is no trial. A raise goes to those who do the work already."
    )


def otherwise(student: Student, reader: User) -> list[str]:
    """The last choices that were not as suggested, with why. One query."""
    kept = CarryKept.objects.filter(lesson__student=student).select_related(
        "lesson", "drill__current"
    )
    zone = ZoneInfo(reader.time_zone)
    rows = [row for row in kept.order_by("-lesson__at", "pk")[:60] if row.suggested != row.chosen]
    return [_otherwise(row, zone) for row in rows[:LATELY]]


def _otherwise(row: CarryKept, zone: ZoneInfo) -> str:
    day = (row.lesson.opened_at or row.lesson.at).astimezone(zone).date()
    why = f": “{row.why}”" if row.why else "."
    return f"{date_words(day)}, {row.drill}: {row.chosen}, not {row.suggested}{why}"
