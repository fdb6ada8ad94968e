"""What day it is where somebody practises."""

from datetime import date

from django.utils import timezone

from shared.kit.weeks import practice_day
from shared.people.models import Student, Studio


def today_of(whose: Student | Studio) -> date:
    """The practice day on this student's or studio's own clock."""
    return practice_day(timezone.now(), whose.time_zone)
