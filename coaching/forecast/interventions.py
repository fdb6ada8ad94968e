"""Writing down what somebody tried for a student."""

from uuid import UUID

from django.utils import timezone

from coaching.forecast.models import Tried
from shared.kit.refused import Refused
from shared.kit.weeks import practice_day, week_start
from shared.people.access import Recordable
from shared.people.models import User


def take_back_tried(*, tried: UUID, by: User) -> None:
    """What was not done after all."""
    Tried.objects.filter(pk=tried, by=by).delete()


def write_tried(*, student: Recordable, by: User, what: str, note: str = "") -> Tried:
    """Keep it under the student's present week. Raises Refused."""
    if what not in Tried.What.values:
        raise Refused("Say what was tried: called, no answer, or something else.")
    words = note.strip()
    if len(words) > 300:
        raise Refused("Keep it to 300 characters.")
    now = timezone.now()
    today = practice_day(now, student.time_zone)
    opens = week_start(today, student.studio.first_weekday)
    return Tried.objects.create(student=student, opens=opens, what=what, note=words, by=by, at=now)
