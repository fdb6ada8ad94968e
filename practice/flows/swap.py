"""A coach lets work that was on no list count for a part, afterwards; and takes that back."""

from uuid import UUID

from django.db import transaction
from django.utils import timezone

from practice.compliance.facts import work_of
from practice.compliance.tally import keep, take_turns
from practice.log.models import AcceptedSwap, Entry, Result
from practice.weeks.models import Part, Week
from shared.kit.refused import Refused
from shared.people.access import Recordable
from shared.people.models import Student, User

NEVER = "lesson"  # Lesson swings are load, not practice at home.


@transaction.atomic
def accept_swap(*, student: Recordable, root: UUID, work: str, part_id: UUID, by: User) -> None:
    """Let this work of a session count for a part of its week; the tally follows at once.

    The same again changes nothing; another part takes the place of the first. Raises
    Refused.
    """
    take_turns(student)
    part = _part(student, part_id)
    _check(student, root, work, part)
    standing = AcceptedSwap.objects.filter(student=student, root=root, work=work, withdrawn_at=None)
    if standing.filter(part=part).exists():
        return
    standing.update(withdrawn_at=timezone.now())
    AcceptedSwap.objects.create(student=student, root=root, work=work, part=part, by=by)
    keep(student, [part.week.opens])


@transaction.atomic
def withdraw_swap(*, student: Student, root: UUID, work: str) -> None:
    """Count it as work nobody asked for again. Twice is the same as once."""
    take_turns(student)
    standing = AcceptedSwap.objects.filter(student=student, root=root, work=work, withdrawn_at=None)
    weeks = set(standing.values_list("part__week__opens", flat=True))
    standing.update(withdrawn_at=timezone.now())
    keep(student, weeks)


def _part(student: Student, part_id: UUID) -> Part:
    parts = Part.objects.filter(
        week__student=student, week__state=Week.State.SENT, removed_at=None
    ).select_related("week")
    part = parts.filter(pk=part_id).first()
    if part is None:
        raise Refused("That part is not in the week any more. Choose another.")
    return part


def _check(student: Student, root: UUID, work: str, part: Part) -> None:
    entry = Entry.objects.filter(student=student, root=root, counts=True).first()
    if entry is None:
        raise Refused("That visit does not count any more.")
    results = Result.objects.filter(entry=entry, part=None, opens=part.week.opens)
    done = {work_of(drill, what) for drill, what in results.values_list("drill", "what")}
    if work == NEVER or work not in done:
        raise Refused("That work is not in this week.")
