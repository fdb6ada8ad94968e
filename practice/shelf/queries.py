"""The shelf: drills as rows for templates, and how often each was asked."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any, cast
from uuid import UUID

from django.db.models import (
    CharField,
    Count,
    DateField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    UUIDField,
)
from django.db.models.functions import Cast, Concat
from django.utils import timezone

from practice.drills.models import Area, Caution, Drill, DrillRevision
from practice.drills.queries import current_cautions
from practice.drills.text import typed_in_short
from practice.weeks.models import Part, Week
from practice.weeks.queries import this_opening
from shared.people import access
from shared.people.models import Student, Studio, User
from shared.site.prepared import Prepared

PAGE = 40
# How far back a drill's use is told: half a year says what is asked now, at the same cost for ever.
LATELY = timedelta(weeks=26)


@dataclass(frozen=True, slots=True)
class Search:
    """What the coach looks for on the shelf; everything empty finds everything."""

    words: str = ""
    archived: bool = False


@dataclass(frozen=True, slots=True)
class Use:
    """How often a drill was asked lately, and in how many of those weeks it was logged; of a
    test, on how many days it was taken, each student's counted apart, and by how many."""

    weeks: int = 0
    students: int = 0
    logged: int = 0
    days: int = 0
    takers: int = 0


@dataclass(frozen=True, slots=True)
class ShelfRow:
    """What one line of templates/drills/shelf.html needs, and nothing else."""

    drill_id: UUID
    name: str
    area: str
    purpose: str
    dose: str
    equipment: str
    places: str
    is_test: bool
    min_age: int | None
    caution: str
    use: Use


def shelf(
    studio: Studio, search: Search | None = None, *, start: int = 0, limit: int = PAGE
) -> tuple[list[ShelfRow], bool]:
    """A page of the shelf, drills before tests, and whether more follow. Five queries."""
    found = list(_found(studio, search or Search())[start : start + limit + 1])
    page = found[:limit]
    ids = [drill.pk for drill in page]
    cautions, uses = current_cautions(ids), use_in(studio)
    rows = [_row(drill, cautions.get(drill.pk, []), uses.get(drill.pk, Use())) for drill in page]
    return rows, len(found) > limit


def _found(studio: Studio, search: Search) -> QuerySet[Drill]:
    drills = Drill.objects.filter(
        studio=studio, current__isnull=False, archived_at__isnull=not search.archived
    )
    for word in search.words.split()[:8]:
        drills = drills.filter(_said_anywhere(word))
    return drills.select_related("current").order_by("is_test", "current__name", "pk")


def _said_anywhere(word: str) -> Q:
    fields = ("name", "purpose", "cue", "clean_means", "setup", "equipment", "places")
    said = Q()
    for field in fields:
        said |= Q(**{f"current__{field}__icontains": word})
    areas = [area for area in Area if word.lower() in str(area.label).lower()]
    return said | Q(current__area__in=areas)


def _row(drill: Drill, cautions: list[Caution], use: Use) -> ShelfRow:
    now = cast("DrillRevision", drill.current)  # _found asks for drills that say something.
    return ShelfRow(
        drill_id=drill.pk,
        name=now.name,
        area=now.get_area_display(),
        purpose=now.purpose,
        dose=typed_in_short(now.dose),
        equipment=now.equipment,
        places=now.places,
        is_test=drill.is_test,
        min_age=now.min_age,
        caution=" ".join(str(caution) for caution in cautions),
        use=use,
    )


def open_weeks_with(user: User, drill: Drill) -> list[str]:
    """Whose sent week still asks for this drill, of the students this user plans. One query."""
    # Each student's week turns on their own clock: up to a day after the calendar here, never more.
    since = timezone.now().date() - timedelta(days=8)
    parts = Part.objects.filter(
        drill=drill,
        removed_at=None,
        week__state=Week.State.SENT,
        week__opens__gte=since,
        week__student__in=access.students_planned_by(user),
    )
    rows = parts.select_related("week__student__studio").order_by("week__student__name")
    weeks = [part.week for part in rows]
    open_now = [week for week in weeks if week.opens >= this_opening(week.student)]
    return list(dict.fromkeys(week.student.name for week in open_now))


def use_of(drill: Drill) -> Use:
    """How often it was asked in the sent weeks of the last half year. One query; of a test,
    three."""
    since = timezone.now().date() - LATELY
    found = _uses(_asked(drill.studio_id, since).filter(drill=drill))
    asked = found.get(drill.pk, Use())
    return _with_days(asked, drill.pk, _taken(drill.studio)) if drill.is_test else asked


def use_in(studio: Studio) -> dict[UUID, Use]:
    """The same of each drill. Three queries."""
    since = timezone.now().date() - LATELY
    asked, taken = _uses(_asked_now(studio=studio.pk, since=since)), _taken(studio)
    return {pk: _with_days(asked.get(pk, Use()), pk, taken) for pk in {*asked, *taken}}


def _with_days(use: Use, drill: UUID, taken: Mapping[UUID, tuple[int, int]]) -> Use:
    days, takers = taken.get(drill, (0, 0))
    return replace(use, days=days, takers=takers)


def _taken(studio: Studio) -> dict[UUID, tuple[int, int]]:
    """Test days of the last half year and students, by test: measured, or counted by a coach."""
    since = timezone.now().date() - LATELY
    rows = [row for days in (_measured, _counted) for row in days(studio=studio.pk, since=since)]
    return {drill: (days, takers) for drill, days, takers in rows}


def _days_of(kept: str) -> Prepared:
    """`kept`: by which name a student's tests are kept. One query."""
    day = Concat(Cast("pk", CharField()), Cast(f"{kept}__day", CharField()))

    def days(studio: UUID, since: date) -> QuerySet[Student, Any]:
        of = {f"{kept}__counts": True, f"{kept}__drill__is_test": True, f"{kept}__day__gt": since}
        rows = Student.objects.filter(studio=studio, **of).values_list(f"{kept}__drill")
        return rows.annotate(days=Count(day, distinct=True), takers=Count("pk", distinct=True))

    return Prepared(days, studio=UUIDField, since=DateField)


_measured, _counted = _days_of("sittings"), _days_of("checked")


def _asked(studio: UUID, since: date) -> QuerySet[Part, Any]:
    """By student and drill, in how many weeks it was asked and in how many of them logged.

    The students lead to their weeks and these to their parts, in the order in which they are
    counted; and each part leads to one log of it: a value of its own, which no database turns
    into a walk through all the years of logs.
    """
    counting = Part.objects.filter(pk=OuterRef("pk"), results__entry__counts=True).values("pk")[:1]
    sent = {"week__student__studio": studio, "week__opens__gt": since}
    asked = Part.objects.filter(removed_at=None, week__state=Week.State.SENT, **sent)
    logged = Count("week", distinct=True, filter=Q(logged__isnull=False))
    return (
        asked.annotate(logged=Subquery(counting))
        .values("week__student", "drill")
        .annotate(weeks=Count("week", distinct=True), logged_weeks=logged)
        .values_list("drill", "weeks", "logged_weeks")
    )


_asked_now = Prepared(_asked, studio=UUIDField, since=DateField)


def _uses(rows: Iterable[tuple[UUID, int, int]]) -> dict[UUID, Use]:
    """By drill; a row is of one student."""
    uses: dict[UUID, Use] = defaultdict(Use)
    for drill, weeks, logged in rows:
        use = uses[drill]
        uses[drill] = Use(use.weeks + weeks, use.students + 1, use.logged + logged)
    return dict(uses)
