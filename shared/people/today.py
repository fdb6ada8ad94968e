"""What day it is: where somebody practises, and for whoever reads of it."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils import timezone

from shared.kit.weeks import practice_day
from shared.people.models import Student, Studio, User


def today_of(whose: Student | Studio) -> date:
    """The practice day on this student's or studio's own clock."""
    return practice_day(timezone.now(), whose.time_zone)


def calendar_day(user: User, now: datetime) -> date:
    """The day on a coach's wall, by which lessons and 'today' go on every page of theirs. No
    student's clock moves it; it turns at midnight, three hours before a practice day does."""
    return now.astimezone(ZoneInfo(user.time_zone)).date()
