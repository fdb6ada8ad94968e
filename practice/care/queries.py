"""What stands between a student and work, as it is read."""

from collections.abc import Iterable
from datetime import date, timedelta
from uuid import UUID

from django.db.models import UUIDField
from django.utils import timezone

from practice.care.limits import Limits, Stopped, Work, covers
from practice.care.models import Stop
from shared.people.models import Student
from shared.site.prepared import Prepared

DAY = timedelta(days=1)
_standing = Prepared(
    lambda students: (
        Stop.objects.filter(student__in=[students], cleared_at=None)
        .order_by("since", "pk")
        .values_list("pk", "student", "drill", "drill__current__name", "since")
    ),
    students=UUIDField,
)


def limits_of(student: Student) -> Limits:
    """What this student may not do now. One query."""
    return limits_of_many([student])[student.pk]


def limits_of_many(students: Iterable[Student]) -> dict[UUID, Limits]:
    """The same of many, by student id. One query."""
    students = list(students)
    stops: dict[UUID, list[Stopped]] = {student.pk: [] for student in students}
    for pk, student, drill, name, since in _standing(students=list(stops)) if stops else ():
        stops[student].append(Stopped(pk, drill, (name or "the drill") if drill else "", since))
    return {
        student.pk: Limits(student.pk, tuple(stops[student.pk]), _youngest(student))
        for student in students
    }


def days_held(student: Student, work: Work, first: date, last: date) -> frozenset[date]:
    """Days from `first` to `last` on which a stop bore on this work; free on the day it was
    cleared. One query.
    """
    held: set[date] = set()
    rows = Stop.objects.filter(student=student, since__lte=last)
    for drill, since, cleared in rows.values_list("drill", "since", "cleared_on"):
        if covers(drill, work):
            begins, ends = max(since, first), min(cleared or last + DAY, last + DAY)
            held.update(begins + n * DAY for n in range((ends - begins).days))
    return frozenset(held)


def _youngest(student: Student) -> int | None:
    """In a year of birth alone there are two ages: in doubt, the younger."""
    if student.born_year is None:
        return None
    return timezone.now().year - student.born_year - 1
