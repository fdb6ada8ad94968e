"""The shelf: drills as rows for templates, and how often each was asked."""

from dataclasses import dataclass
from datetime import timedelta
from typing import cast
from uuid import UUID

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery
from django.utils import timezone

from practice.drills.models import Area, Caution, Drill, DrillRevision
from practice.drills.queries import current_cautions
from practice.drills.text import typed_in_short
from practice.weeks.models import Part, Week
from practice.weeks.queries import this_opening
from shared.people import access
from shared.people.models import Studio, User

PAGE = 40
# How far back a drill's use is told: half a year says what is asked now, at the same cost for ever.
LATELY = timedelta(weeks=26)


@dataclass(frozen=True, slots=True)
class Search:
    """What the coach looks for on the shelf; everything empty finds everything."""

    words: str = ""
    area: str = ""
    equipment: str = ""
    place: str = ""
    archived: bool = False


@dataclass(frozen=True, slots=True)
class Use:
    """How often a drill was asked lately, and in how many of those weeks it was logged."""

    weeks: int = 0
    students: int = 0
    logged: int = 0


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
    """A page of the shelf, drills before tests, and whether more follow. Three queries."""
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
    if search.area in Area.values:
        drills = drills.filter(current__area=search.area)
    if search.equipment:
        drills = drills.filter(current__equipment__icontains=search.equipment)
    if search.place:
        drills = drills.filter(current__places__icontains=search.place)
    return drills.select_related("current").order_by("is_test", "current__name", "pk")


def _said_anywhere(word: str) -> Q:
    fields = ("name", "purpose", "cue", "clean_means", "setup", "equipment", "places")
    said = Q()
    for field in fields:
        said |= Q(**{f"current__{field}__icontains": word})
    return said


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
    """How often it was asked in the sent weeks of the last half year. One query."""
    return _use(drill.studio, Part.objects.filter(drill=drill)).get(drill.pk, Use())


def use_in(studio: Studio) -> dict[UUID, Use]:
    """The same of each drill. One query."""
    return _use(studio, Part.objects.all())


def _use(studio: Studio, parts: QuerySet[Part]) -> dict[UUID, Use]:
    """Of these parts, by drill.

    The weeks lead to their parts, and each part to one log of it: a value of its own, which
    no database turns into a walk through all the years of logs.
    """
    since = timezone.now().date() - LATELY
    weeks = Week.objects.filter(
        student__studio=studio, opens__gt=since, state=Week.State.SENT
    ).values("pk")
    counting = Part.objects.filter(pk=OuterRef("pk"), results__entry__counts=True).values("pk")[:1]
    asked = (
        parts.filter(week__in=weeks, removed_at=None)
        .annotate(logged=Subquery(counting))
        .values("drill")
        .annotate(
            weeks=Count("week", distinct=True),
            students=Count("week__student", distinct=True),
            logged_weeks=Count("week", distinct=True, filter=Q(logged__isnull=False)),
        )
    )
    return {row["drill"]: Use(row["weeks"], row["students"], row["logged_weeks"]) for row in asked}
