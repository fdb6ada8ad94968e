"""What stands between a student and work, as it is read."""

from datetime import date, datetime, timedelta

from django.db.models import Exists, OuterRef, Q, QuerySet

from practice.care.models import PainNote, Stop
from practice.care.work import Work, covers
from shared.people.models import Student

DAY = timedelta(days=1)


def days_held(student: Student, work: Work, first: date, last: date) -> frozenset[date]:
    """Days from `first` to `last` on which a stop bore on this work; free on the day it was
    cleared. One query.
    """
    held: set[date] = set()
    rows = Stop.objects.filter(student=student, since__lte=last)
    for drill, since, cleared in rows.values_list("drill", "since", "cleared_on"):
        if covers(drill, work):
            begins, ends = max(since, first), min(cleared or last + DAY, last + DAY)
            held.update(begins + n * DAY for n in range((ends - begins).days))
    return frozenset(held)


def told_last(notes: QuerySet[PainNote], *, by: datetime | None = None) -> QuerySet[PainNote]:
    """Without what its teller said again in other words: one pain is one. `by`: as told by then."""
    at = OuterRef("told_at")
    again = PainNote.objects.exclude(pk=OuterRef("pk")).filter(
        Q(told_at__gt=at) | Q(told_at=at, entry__counts=True), entry__root=OuterRef("entry__root")
    )
    return notes.exclude(Exists(again.filter(told_at__lte=by) if by else again))
