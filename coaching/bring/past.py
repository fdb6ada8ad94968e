"""Past practice, from memory: looked at, kept, and taken back without a trace.

It is something for the forecast to stand on, and never credit: no tally, no log and no week
reads it. Days of a week that was sent, and days that were logged, are left out: there is better.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from uuid import UUID

from django.db import transaction

from coaching.bring.models import Batch, Remembered
from coaching.bring.past_rows import PastRow
from practice.log.models import Entry
from practice.weeks.models import Week
from shared.kit.text import date_words, many, plain
from shared.kit.weeks import week_start
from shared.people import access
from shared.people.models import Student, Studio, User

MOST_ROWS = 2000


@dataclass(frozen=True, slots=True)
class PastOutcome:
    """What becomes of one row, in a sentence."""

    person: PastRow
    words: str
    brings: bool


@dataclass(frozen=True, slots=True)
class RememberedWeek:
    """The remembered practice of one week, as a page prints it."""

    opens: date
    words: str
    drills: str


def students_of(user: User, studio: Studio) -> dict[str, list[str]]:
    """Whose practice may be written down here: ids by plain name. One query."""
    may = access.students_planned_by(user) & access.recordable_students()
    found: dict[str, list[str]] = {}
    for key, name in may.filter(studio=studio, left_on=None).values_list("pk", "name"):
        found.setdefault(plain(name), []).append(str(key))
    return found


def outcomes(studio: Studio, rows: Sequence[PastRow]) -> list[PastOutcome]:
    """What would become of every row now. Three queries."""
    students = {UUID(row.student) for row in rows if row.student}
    sent = set(
        Week.objects.filter(student__in=students, sent_at__isnull=False).values_list(
            "student", "opens"
        )
    )
    logged = set(
        Entry.objects.filter(student__in=students, counts=True).values_list("student", "day")
    )
    kept = set(
        Remembered.objects.filter(student__in=students).values_list("student", "day", "drill")
    )
    return [_outcome(row, studio.first_weekday, sent, logged, kept) for row in rows]


def _outcome(
    row: PastRow,
    first_weekday: int,
    sent: set[tuple[UUID, date]],
    logged: set[tuple[UUID, date]],
    kept: set[tuple[UUID, date, str]],
) -> PastOutcome:
    if row.faults or row.day is None:
        return PastOutcome(row, " ".join(row.faults), False)
    student = UUID(row.student)
    if (student, week_start(row.day, first_weekday)) in sent:
        return PastOutcome(row, "A week was sent for that day. What was logged counts.", False)
    if (student, row.day) in logged:
        return PastOutcome(row, "That day was logged already. Left out.", False)
    if (student, row.day, row.drill) in kept:
        return PastOutcome(row, "Is kept already. Left out.", False)
    what = f", {row.drill}" if row.drill else ""
    words = f"{date_words(row.day)}, {round(row.minutes)} minutes{what}. From memory."
    return PastOutcome(row, words, True)


@transaction.atomic
def keep(*, studio: Studio, by: User, rows: Sequence[PastRow]) -> Batch:
    """Keep what can be kept; what became unfit since the preview is left out."""
    batch = Batch.objects.create(studio=studio, by=by)
    fit = [each.person for each in outcomes(studio, rows) if each.brings]
    there = {
        str(each.pk): each for each in Student.objects.filter(pk__in=[row.student for row in fit])
    }
    Remembered.objects.bulk_create(
        Remembered(
            student=access.recordable(there[row.student]), batch=batch, day=row.day,
            minutes=row.minutes, drill=row.drill,
        )
        for row in fit
        if row.day is not None
    )  # fmt: skip
    return batch


@transaction.atomic
def take_back(*, batch: Batch) -> int:
    """As if it had never been brought; how many rows went."""
    went = batch.remembered.count()
    batch.remembered.all().delete()
    batch.delete()
    return went


@transaction.atomic
def forget(*, student: access.Recordable) -> int:
    """Everything that was remembered of one student goes, and lists that are empty then."""
    mine = Remembered.objects.filter(student=student)
    batches = list(mine.exclude(batch=None).values_list("batch", flat=True).distinct())
    went = mine.count()
    mine.delete()
    Batch.objects.filter(pk__in=batches, remembered=None, listed=None).delete()
    return went


def weeks_of(student: Student) -> list[RememberedWeek]:
    """What is remembered of a student, the newest week first. One query."""
    rows = Remembered.objects.filter(student=student).order_by("-day")
    first_weekday = student.studio.first_weekday
    by_week = groupby(rows, lambda row: week_start(row.day, first_weekday))
    return [_week(opens, list(those)) for opens, those in by_week]


def _week(opens: date, rows: Iterable[Remembered]) -> RememberedWeek:
    those = list(rows)
    days = len({row.day for row in those})
    minutes = round(sum(row.minutes for row in those))
    drills = sorted({row.drill for row in those if row.drill})
    return RememberedWeek(opens, f"{minutes} minutes on {many(days, 'day')}", ", ".join(drills))
