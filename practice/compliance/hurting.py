"""With which drills something hurts now, as it is read: nothing raises them or puts them first,
and they go before what does no harm."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from uuid import UUID

from django.db.models import DateField, UUIDField

from practice.care.limits import Limits
from practice.care.models import PainNote
from practice.compliance.dates import first_week_of
from practice.compliance.limits import PAINS
from practice.log.models import Result
from practice.weeks.models import Week
from practice.weeks.queries import live_parts, this_opening
from shared.people.models import Student
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

DaysDone = dict[UUID, list[date]]

WEEKS_BACK = timedelta(weeks=4)  # As far as the board looks for what is asked.


def hurting(student: Student, drills: Sequence[UUID], limits: Limits) -> frozenset[UUID]:
    """Those with which something hurt on both of the last days that they were done.

    `drills` in the order of the week: what was told of no drill is the first one's. One query
    after a pain, else none.
    """
    return hurting_of_many(drills, {student.pk: limits})[student.pk]


def hurting_on(drills: Sequence[UUID], limits: Limits, done: DaysDone) -> frozenset[UUID]:
    """The same by the days on which each drill was done, as they were asked for with others."""
    since = min((day for day, _ in limits.pains), default=date.max)
    return frozenset(
        drill
        for drill in drills
        if (days := [day for day in done.get(drill, ()) if day >= since])
        and limits.hurts_with(drill, days, is_first=drill == drills[0])
    )


def days_done_asked(student: Student) -> Question[DaysDone]:
    """Of a student who told pain, the days on which each drill was done, the latest first."""
    since = this_opening(student) - PAINS
    return Question(
        _by_drill, Rows(_done, student=student.pk, since=since, weeks=first_week_of(since))
    )


def _by_drill(rows: Iterable[tuple[UUID, date]]) -> DaysDone:
    found: DaysDone = defaultdict(list)
    for drill, day in rows:
        found[drill].append(day)
    return found


_done = Prepared(
    lambda student, since, weeks: (
        Result.objects.filter(
            student__in=PainNote.objects.filter(
                student=student, level__gt=0, day__gte=since
            ).values("student"),
            drill__isnull=False,
            opens__gte=weeks,
            entry__counts=True,
            entry__day__gte=since,
        )
        .order_by("-entry__day")
        .values_list("drill", "entry__day")
        .distinct()
    ),
    student=UUIDField,
    since=DateField,
    weeks=DateField,
)


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


def left_alone(students: Iterable[Student], limits: Mapping[UUID, Limits]) -> frozenset[UUID]:
    """Students whose limits say nothing of hard swings yet, and with whom something hurt on both
    of the last days that part 1 was done. Two queries after pain on so many days, else none.
    """
    now = {each.pk: this_opening(each) for each in students if limits[each.pk].may_ask_first}
    if not now:
        return frozenset()
    first = _first_parts(now)
    done = _days_done({pk: limits[pk] for pk in first}, list(set(first.values())))
    return frozenset(pk for pk, drill in first.items() if limits[pk].hurt_on(done[pk][drill]))


def _first_parts(now: Mapping[UUID, date]) -> dict[UUID, UUID]:
    """The drill of part 1 of the latest week that has opened, by student. One query."""
    parts = live_parts().filter(
        week__student__in=now, week__state=Week.State.SENT,
        week__opens__range=(min(now.values()) - WEEKS_BACK, max(now.values())),
    )  # fmt: skip
    rows = parts.order_by("-week__opens", "priority", "added_at")
    found: dict[UUID, UUID] = {}
    for student, opens, drill in rows.values_list("week__student", "week__opens", "drill"):
        if opens <= now[student]:
            found.setdefault(student, drill)
    return found


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
