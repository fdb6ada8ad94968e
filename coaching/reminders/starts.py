"""When a student really starts to practise, read from what was logged."""

from datetime import datetime, time, timedelta

from coaching.reminders.usual_hour import usual_start
from practice.log.models import Entry
from shared.people.models import Student

LOOKS_BACK = timedelta(days=28)
MOST = 60


def usual(student: Student, now: datetime) -> time | None:
    """By the clock of the phone, the minutes that it took before. One query."""
    entries = Entry.objects.filter(
        student=student,
        counts=True,
        from_memory=False,
        kind__in=(Entry.Kind.LOG, Entry.Kind.CHANGE),
        at__gte=now - LOOKS_BACK,
        day__gte=(now - LOOKS_BACK).date(),
    )
    rows = entries.order_by("-at").values_list("at", "utc_offset_minutes", "minutes")[:MOST]
    return usual_start([_start(*row) for row in rows])


def _start(at: datetime, offset: int, minutes: float | None) -> time:
    return (at + timedelta(minutes=offset - (minutes or 0))).time()
