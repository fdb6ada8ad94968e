"""A week that was sent, or a change of one, taken back while the student does not have it."""

import json
from collections.abc import Callable, Collection
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from practice.compliance.limits import limits_of
from practice.compliance.tally import keep, take_turns
from practice.log.models import Result
from practice.weeks import queries
from practice.weeks.given import not_given
from practice.weeks.models import Part, Week
from practice.weeks.parts import CHANGING, as_draft
from practice.weeks.plan import PartSpec
from shared.kit.refused import Refused
from shared.people import access

# What else tells people of a week: it calls off what waits of one that is a draft now, and names
# whom it told since that instant.
told_of: list[Callable[[Week, datetime], Collection[str]]] = []
OF_PART = (*CHANGING, "places", "cue", "note", "revision_id")


@transaction.atomic
def take_back_week(*, week_id: UUID) -> tuple[Week, list[str]]:
    """A sent week is a draft again; who was told of it meanwhile. Raises Refused."""
    week = _unseen(week_id)
    take_turns(access.recordable(week.student))
    if week.sent_at is None or week.amended_at is not None:
        raise Refused("The week was changed since it was sent. It stays.")
    if Result.objects.filter(part__week=week).exists():
        raise Refused(f"{week.student.name} has logged practice on it. Send a change instead.")
    for part in Part.objects.filter(week=week).select_related("revision"):
        as_draft(part)
        part.save()
    sent_at = week.sent_at
    week.state, week.sent_at, week.published_on = Week.State.DRAFT, None, None
    week.save(update_fields=["state", "sent_at", "published_on"])
    keep(week.student, [week.opens])
    return week, _told(week, sent_at)


def as_it_is(week: Week) -> str:
    """What a change of the sent week is about to replace, to be brought back by."""
    parts = [
        {"pk": part.pk, "n": len(part.before), **{name: getattr(part, name) for name in OF_PART}}
        for part in queries.standing_parts(week)
    ]
    was = {"revision": week.revision, "note": week.note, "at": week.amended_at, "parts": parts}
    return json.dumps(was, default=_said)


def _said(value: UUID | datetime) -> str:
    return value.isoformat() if isinstance(value, datetime) else str(value)


@transaction.atomic
def take_back_change(*, week_id: UUID, was: str) -> tuple[Week, list[str]]:
    """The week stands again as `was` says; who was told of it. Raises Refused."""
    week, before = _unseen(week_id), json.loads(was)
    take_turns(access.recordable(week.student))
    if week.revision != before["revision"] + 1 or week.amended_at is None:
        raise Refused("The week was changed again, or taken back. It stays as it is.")
    changed_at = week.amended_at
    if Result.objects.filter(part__week=week, entry__received_at__gte=changed_at).exists():
        raise Refused(f"{week.student.name} has logged practice since. Change the week again.")
    standing = queries.specs_of(week)
    _bring_back(week, before["parts"])
    _check_limits(week, standing)
    week.revision, week.note = before["revision"], before["note"]
    week.amended_at = datetime.fromisoformat(before["at"]) if before["at"] else None
    week.save(update_fields=["revision", "note", "amended_at"])
    keep(week.student, [week.opens])
    return week, _told(week, changed_at)


def _bring_back(week: Week, rows: list[dict[str, Any]]) -> None:
    """What the change began goes; what it closed or changed stands as it stood."""
    Part.objects.filter(week=week, removed_at=None).exclude(pk__in=[r["pk"] for r in rows]).delete()
    parts = Part.objects.filter(week=week).in_bulk()
    for row in rows:
        part = parts[UUID(row["pk"])]
        part.removed_at, part.before = None, part.before[: row["n"]]
        for name in OF_PART:
            setattr(part, name, row[name])
        part.save()


def _check_limits(week: Week, standing: list[PartSpec]) -> None:
    """What was stopped meanwhile comes back to no phone; what a coach asked before does."""
    parts = queries.live_parts().filter(week=week)
    areas = {part.drill_id: part.revision.area for part in parts}
    specs = [queries.spec_of(part) for part in parts]
    limits_of(week.student).admit(specs, areas, standing, in_spite=True)


def _unseen(week_id: UUID) -> Week:
    """The sent week, held; nobody of the student's side has it as it stands."""
    found = Week.objects.select_for_update(of=("self",)).select_related("student__studio")
    week = found.filter(pk=week_id, state=Week.State.SENT).first()
    if week is None:
        raise Refused("This week is a draft already.")
    if not not_given(Week.objects.filter(pk=week.pk)).exists():
        raise Refused(f"It has reached {week.student.name} already. Send a change instead.")
    return week


def _told(week: Week, since: datetime) -> list[str]:
    return [name for tell in told_of for name in tell(week, since)]
