"""Whose answers to the first questions no coach has looked at yet."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import DateTimeField, UUIDField
from django.urls import reverse

from coaching.intake.models import Intake
from shared.people import access
from shared.people.models import Student, User
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

MOST_NAMED = 4


@dataclass(frozen=True, slots=True)
class Unread:
    """Some of them by name, with the page that shows the answers; how many more there are."""

    named: tuple[tuple[str, str], ...] = ()
    more: int = 0


def is_unread(student: Student) -> bool:
    """One query."""
    return Intake.objects.filter(student=student.pk, reviewed_at=None).exists()


def unread_asked(user: User, now: datetime) -> Question[Unread]:
    """Of the students whose weeks the user sets, who answered longest ago first; to be asked
    with others."""
    who = access.who_plans(user, now)
    return Question(_named, Rows(_unread, **who)) if who["studios"] else Question(Unread)


def _named(rows: list[Any]) -> Unread:
    first = rows[:MOST_NAMED]
    named = tuple((name, reverse("intake:review", args=[pk])) for pk, name in first)
    return Unread(named, len(rows) - len(first))


_unread = Prepared(
    lambda studios, grown: (
        Intake.objects.filter(
            reviewed_at=None, student__in=access.taught_in(studios=[studios], grown=grown)
        )
        .order_by("answered_at")
        .values_list("student", "student__name")
    ),
    studios=UUIDField,
    grown=DateTimeField,
)
