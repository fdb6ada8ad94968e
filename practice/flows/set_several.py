"""One week for several students at once."""

from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from practice.care.copied import ForWhom
from practice.flows.set_week import send_week, start_draft, taken_over
from practice.weeks.models import Week, WeekTemplate
from shared.kit.refused import Refused
from shared.people.access import Recordable
from shared.people.models import User


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one student when a week was given to several."""

    student: Recordable
    week: Week | None = None
    error: str = ""
    # What the student's limits left of the week.
    found: ForWhom | None = None


def assign_to_several(
    *,
    students: Iterable[Recordable],
    opens_for: Mapping[UUID, date],
    source: Week | WeekTemplate,
    percents: Mapping[UUID, int],
    by: User,
    send: bool,
    in_spite: Set[UUID] = frozenset(),
) -> list[Outcome]:
    """The same week for several students, each scaled by their own percent, and within their
    limits but for those (`in_spite`) of whom a coach asks all of it.

    Each student stands alone: one who cannot have it does not stop the others.
    """
    return [
        _assign(
            student,
            send=send,
            opens=opens_for[student.pk],
            source=source,
            percent=percents.get(student.pk, 0),
            by=by,
            in_spite=student.pk in in_spite,
        )
        for student in students
    ]


def _assign(student: Recordable, *, send: bool, **start: Any) -> Outcome:
    there = Week.objects.filter(student=student, opens=start["opens"]).first()
    if there is not None:
        words = "has this week already" if there.sent_at else "has a draft of this week"
        return Outcome(student, there, f"{student.name} {words}. Nothing was changed.")
    try:
        week = start_draft(student=student, **start)
    except Refused as error:
        return Outcome(student, error=str(error))
    if send:
        try:
            week = send_week(week=week, by=start["by"], in_spite=start["in_spite"])
        except Refused as error:
            return Outcome(student, week, f"{error}")
    found = taken_over(
        start["source"], student, start["opens"], start["percent"], in_spite=start["in_spite"]
    )
    return Outcome(student, week, found=found)
