"""Lines made anew once time has changed them, so that the morning's first look finds them made."""

from datetime import datetime

from django.db.models import QuerySet
from django.utils import timezone

from coaching.board.kept import judge
from coaching.board.models import KeptLine
from shared.jobs.sweep import sweep as run
from shared.people.access import recordable_students
from shared.people.models import Studio

AT_ONCE = 20  # Studios a sweep looks at; the rest wait for the next one.
MOST_STUDENTS = 500


def sweep(now: datetime | None = None) -> int:
    """Make the lines whose time is over. Returns of how many studios."""
    now = now or timezone.now()
    return len(
        run("lines of the board", lambda: due(now), lambda studio: tend(studio, now), most=AT_ONCE)
    )


def due(now: datetime) -> QuerySet[Studio]:
    """Studios where the turn of a day, a lesson or an evening has passed since somebody looked."""
    return Studio.objects.filter(pk__in=_over(now).values("student__studio")).order_by("pk")


def tend(studio: Studio, now: datetime) -> None:
    """Judge these, and forget what was said of those whom nobody may look at any more."""
    over = _over(now).filter(student__studio=studio)
    seen = recordable_students().values("pk")
    over.exclude(student__in=seen).update(judged=None, until=None, line=None)
    judge(list(over.values_list("student", flat=True)[:MOST_STUDENTS]), now)


def _over(now: datetime) -> QuerySet[KeptLine]:
    return KeptLine.objects.filter(until__lte=now)
