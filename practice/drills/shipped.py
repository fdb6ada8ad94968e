"""The drills and tests that ship with the app, copied into each new studio."""

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from django.db import transaction

from practice.drills.models import Caution, Drill, DrillRevision
from shared.people.models import Studio, User

SOURCE = Path(__file__).with_name("shipped.toml")
NOT_WORDING = {"slug", "swaps", "tested_by", "caution", "is_test"}


@cache
def shipped() -> tuple[dict[str, Any], ...]:
    """Every drill and test of the file, as written there, with `is_test`."""
    data = tomllib.loads(SOURCE.read_text(encoding="utf-8"))
    return tuple(
        row | {"is_test": kind == "test"} for kind in ("drill", "test") for row in data[kind]
    )


@transaction.atomic
def stock_shelf(studio: Studio, user: User | None) -> None:
    """Copy every shipped drill the studio has not had yet; safe to repeat.

    A drill that the studio has changed or put away stays as it is. The number
    of queries does not depend on the number of drills.
    """
    had = set(
        Drill.objects.filter(studio=studio)
        .exclude(shipped_as="")
        .values_list("shipped_as", flat=True)
    )
    rows = [row for row in shipped() if row["slug"] not in had]
    if not rows:
        return
    drills = {
        row["slug"]: Drill(studio=studio, shipped_as=row["slug"], is_test=row["is_test"])
        for row in rows
    }
    Drill.objects.bulk_create(drills.values())
    _write(rows, drills, user)
    _allow_swaps(rows, drills)
    _name_tests(rows, drills)


def _write(rows: list[dict[str, Any]], drills: dict[str, Drill], user: User | None) -> None:
    """The first revision of each drill, and its caution."""
    for row in rows:
        wording = {name: value for name, value in row.items() if name not in NOT_WORDING}
        drill = drills[row["slug"]]
        drill.current = DrillRevision(drill=drill, written_by=user, **wording)
    DrillRevision.objects.bulk_create(drill.current for drill in drills.values() if drill.current)
    Drill.objects.bulk_update(drills.values(), ["current"])
    Caution.objects.bulk_create(
        Caution(drill=drills[row["slug"]], written_by=user, **row["caution"])
        for row in rows
        if "caution" in row
    )


def _allow_swaps(rows: list[dict[str, Any]], drills: dict[str, Drill]) -> None:
    swap = Drill.swaps.through
    swap.objects.bulk_create(
        swap(from_drill=drills[row["slug"]], to_drill=drills[slug])
        for row in rows
        for slug in row.get("swaps", ())
        if slug in drills
    )


def _name_tests(rows: list[dict[str, Any]], drills: dict[str, Drill]) -> None:
    tested = [drills[row["slug"]] for row in rows if row.get("tested_by") in drills]
    for row in rows:
        if row.get("tested_by") in drills:
            drills[row["slug"]].tested_by = drills[row["tested_by"]]
    Drill.objects.bulk_update(tested, ["tested_by"])
