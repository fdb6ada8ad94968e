"""Everything that writes a week. Each command is atomic and can be repeated.

A week that was sent is a promise: what was logged to it stays attached, a cut
counts at once, and its tally is recomputed in the same transaction.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from practice.care.copied import ForWhom, parts_from, something_of
from practice.care.limits import Admitted, Limits
from practice.compliance.hurting import days_done_asked, hurting, hurting_on
from practice.compliance.limits import limits_asked, limits_of
from practice.compliance.queries import before_asked, tallies_asked
from practice.compliance.tally import keep, take_turns
from practice.drills import dose
from practice.drills.models import Drill
from practice.flows.excuse import excuse, withdraw_excusal
from practice.weeks import plan, queries
from practice.weeks.models import Part, Week, WeekTemplate
from practice.weeks.parts import areas_of, as_it_stands, drills_for, fill, snapshot
from practice.weeks.plan import PartSpec
from shared.kit.refused import Refused
from shared.kit.weeks import practice_day
from shared.people import access
from shared.people.access import Recordable
from shared.people.models import Student, User
from shared.people.today import today_of
from shared.site.together import together

__all__ = [
    "Refused",
    "amend_week",
    "discard_draft",
    "excuse",
    "keep_typed",
    "save_parts",
    "send_week",
    "shorten_week",
    "shorter_facts",
    "shorter_specs",
    "start_draft",
    "taken_over",
    "withdraw_excusal",
]


# --- drafts --------------------------------------------------------------------------


@transaction.atomic
def start_draft(
    *,
    student: Recordable,
    opens: date,
    by: User,
    source: Week | WeekTemplate | None = None,
    percent: int = 0,
    in_spite: bool = False,
) -> Week:
    """A draft made from nothing, another week or a template, scaled by some percent.

    What is stopped for the student is left out, and hard swings are lowered to what that week
    may ask, unless a coach asks for them `in_spite`. A draft that is there already is filled
    anew. Raises Refused if the week was sent.
    """
    week = _draft(student, opens, by)
    if source is not None:
        found = taken_over(source, student, opens, percent, in_spite=in_spite)
        _store(week, something_of(found, student).specs, by)
    return week


def taken_over(
    source: Week | WeekTemplate,
    student: Student,
    opens: date,
    percent: int = 0,
    *,
    in_spite: bool = False,
) -> ForWhom:
    """What a draft made from it asks, and by name what became of the rest. Two queries, or three;
    one more after a pain."""
    parts, limits = parts_from(source, student.studio), limits_of(student, opens)
    hurt = hurting(student, parts.drills, limits)
    return parts.for_whom(limits, percent, hurt, in_spite=in_spite)


@transaction.atomic
def save_parts(*, week: Week, specs: Sequence[PartSpec], by: User, note: str | None = None) -> Week:
    """Replace the parts of a draft. Raises Refused for a week that was sent."""
    week = _locked(week)
    access.recordable(week.student)
    if week.state != Week.State.DRAFT:
        raise Refused("This week was sent already. Send it as a change.")
    _store(week, specs, by)
    week.author, week.typed = by, None
    if note is not None:
        week.note = note
    week.save(update_fields=["author", "typed", "note"])
    return week


@transaction.atomic
def keep_typed(*, student: Recordable, opens: date, typed: dict[str, Any] | None, by: User) -> Week:
    """Keep what a coach has typed so far, readable or not, so that nothing is lost.

    None drops it. Also on a sent week, where it is a change that was not sent yet.
    """
    week, _ = Week.objects.get_or_create(
        student=student, opens=opens, defaults={"author": by, "typed": typed}
    )
    Week.objects.filter(pk=week.pk).update(typed=typed)
    week.typed = typed
    return week


@transaction.atomic
def discard_draft(*, week: Week) -> None:
    """Delete a draft; of a sent week, only the change that was not sent."""
    week = _locked(week)
    if week.state == Week.State.DRAFT:
        week.delete()
    else:
        Week.objects.filter(pk=week.pk).update(typed=None)


def _draft(student: Recordable, opens: date, by: User) -> Week:
    week, _ = Week.objects.get_or_create(student=student, opens=opens, defaults={"author": by})
    week = _locked(week)
    if week.state == Week.State.SENT:
        raise Refused(f"{student.name} has this week already. Open it to change it.")
    if week.typed is not None:
        week.typed = None
        week.save(update_fields=["typed"])
    return week


def _store(week: Week, specs: Sequence[PartSpec], by: User) -> None:
    """Make the parts of a draft exactly these."""
    drills = drills_for(week.student, specs)
    old = {part.pk: part for part in week.parts.all()}
    stay = {spec.id for spec in specs if spec.id in old}
    week.parts.exclude(pk__in=stay).delete()
    for priority, spec in enumerate(specs, start=1):
        part = old.get(spec.id) if spec.id else None
        part = part or Part(week=week, added_by=by)
        fill(part, spec, drills[spec.drill], priority)
        part.save()


# --- sending ---------------------------------------------------------------------------


@transaction.atomic
def send_week(*, week: Week, by: User, in_spite: bool = False) -> Week:
    """Send a draft: from now on it is a snapshot. Sending twice changes nothing.

    Raises Refused if there is nothing to send, or it may not be sent: a part of it is
    stopped, or nothing may be kept about the student; AskOnce for hard swings while the student
    rests from them or beyond what the week may ask, unless the coach asks `in_spite`.
    """
    take_turns(week.student)
    week = _locked(week)
    if week.state == Week.State.SENT:
        return week
    student = access.recordable(week.student)
    specs = queries.specs_of(week)
    _check_may_send(student, week, specs)
    drills = drills_for(student, specs)
    now = timezone.now()
    limits = limits_of(student, week.opens)
    admitted = limits.admit(specs, areas_of(drills), in_spite=in_spite)
    _fix_parts(week, admitted, drills, now)
    week.state, week.sent_at, week.author, week.typed = Week.State.SENT, now, by, None
    week.published_on = practice_day(now, student.time_zone)
    week.save(update_fields=["state", "sent_at", "author", "typed", "published_on"])
    keep(student, [week.opens])
    return week


def _fix_parts(week: Week, admitted: Admitted, drills: Mapping[UUID, Drill], now: datetime) -> None:
    """Make the parts of a draft what the student is asked."""
    for part in Part.objects.filter(week=week, pk__in=[spec.id for spec in admitted.specs]):
        snapshot(part, drills[part.drill_id])
        part.added_at = now
        part.save()


def _check_may_send(student: Recordable, week: Week, specs: Sequence[PartSpec]) -> None:
    if not specs:
        raise Refused("There is nothing in this week yet. Add a part first.")
    if _is_over(student, week):
        raise Refused("That week is over. Set the next one.")


def _is_over(student: Student, week: Week) -> bool:
    return today_of(student) > week.opens + timedelta(days=6)


# --- a change to a week already sent -----------------------------------------------------


@transaction.atomic
def amend_week(
    *,
    week: Week,
    specs: Sequence[PartSpec],
    by: User,
    note: str | None = None,
    in_spite: bool = False,
) -> Week:
    """Change a week that was sent; what was logged stays with its part.

    A part of the same drill and steps keeps its id: less counts at once, more does
    not count against the student. Otherwise the old part is closed and a new one
    begins. What is stopped may stay as it stands, locked. The same week again changes
    nothing. Raises Refused, and AskOnce as `send_week` does.
    """
    take_turns(week.student)
    week = _locked(week)
    if week.state != Week.State.SENT:
        raise Refused("This week was not sent yet.")
    _check_may_send(access.recordable(week.student), week, specs)
    live = {part.pk: part for part in queries.live_parts().filter(week=week)}
    specs = _adopt(specs, live)
    drills = drills_for(week.student, specs)
    stand = [queries.spec_of(part) for part in live.values()]
    limits = limits_of(week.student, week.opens)
    admitted = limits.admit(specs, areas_of(drills), stand, in_spite=in_spite)
    changed = _amend_parts(week, admitted, live, drills, by=by)
    week.typed, fields = None, ["typed"]
    if note is not None and note != week.note:
        week.note, changed = note, True
    if changed:
        week.revision, week.amended_at = week.revision + 1, timezone.now()
        fields += ["note", "revision", "amended_at"]
    week.save(update_fields=fields)
    if changed:
        keep(week.student, [week.opens])
    return week


def _amend_parts(
    week: Week,
    admitted: Admitted,
    live: dict[UUID, Part],
    drills: Mapping[UUID, Drill],
    *,
    by: User,
) -> bool:
    """Returns whether anything is different now."""
    changed = False
    for priority, spec in enumerate(admitted.specs, start=1):
        part = live.pop(spec.id, None) if spec.id else None
        if part is None or not _goes_on(part, spec):
            if part is not None:
                live[part.pk] = part
            _begin(week, spec, drills[spec.drill], priority, by)
            changed = True
        else:
            changed |= _change(part, spec, drills[spec.drill], priority)
    if live:
        Part.objects.filter(pk__in=live).update(removed_at=timezone.now())
    return changed or bool(live)


def _adopt(specs: Sequence[PartSpec], live: Mapping[UUID, Part]) -> list[PartSpec]:
    """A part taken out and put in again goes on: it takes the id of its drill's old part."""
    claimed = {spec.id for spec in specs}
    free = {part.drill_id: pk for pk, part in live.items() if pk not in claimed}
    return [spec if spec.id else replace(spec, id=free.pop(spec.drill, None)) for spec in specs]


def _goes_on(part: Part, spec: PartSpec) -> bool:
    return part.drill_id == spec.drill and plan.same_structure(dose.parse(part.dose), spec.dose)


def _begin(week: Week, spec: PartSpec, drill: Drill, priority: int, by: User) -> Part:
    part = Part(week=week, added_by=by)
    fill(part, spec, drill, priority)
    snapshot(part, drill)
    part.added_on = practice_day(part.added_at, week.student.time_zone)
    part.save()
    return part


def _change(part: Part, spec: PartSpec, drill: Drill, priority: int) -> bool:
    if queries.spec_of(part) == spec and part.priority == priority:
        return False
    part.before = [*part.before, as_it_stands(part)]
    least = plan.smaller(dose.parse(part.dose_asked or part.dose), spec.dose)
    part.sessions_asked = min(part.sessions_asked or part.sessions, spec.sessions)
    revision = part.revision
    fill(part, spec, drill, priority)
    part.dose_asked, part.revision = str(least), revision
    part.save()
    return True


@dataclass(frozen=True, slots=True)
class ShorterFacts:
    """What a shorter version stands on: times done by part, what the student may not do, what is
    usual, and the drills with which something hurts."""

    done: dict[UUID, float]
    limits: Limits
    usual: float | None
    hurting: frozenset[UUID]


def shorter_facts(*, week: Week) -> ShorterFacts:
    """One query."""
    student, opens = week.student, week.opens
    tallies, limits = tallies_asked(student, [opens]), limits_asked(student)
    before, days = before_asked(student, [opens]), days_done_asked(student)
    together(tallies, limits, before, days)
    tally, held = tallies.answer.get(opens), limits.answer.in_week(opens)
    drills = [spec.drill for spec in queries.specs_of(week)]
    return ShorterFacts(
        {UUID(p["part"]): p["sessions_done"] for p in (tally.parts if tally else [])},
        held,
        before.answer(opens).usual,
        hurting_on(drills, held, days.answer),
    )


def shorter_specs(*, week: Week, facts: ShorterFacts) -> list[PartSpec]:
    """What a shorter version of a sent week would be; nothing is written.

    What is stopped stays as it is and takes no time; what hurts goes first. Raises Refused
    if it cannot be made any shorter.
    """
    parts = queries.standing_parts(week)
    specs = [queries.spec_of(part) for part in parts]
    areas = {part.drill_id: part.revision.area for part in parts}
    free, held = facts.limits.split(specs, areas)
    left = plan.shorten(free, usual=facts.usual, done=facts.done, hurting=facts.hurting)
    kept = {spec.id: spec for spec in left if spec.id}
    kept |= {spec.id: spec for spec in held if spec.id}
    shorter = [kept[spec.id] for spec in specs if spec.id in kept]
    if shorter == specs:
        raise Refused("This week cannot be made shorter: what is left is part 1, once.")
    return shorter


@transaction.atomic
def shorten_week(*, week: Week, by: User) -> Week:
    """Send a shorter version of a sent week. The student is told nothing but the week."""
    week = _locked(week)
    return amend_week(
        week=week, specs=shorter_specs(week=week, facts=shorter_facts(week=week)), by=by
    )


def _locked(week: Week) -> Week:
    # Only the week's own row: its student may be in use elsewhere.
    found = (
        Week.objects.select_for_update(of=("self",))
        .select_related("student__studio")
        .filter(pk=week.pk)
        .first()
    )
    if found is None:
        raise Refused("This draft is no longer there.")
    return found
