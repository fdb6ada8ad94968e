"""Where a coach starts: at today's lessons while one is near or running."""

from datetime import datetime, timedelta

from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from coaching.lessons.models import Lesson
from coaching.lessons.queries import ON_FOR
from shared.people.models import User

# Our own choice: the next one is in the coach's mind so long before it begins,
# and one that was not begun may still be for an hour after its time.
AHEAD, AGO = timedelta(hours=3), timedelta(hours=1)


def landing(user: User) -> str:
    """The address of today's lessons, or '' for wherever else work starts. One query."""
    return reverse("lessons:next_up") if has_lesson_near(user, timezone.now()) else ""


def has_lesson_near(user: User, now: datetime) -> bool:
    near = Q(state=Lesson.State.PLANNED, at__range=(now - AGO, now + AHEAD))
    running = Q(state=Lesson.State.OPEN, opened_at__gte=now - ON_FOR)
    return Lesson.objects.filter(near | running, coach=user).exists()
