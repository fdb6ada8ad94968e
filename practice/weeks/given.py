"""Whether a sent week, as it stands now, has reached the student's side."""

from collections.abc import Iterable
from functools import reduce
from operator import or_

from django.db.models import F, Q, QuerySet

from practice.weeks.models import Week


def is_new(week: Week) -> bool:
    """Whether this sent week has not been handed over as it was read."""
    return (week.given_revision or 0) < week.revision


def note_given(weeks: Iterable[Week]) -> bool:
    """Keep that these sent weeks are handed over as they stand, to a phone or on a page. False
    if one was changed or taken back since it was read: then read again. One query, and none
    where all were handed over before.
    """
    fresh = [week for week in weeks if is_new(week)]
    if not fresh:
        return True
    as_read = reduce(or_, (Q(pk=week.pk, revision=week.revision) for week in fresh))
    noted = Week.objects.filter(as_read, state=Week.State.SENT)
    return noted.update(given_revision=F("revision")) == len(fresh)


def not_given(weeks: QuerySet[Week]) -> QuerySet[Week]:
    """Those of which nobody has the present revision."""
    return weeks.filter(Q(given_revision=None) | Q(given_revision__lt=F("revision")))
