"""What is known beforehand of how much a student's days differ, from all tests of the studio."""

import json
from dataclasses import fields
from datetime import datetime
from functools import lru_cache
from typing import Any

from django.db.models import DateTimeField, OuterRef, QuerySet, Subquery, TextField, UUIDField
from django.db.models.functions import Cast
from django.utils import timezone

from practice.measures.usual import HOUSE, DaySpread, Together, UsualPrior
from practice.shots.models import StudioDays
from shared.people.models import Student
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

# Whoever changes what is kept raises this; older rows say nothing until they are made anew.
FORMAT = 2


def usual_days(student: Student, at: datetime | None = None) -> UsualPrior:
    """What is known of this student's days, now or as it stood then. One query."""
    return usual_asked(student, at).answer


def usual_asked(student: Student, at: datetime | None = None) -> Question[UsualPrior]:
    """The same, to be asked with others."""
    return Question(
        lambda rows: known_from(rows[0][0] if rows else None),
        Rows(_usual, studio=student.studio_id, at=at or timezone.now()),
    )


def latest(now: datetime) -> Subquery:
    """An annotation of Student: the same of many at once, as text for `known_from`."""
    made = StudioDays.objects.filter(studio=OuterRef("studio"), made_at__lte=now)
    return Subquery(_newest(made)[:1])


def _newest(made: QuerySet[StudioDays]) -> QuerySet[StudioDays, Any]:
    texts = made.annotate(text=Cast("figures", TextField()))
    return texts.order_by("-made_at", "-pk").values_list("text")


_usual = Prepared(
    lambda studio, at: _newest(StudioDays.objects.filter(studio=studio, made_at__lte=at))[:1],
    studio=UUIDField,
    at=DateTimeField,
)


@lru_cache(maxsize=64)
def known_from(text: str | None) -> UsualPrior:
    """From what was kept; the house's own for none, and for what is of another format."""
    kept = json.loads(text) if text else None
    if kept is None or kept["format"] != FORMAT:
        return HOUSE
    return UsualPrior(**{each.name: _spread(kept[each.name]) for each in fields(UsualPrior)})


def _spread(kept: dict[str, Any]) -> DaySpread:
    together = kept["together"]
    return DaySpread(
        **kept
        | {
            "together": Together(
                tuple(together["months"]),
                tuple(together["shifts"]),
                tuple(map(tuple, together["errors"])),
                together["spread"],
            )
        }
    )
