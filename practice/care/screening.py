"""What a body can do, as a coach saw it; what it cannot puts a caution on the drills that need it.

A limit and no diagnosis: nothing here says why. The movements are common practice, no source.
"""

from collections.abc import Iterable, Set
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from uuid import UUID

from django.db import models, transaction

from practice.care.models import Screening
from practice.drills.models import Drill
from practice.log.beside_parts import Sentences
from shared.kit.text import date_words, listed
from shared.people.access import Recordable
from shared.people.models import Student, User
from shared.people.today import today_of
from shared.site.together import Question

AGAIN_AFTER = timedelta(days=90)  # Common practice, no source.
MOST = 200
MOVEMENTS = {
    "lead_hip": "turning into the lead hip",
    "trail_hip": "turning into the trail hip",
    "trunk": "turning the trunk while the hips stay",
    "shoulders": "lifting both arms overhead",
    "squat": "a squat with the heels down",
    "balance": "standing on one leg",
    "wrists": "setting the wrists",
}


class Can(models.TextChoices):
    CAN = "can", "can"
    EFFORT = "effort", "can with effort"
    CANNOT = "cannot", "cannot yet"


@dataclass(frozen=True, slots=True)
class ScreenRow:
    """The last look at one movement."""

    movement: str
    can: str
    drills: str
    day: str
    by: str
    is_old: bool


@transaction.atomic
def note(
    *, student: Recordable, by: User, movement: str, can: str, drills: Iterable[Drill] = ()
) -> Screening:
    """A look at one movement: the latest one counts, and all are kept."""
    seen = Screening.objects.create(
        student=student, by=by, movement=movement, can=can, day=today_of(student)
    )
    if can == Can.CANNOT:
        seen.drills.set(drills)
    return seen


def latest(students: Iterable[Student]) -> dict[UUID, list[Screening]]:
    """The last look at each movement of each student. Three queries at most, of nobody none."""
    students = list(students)
    if not students:
        return {}
    found = Screening.objects.filter(student__in=students).order_by("-day", "-at", "-pk")
    seen: dict[tuple[UUID, str], Screening] = {}
    rows = found.select_related("by").prefetch_related("drills__current")
    for row in rows[: MOST * max(1, len(MOVEMENTS))]:
        seen.setdefault((row.student_id, row.movement), row)
    by_student: dict[UUID, list[Screening]] = {}
    for (pk, _), row in seen.items():
        by_student.setdefault(pk, []).append(row)
    return by_student


def rows(student: Student, now: datetime) -> list[ScreenRow]:
    return [
        ScreenRow(
            MOVEMENTS[row.movement],
            Can(row.can).label,
            ", ".join(sorted(_names(row))),
            date_words(row.day),
            str(row.by),
            row.at < now - AGAIN_AFTER,
        )
        for row in latest([student]).get(student.pk, [])
    ]


def _names(row: Screening) -> list[str]:
    return [drill.current.name for drill in row.drills.all() if drill.current]


def lines(found: Iterable[Screening]) -> list[str]:
    """'Cannot yet: turning into the lead hip. Care with Ladder.'"""
    return [
        f"Cannot yet: {MOVEMENTS[row.movement]}. Care with {listed(sorted(_names(row)))}."
        for row in found
        if row.can == Can.CANNOT and _names(row)
    ]


def cautioned(found: Iterable[Screening]) -> set[UUID]:
    """Drills to be done with care: none of them is what a lesson begins with."""
    return {drill.pk for row in found if row.can == Can.CANNOT for drill in row.drills.all()}


def cautions_asked(student: Student, reader: User) -> Question[Sentences]:
    return Question(lambda: partial(cautions, student))


def cautions(student: Student, drills: Set[UUID]) -> dict[UUID, str]:
    """What the student reads with each of these drills; no word of health, and what to do."""
    said: dict[UUID, str] = {}
    for row in latest([student]).get(student.pk, []):
        if row.can != Can.CANNOT:
            continue
        words = f"Care with {MOVEMENTS[row.movement]}: only as far as it goes by itself."
        for drill in row.drills.all():
            if drill.pk in drills:
                said[drill.pk] = " ".join(filter(None, (said.get(drill.pk), words)))
    return said
