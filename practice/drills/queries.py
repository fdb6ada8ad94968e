"""Reads of the drill shelf. Rows for templates; no model reaches a page."""

from collections.abc import Iterable
from typing import Any, cast
from uuid import UUID

from django.db.models import QuerySet
from django.forms.models import model_to_dict
from django.shortcuts import get_object_or_404

from practice.drills.models import Caution, Drill, DrillRevision
from shared.people import access
from shared.people.models import Studio, User


def current_cautions(drill_ids: Iterable[UUID]) -> dict[UUID, list[Caution]]:
    """The caution that stands on each drill: its latest version, unless withdrawn. One query."""
    standing: dict[UUID, list[Caution]] = {}
    cautions = Caution.objects.filter(drill__in=list(drill_ids), withdrawn_at=None)
    for caution in cautions.order_by("version"):
        standing[caution.drill_id] = [caution]
    return standing


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


def with_tests(ids: Iterable[UUID]) -> QuerySet[Drill]:
    """Drills that have a test, with its words. One query."""
    tested = Drill.objects.filter(pk__in=list(ids), tested_by__current__isnull=False)
    return tested.select_related("current", "tested_by__current").order_by("current__name")


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
