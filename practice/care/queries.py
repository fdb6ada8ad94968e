"""What stands between a student and work, as it is read."""

from datetime import date, timedelta

from practice.care.limits import Work, covers
from practice.care.models import Stop
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
