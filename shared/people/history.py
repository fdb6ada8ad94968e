"""How students' rows stood at a moment: kept by whoever changes them, read when looking back."""

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from django.db.models import QuerySet
from django.utils import timezone

from shared.people.models import Student, StudentWas

KEPT = ("time_zone", "next_lesson", "next_event", "next_event_name")


def remember(students: QuerySet[Student]) -> None:
    """Keep how these students stand, right before a change of it. Callers bring the transaction."""
    now = timezone.now()
    StudentWas.objects.bulk_create(
        StudentWas(student_id=row.pop("pk"), until=now, **row)
        for row in students.values("pk", *KEPT)
    )


def as_known_at(students: Iterable[UUID], at: datetime) -> dict[UUID, StudentWas]:
    """Of each student changed since, what the row said at that moment. One query."""
    later = StudentWas.objects.filter(student__in=list(students), until__gt=at)
    # The earliest change after the moment says what stood until then.
    return {was.student_id: was for was in later.order_by("-until", "-pk")}
