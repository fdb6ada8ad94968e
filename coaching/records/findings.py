"""For the owner's page: who is about to be erased."""

from collections.abc import Iterable

from django.db.models import Count, UUIDField
from django.utils.formats import date_format

from coaching.records.models import Erased, Erasure
from shared.checkup import CheckFinding
from shared.people.models import Studio
from shared.site.prepared import Prepared
from shared.site.together import Rows, together

MOST = 20


def erasures(studio: Studio) -> Iterable[CheckFinding]:
    """Those that wait, by name: the owner may know better."""
    waiting, gone = Rows(_waiting, studio=studio.pk), Rows(_gone)
    together(waiting, gone)
    for erasure in waiting.answer:
        asked = "" if erasure.asked_by_id else f" {erasure.why}"
        day = date_format(erasure.due_at, "j F Y")
        words = f"Everything of {erasure.student} goes on {day}.{asked}"
        mend = "Take a copy or keep the place: Students, or Former students, Copy or erase."
        yield CheckFinding("Erasure", words, mend)
    so_far = sum(many for (many,) in gone.answer)
    yield CheckFinding("Erasure", f"Students erased so far: {so_far}.")


_waiting = Prepared(
    lambda studio: (
        Erasure.objects.filter(student__studio=studio, taken_back_at=None)
        .select_related("student")
        .order_by("due_at")[:MOST]
    ),
    studio=UUIDField,
)
_gone = Prepared(
    lambda: (
        Erased.objects.filter(kind=Erased.Kind.STUDENT)
        .values("kind")
        .annotate(many=Count("pk"))
        .values_list("many")
    )
)
