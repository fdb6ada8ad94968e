"""Entries as the log keeps them, made directly."""

from datetime import UTC, date, datetime, time, timedelta
from itertools import count
from uuid import UUID, uuid4

from practice.log.models import Entry, Result
from practice.weeks.models import Excusal, Part
from shared.people.models import Student
from tests.factories import MONDAY

_numbers = count(1)


def make_entry(
    student: Student, day: date | int = 0, *, root: UUID | None = None, **fields
) -> Entry:
    """An entry of a practice day (a date, or an offset from MONDAY), written the same evening."""
    if isinstance(day, int):
        day = MONDAY + timedelta(days=day)
    evening = datetime.combine(day, time(18), tzinfo=UTC)
    ident = uuid4()
    fields = {
        "at": evening,
        "received_at": evening,
        "document": {},
        "fingerprint": f"{next(_numbers):064}",
    } | fields
    return Entry.objects.create(id=ident, student=student, root=root or ident, day=day, **fields)


def did(entry: Entry, part: Part | None, *reps: int, **fields) -> Result:
    """One block of an entry: so many reps of each step."""
    steps = fields.pop("steps", None)
    fields = {
        "opens": part.week.opens if part else MONDAY,
        "filed": Result.Filed.IN_WEEK if part else Result.Filed.UNPLANNED,
        "drill": part.drill if part else None,
        "position": entry.results.count(),
    } | fields
    return Result.objects.create(
        entry=entry,
        student=entry.student,
        part=part,
        steps=[{"n": n, "clean": None, "effort": None} for n in reps] if steps is None else steps,
        **fields,
    )


def log(student: Student, day: date | int, part: Part | None, *reps: int, **fields) -> Result:
    """A session of one block."""
    return did(make_entry(student, day), part, *reps, **fields)


def day(offset: int):
    return MONDAY + timedelta(days=offset)


def at(offset: int, hour: int = 18) -> datetime:
    return datetime(2031, 2, 24, hour, tzinfo=UTC) + timedelta(days=offset)


def excuse(student, first: int, last: int, **fields) -> Excusal:
    return Excusal.objects.create(
        student=student, first=day(first), last=day(last), told_by=None, **fields
    )
