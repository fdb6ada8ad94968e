"""Seasons kept under a name, to start others from: their days are counted from the first.

Words about one student's season are not taken over.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from coaching.season.models import Priority, SeasonPlan, SeasonTemplate
from practice.drills.models import Drill
from shared.kit.refused import Refused
from shared.people.models import Studio, User

MOST_TEMPLATES = 30
LONGEST_NAME = 80
OF_PRIORITY = ("name", "stage", "measure", "value", "effort", "words")


@dataclass(frozen=True, slots=True)
class Copied:
    """A season to start from, with the names of the fields of a form; nothing is kept of it."""

    whose: str
    first: date
    last: date
    note: str
    phases: Sequence[Mapping[str, Any]]
    priorities: Sequence[Mapping[str, Any]]


def of_plan(plan: SeasonPlan) -> Copied:
    """Two queries."""
    phases = [
        {"name": row.name, "first": row.first, "last": row.last}
        for row in plan.phases.order_by("first")
    ]
    priorities = [
        {name: getattr(row, name) for name in OF_PRIORITY} | {"drill": row.drill_id, "by": row.by}
        for row in plan.priorities.order_by("place")
    ]
    return Copied(str(plan.student), plan.first, plan.last, plan.note, phases, priorities)


def of_template(template: SeasonTemplate, first: date) -> Copied:
    """Begun on this day. Drills that left the shelf drop out. One query."""

    def day(after: int | None) -> date | None:
        return None if after is None else first + timedelta(days=after)

    phases = [
        {"name": row["name"], "first": day(row["first"]), "last": day(row["last"])}
        for row in template.phases
    ]
    wanted = {row["drill"] for row in template.priorities if row["drill"]}
    shelf = Drill.objects.filter(pk__in=wanted, studio=template.studio_id, archived_at=None)
    drills = {str(pk): pk for pk in shelf.values_list("pk", flat=True)}
    priorities = [
        row | {"drill": drills.get(row["drill"]), "by": day(row["by"])}
        for row in template.priorities
    ]
    last = first + timedelta(days=template.days)
    return Copied(f"the template “{template.name}”", first, last, "", phases, priorities)


@transaction.atomic
def save_template(*, plan: SeasonPlan, name: str, by: User) -> SeasonTemplate:
    """Keep the season under a name of the studio's; one of that name is replaced.

    Raises Refused.
    """
    name = " ".join(name.split())
    if not name or len(name) > LONGEST_NAME:
        raise Refused(f"Give it a name of 1 to {LONGEST_NAME} letters.")
    studio = plan.student.studio
    others = SeasonTemplate.objects.filter(studio=studio).exclude(name=name)
    if others.count() >= MOST_TEMPLATES:
        raise Refused(f"A studio keeps up to {MOST_TEMPLATES} seasons. Delete one first.")

    def after(day: date | None) -> int | None:
        return None if day is None else (day - plan.first).days

    kept = {
        "days": (plan.last - plan.first).days,
        "phases": [
            {"name": row.name, "first": after(row.first), "last": after(row.last)}
            for row in plan.phases.order_by("first")
        ],
        "priorities": [_record(row, after(row.by)) for row in plan.priorities.order_by("place")],
        "author": by,
        "saved_at": timezone.now(),
    }
    template, _ = SeasonTemplate.objects.update_or_create(studio=studio, name=name, defaults=kept)
    return template


def _record(row: Priority, by: int | None) -> dict[str, Any]:
    own = {name: getattr(row, name) for name in OF_PRIORITY}
    return own | {"drill": str(row.drill_id) if row.drill_id else None, "by": by}


def templates_of(studio: Studio) -> list[SeasonTemplate]:
    """By name. One query."""
    return list(SeasonTemplate.objects.filter(studio=studio).order_by("name")[:MOST_TEMPLATES])


def delete_template(*, template: SeasonTemplate) -> None:
    """Seasons begun from it keep what they have."""
    SeasonTemplate.objects.filter(pk=template.pk).delete()
