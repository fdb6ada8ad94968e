"""Reads of the drill shelf. Rows for templates; no model reaches a page."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, cast
from uuid import UUID

from django.db.models import Count, Q, QuerySet
from django.forms.models import model_to_dict
from django.shortcuts import get_object_or_404

from practice.drills.models import Area, Caution, Drill, DrillRevision
from practice.weeks.models import Part, Week
from shared.people import access
from shared.people.models import Studio, User

PAGE = 40


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
    """How often a drill was asked, and in how many of those weeks it was logged."""

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
    """A page of the shelf, drills before tests, and whether more follow. Four queries."""
    found = list(_found(studio, search or Search())[start : start + limit + 1])
    page = found[:limit]
    ids = [drill.pk for drill in page]
    cautions, uses = current_cautions(ids), use_of(ids)
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
        dose=now.dose,
        equipment=now.equipment,
        places=now.places,
        is_test=drill.is_test,
        min_age=now.min_age,
        caution=" ".join(str(caution) for caution in cautions),
        use=use,
    )


def current_cautions(drill_ids: Iterable[UUID]) -> dict[UUID, list[Caution]]:
    """The caution that stands on each drill: its latest version, unless withdrawn. One query."""
    standing: dict[UUID, list[Caution]] = {}
    cautions = Caution.objects.filter(drill__in=list(drill_ids), withdrawn_at=None)
    for caution in cautions.order_by("version"):
        standing[caution.drill_id] = [caution]
    return standing


def use_of(drill_ids: Iterable[UUID]) -> dict[UUID, Use]:
    """How often each drill was asked in sent weeks. Two queries."""
    ids = list(drill_ids)
    parts = Part.objects.filter(drill__in=ids, week__state=Week.State.SENT, removed_at=None)
    logged = dict(
        parts.filter(results__entry__counts=True)
        .values("drill")
        .annotate(weeks=Count("week", distinct=True))
        .values_list("drill", "weeks")
    )
    asked = parts.values("drill").annotate(
        weeks=Count("week", distinct=True), students=Count("week__student", distinct=True)
    )
    return {
        row["drill"]: Use(row["weeks"], row["students"], logged.get(row["drill"], 0))
        for row in asked
    }


def cautions_of(drill: Drill, limit: int = 20) -> list[Caution]:
    """Every version there was, the newest first."""
    return list(drill.cautions.select_related("written_by").order_by("-version")[:limit])


def swap_choices(studio: Studio) -> QuerySet[Drill]:
    """The drills that another may be swapped for: present ones, tests not."""
    return (
        Drill.objects.filter(studio=studio, archived_at=None, is_test=False, current__isnull=False)
        .select_related("current")
        .order_by("current__name", "pk")
    )


def test_choices(studio: Studio) -> QuerySet[Drill]:
    """The tests that may tell whether a drill works: present ones."""
    return (
        Drill.objects.filter(studio=studio, archived_at=None, is_test=True, current__isnull=False)
        .select_related("current")
        .order_by("current__name", "pk")
    )


def drill_or_404(user: User, drill_id: UUID, roles: tuple[str, ...] = access.TEACHING) -> Drill:
    """A drill of a studio in which the user works in one of these roles."""
    drills = Drill.objects.filter(studio__in=access.studios_of(user, roles), current__isnull=False)
    return get_object_or_404(
        drills.select_related("current", "studio", "tested_by__current"), pk=drill_id
    )


def wording_of(drill: Drill) -> dict[str, Any]:
    """What the drill says now, as the form that changes it starts from it."""
    wording = model_to_dict(cast("DrillRevision", drill.current))
    swaps = list(drill.swaps.values_list("pk", flat=True))
    return wording | {"swaps": swaps, "tested_by": drill.tested_by_id}
