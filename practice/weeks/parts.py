"""How the values of a part become its row: checked, filled in, and fixed when sent."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from django.utils import timezone

from practice.drills import dose
from practice.drills.models import Drill, DrillRevision
from practice.weeks import plan
from practice.weeks.models import Part
from practice.weeks.places import PLACE_WORDS
from practice.weeks.plan import PartSpec
from shared.kit.refused import Refused
from shared.people.models import Student


def wording(drill: Drill) -> DrillRevision:
    """The drill's revision of now."""
    if drill.current is None:
        raise Refused("This drill has no words yet. Choose another.")
    return drill.current


def drills_for(student: Student, specs: Sequence[PartSpec]) -> dict[UUID, Drill]:
    """The drills of these parts. Raises Refused for one that is not on the studio's shelf."""
    if len(specs) > plan.MOST_PARTS:
        raise Refused(f"At most {plan.MOST_PARTS} parts in one week.")
    wanted = {spec.drill for spec in specs}
    drills = Drill.objects.filter(pk__in=wanted, studio=student.studio_id, current__isnull=False)
    found = {
        drill.pk: drill for drill in drills.select_related("current").prefetch_related("swaps")
    }
    if wanted - set(found):
        raise Refused("One of these drills is not on your shelf. Choose another.")
    for drill in found.values():
        _check_age(student, drill)
    return found


def areas_of(drills: Mapping[UUID, Drill]) -> dict[UUID, str]:
    """What limits ask of each drill."""
    return {pk: wording(drill).area for pk, drill in drills.items()}


def _check_age(student: Student, drill: Drill) -> None:
    least = wording(drill).min_age
    if least and student.age_at_most(least - 1):
        raise Refused(f"“{drill}” is not for anyone under {least}. Choose another drill.")


def fill(part: Part, spec: PartSpec, drill: Drill, priority: int) -> None:
    check_amounts(spec)
    part.priority, part.drill, part.revision = priority, drill, wording(drill)
    part.dose, part.sessions, part.minutes = str(spec.dose), spec.sessions, spec.minutes
    part.by_total, part.days = spec.by_total, sorted(set(spec.days))
    part.places = {str(day): place for day, place in spec.places}
    part.cue, part.note = spec.cue[:160], spec.note[:300]


def snapshot(part: Part, drill: Drill) -> None:
    """Fix what the student is asked: the drill's wording of now, its swaps, its cue."""
    part.revision = wording(drill)
    part.cue = part.cue or part.revision.cue
    part.swaps = sorted(str(swap.pk) for swap in drill.swaps.all())
    part.dose_asked, part.sessions_asked = part.dose, part.sessions


def as_draft(part: Part) -> None:
    """What `snapshot` fixed is open again. The drill's own cue is no cue of the part."""
    part.cue = "" if part.cue == part.revision.cue else part.cue
    part.swaps, part.dose_asked, part.sessions_asked = [], "", None


CHANGING = (
    "priority",
    "dose",
    "dose_asked",
    "sessions",
    "sessions_asked",
    "minutes",
    "by_total",
    "days",
)


def as_it_stands(part: Part) -> dict[str, Any]:
    """What a change of a sent part is about to replace, with the moment."""
    values = {name: getattr(part, name) for name in CHANGING}
    return {"until": timezone.now().isoformat(), **values}


def check_amounts(spec: PartSpec) -> None:
    """Raises Refused for amounts that nobody can mean."""
    if not 1 <= spec.sessions <= plan.MOST_SESSIONS:
        raise Refused(f"Set between 1 and {plan.MOST_SESSIONS} visits a week.")
    if not 0.5 <= spec.minutes <= plan.MOST_MINUTES:
        raise Refused("One visit takes from half a minute to 600 minutes.")
    if any(not 0 <= day <= 6 for day in spec.days):
        raise Refused("A week has seven days.")
    if len(set(spec.days)) > spec.sessions:
        raise Refused("More days are fixed than there are visits.")
    if any(day not in spec.days or place not in PLACE_WORDS for day, place in spec.places):
        raise Refused("A place is one of the list, on a day that is fixed.")


def spec_from_record(record: Mapping[str, Any]) -> PartSpec:
    """A part of a template as it is kept in its JSON."""
    return PartSpec(
        drill=UUID(record["drill"]),
        dose=dose.parse(record["dose"]),
        sessions=record["sessions"],
        minutes=record["minutes"],
        by_total=record.get("by_total", False),
        days=tuple(record.get("days", ())),
        cue=record.get("cue", ""),
        note=record.get("note", ""),
    )
