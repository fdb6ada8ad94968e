"""Parts of an earlier week or a template, without what is stopped for the student."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from practice.care.limits import Limits
from practice.drills.models import Drill
from practice.weeks import queries
from practice.weeks.models import Week, WeekTemplate
from practice.weeks.parts import spec_from_record
from practice.weeks.plan import PartSpec
from shared.kit.refused import Refused
from shared.people.models import Student, Studio


@dataclass(frozen=True, slots=True)
class Source:
    """The parts of a week or a template as new parts, with name and area of their drills."""

    specs: tuple[PartSpec, ...]
    names: Mapping[UUID, str]
    areas: Mapping[UUID, str]

    def for_whom(self, limits: Limits) -> tuple[list[PartSpec], list[str]]:
        """What a student may be asked of it, and the names of what is not for now."""
        free, held = limits.split(self.specs, self.areas)
        return free, list(dict.fromkeys(self.names[spec.drill] for spec in held))


def parts_from(source: Week | WeekTemplate, studio: Studio) -> Source:
    """What can be taken over from it; drills that left the shelf drop out. One query, or two."""
    specs = _records(source.parts) if isinstance(source, WeekTemplate) else _copies(source)
    wanted = {spec.drill for spec in specs}
    shelf = Drill.objects.filter(pk__in=wanted, studio=studio, archived_at=None)
    rows = list(shelf.values_list("pk", "current__name", "current__area"))
    names = {pk: name or "" for pk, name, _ in rows}
    areas = {pk: area or "" for pk, _, area in rows}
    return Source(tuple(spec for spec in specs if spec.drill in names), names, areas)


def _records(records: Iterable[Mapping[str, Any]]) -> list[PartSpec]:
    return [spec_from_record(record) for record in records]


def _copies(week: Week) -> list[PartSpec]:
    return [replace(spec, id=None) for spec in queries.specs_of(week)]


def free_parts(source: Source, student: Student, limits: Limits) -> list[PartSpec]:
    """What the student may be asked of it. Raises Refused where nothing is left."""
    free, held = source.for_whom(limits)
    if held and not free:
        raise Refused(f"All of it is not for {student.name} now. Add other drills.")
    return free


def left_out_of(source: Week | WeekTemplate, student: Student, limits: Limits) -> list[str]:
    """Names of the drills of it that are not for the student now. One query, or two."""
    return parts_from(source, student.studio).for_whom(limits)[1]
