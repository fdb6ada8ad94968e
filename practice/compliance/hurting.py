"""With which drills something hurts now, as it is read: nothing raises them or puts them first,
and they go before what does no harm."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date
from uuid import UUID

from practice.care.limits import Limits
from practice.compliance.dates import first_week_of
from practice.log.models import Result
from shared.people.models import Student


def hurting(student: Student, drills: Sequence[UUID], limits: Limits) -> frozenset[UUID]:
    """Those with which something hurt on both of the last days that they were done.

    `drills` in the order of the week: what was told of no drill is the first one's. One query
    after a pain, else none.
    """
    return hurting_of_many(drills, {student.pk: limits})[student.pk]


def hurting_of_many(
    drills: Sequence[UUID], limits: Mapping[UUID, Limits]
) -> dict[UUID, frozenset[UUID]]:
    """The same of many students, by id, for the same drills. As many queries."""
    done = _days_done({pk: each for pk, each in limits.items() if each.pains}, drills)
    return {
        student: frozenset(
            drill
            for drill, days in done[student].items()
            if each.hurts_with(drill, days, is_first=drill == drills[0])
        )
        for student, each in limits.items()
    }


def _days_done(
    pained: Mapping[UUID, Limits], drills: Sequence[UUID]
) -> dict[UUID, dict[UUID, list[date]]]:
    """By student and drill the days on which it was done, the latest first. One query, or none."""
    found: dict[UUID, dict[UUID, list[date]]] = defaultdict(lambda: defaultdict(list))
    if not pained or not drills:
        return found
    since = min(day for each in pained.values() for day, _ in each.pains)
    rows = Result.objects.filter(
        student__in=list(pained), drill__in=list(drills), opens__gte=first_week_of(since),
        entry__counts=True, entry__day__gte=since,
    )  # fmt: skip
    columns = ("student", "drill", "entry__day")
    for student, drill, day in rows.order_by("-entry__day").values_list(*columns).distinct():
        found[student][drill].append(day)
    return found
