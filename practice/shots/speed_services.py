"""Writing the block of speed practice: when it starts, and what is aimed at."""

from datetime import date

from django.utils import timezone

from practice.shots.models import SpeedBlock
from shared.people.access import Recordable
from shared.people.models import User


def set_block(
    *,
    student: Recordable,
    by: User,
    starts_on: date | None,
    ball_speed: float | None,
    club_speed: float | None,
) -> SpeedBlock:
    """Set the student's block anew. Speeds in metres a second, None for no aim."""
    block, _ = SpeedBlock.objects.update_or_create(
        student=student,
        defaults={
            "starts_on": starts_on,
            "ball_speed": ball_speed,
            "club_speed": club_speed,
            "set_by": by,
            "set_at": timezone.now(),
        },
    )
    return block
