"""Whose answers to the first questions no coach has looked at yet."""

from dataclasses import dataclass

from django.db.models import QuerySet
from django.urls import reverse

from coaching.intake.models import Intake
from shared.people.access import Recordable
from shared.people.models import Student

MOST_NAMED = 4


@dataclass(frozen=True, slots=True)
class Unread:
    """Some of them by name, with the page that shows the answers; how many more there are."""

    named: tuple[tuple[str, str], ...] = ()
    more: int = 0


def is_unread(student: Student) -> bool:
    """One query."""
    return Intake.objects.filter(student=student.pk, reviewed_at=None).exists()


def unread_of(students: QuerySet[Recordable]) -> Unread:
    """Of these students, who answered longest ago first. One query."""
    open_ones = Intake.objects.filter(reviewed_at=None, student__in=students)
    rows = open_ones.order_by("answered_at").values_list("student", "student__name")
    named = [(name, reverse("intake:review", args=[pk])) for pk, name in rows]
    return Unread(tuple(named[:MOST_NAMED]), max(0, len(named) - MOST_NAMED))
