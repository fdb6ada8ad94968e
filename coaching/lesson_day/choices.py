"""Keeping what was suggested when a lesson was closed, and what the coach chose."""

from collections.abc import Mapping
from uuid import UUID

from django.db import transaction

from coaching.lesson_day.proposal import Proposal
from coaching.lessons.models import WHY_LENGTH, CarryKept, Lesson
from shared.people.access import recordable


@transaction.atomic
def keep_choices(
    *, lesson: Lesson, proposal: Proposal, chosen: Mapping[str, str], why: str = ""
) -> None:
    """Keep it for each part carried over; of a new part, and of a draft of this lesson's own,
    nothing is suggested. `why` belongs to whatever was chosen otherwise.
    """
    recordable(lesson.student)
    words = why.strip()[:WHY_LENGTH]
    kept = []
    for row in proposal.rows:
        suggested, choice = row.choice(""), row.choice(chosen.get(row.key, ""))
        if row.went:
            kept.append(
                CarryKept(
                    lesson=lesson,
                    drill_id=UUID(row.key),
                    opens=proposal.opens,
                    suggested=suggested.carry.value,
                    chosen=choice.carry.value,
                    reason=row.reason[:300],
                    why="" if choice.carry is suggested.carry else words,
                )
            )
    drills = [each.drill_id for each in kept]
    CarryKept.objects.filter(lesson=lesson, drill__in=drills).delete()
    CarryKept.objects.bulk_create(kept)
