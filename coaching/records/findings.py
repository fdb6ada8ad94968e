"""For the owner's page: who is about to be erased."""

from collections.abc import Iterable

from django.utils.formats import date_format

from coaching.records.models import Erased, Erasure
from shared.checkup import CheckFinding
from shared.people.models import Studio

MOST = 20


def erasures(studio: Studio) -> Iterable[CheckFinding]:
    """Those that wait, by name: the owner may know better."""
    waiting = Erasure.objects.filter(student__studio=studio, taken_back_at=None)
    for erasure in waiting.select_related("student").order_by("due_at")[:MOST]:
        asked = "" if erasure.asked_by_id else f" {erasure.why}"
        day = date_format(erasure.due_at, "j F Y")
        words = f"Everything of {erasure.student} goes on {day}.{asked}"
        mend = "Take a copy or keep the place: Students, or Former students, Copy or erase."
        yield CheckFinding("Erasure", words, mend)
    gone = Erased.objects.filter(kind=Erased.Kind.STUDENT).count()
    yield CheckFinding("Erasure", f"Students erased so far: {gone}.")
