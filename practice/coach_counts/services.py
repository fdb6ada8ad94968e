"""Keeping and taking back what a coach counted."""

from datetime import date
from uuid import UUID

from practice.coach_counts.models import CheckedCount
from practice.drills.models import Drill
from shared.kit.refused import Refused
from shared.people.access import Recordable
from shared.people.models import User


def keep_count(
    *,
    student: Recordable,
    by: User,
    count_id: UUID,
    drill: Drill,
    effort: int,
    reps: int,
    clean_reps: int,
    own_clean_reps: int | None,
    day: date,
    own_reps: int | None = None,
) -> CheckedCount:
    """A count; the same id again changes nothing. Raises Refused."""
    kept, _ = CheckedCount.objects.get_or_create(
        pk=count_id,
        defaults={
            "student": student,
            "drill": drill,
            "effort": effort,
            "reps": reps,
            "clean_reps": clean_reps,
            "own_reps": own_reps,
            "own_clean_reps": own_clean_reps,
            "day": day,
            "by": by,
        },
    )
    if kept.student_id != student.pk:
        raise Refused("This id is taken. Make a new one and send again.")
    return kept


def put_count(
    *,
    student: Recordable,
    by: User,
    count_id: UUID,
    drill: Drill,
    effort: int,
    reps: int,
    clean_reps: int,
    day: date,
) -> None:
    """A count that is still being made, ball by ball: the same id again puts it right."""
    said = {"drill": drill, "effort": effort, "reps": reps, "clean_reps": clean_reps, "day": day}
    CheckedCount.objects.update_or_create(
        pk=count_id, student=student, defaults={**said, "by": by, "counts": True}
    )


def take_back(*, count_id: UUID) -> None:
    CheckedCount.objects.filter(pk=count_id).update(counts=False)
