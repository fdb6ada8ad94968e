"""The weeks that ship with the app, copied as templates into each new studio."""

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from practice.drills.dose import parse
from practice.drills.models import Drill, DrillRevision
from practice.weeks.models import WeekTemplate
from practice.weeks.plan import PartSpec
from practice.weeks.templates import record_of
from shared.people.models import Studio, User

SOURCE = Path(__file__).with_name("starter.toml")


@cache
def starter_weeks() -> tuple[dict[str, Any], ...]:
    """Every week of the file, as written there: a name, and parts by the drill's slug."""
    return tuple(tomllib.loads(SOURCE.read_text(encoding="utf-8"))["week"])


def stock_templates(studio: Studio, user: User) -> None:
    """Copy the starter weeks into a studio that has no template yet. Three queries.

    Its shelf must be stocked; a part whose drill it lacks is left out.
    """
    if WeekTemplate.objects.filter(studio=studio).exists():
        return
    drills = Drill.objects.filter(studio=studio, current__isnull=False).exclude(shipped_as="")
    by_slug = {drill.shipped_as: drill for drill in drills.select_related("current")}
    WeekTemplate.objects.bulk_create(
        WeekTemplate(
            studio=studio,
            name=week["name"],
            author=user,
            parts=[
                record_of(_spec(part, drill, drill.current))
                for part in week["parts"]
                if (drill := by_slug.get(part["drill"])) and drill.current
            ],
        )
        for week in starter_weeks()
    )


def _spec(part: dict[str, Any], drill: Drill, words: DrillRevision) -> PartSpec:
    dose = parse(part["dose"])
    return PartSpec(
        drill=drill.pk,
        dose=dose,
        sessions=part["sessions"],
        minutes=dose.minutes(words.seconds_per_rep),
        note=part.get("note", ""),
    )
