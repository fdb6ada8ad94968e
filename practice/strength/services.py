"""Agreeing, withdrawing, and keeping lifts."""

from datetime import date
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from practice.strength.models import Lift, StrengthConsent
from shared.kit.refused import Refused
from shared.people import ends
from shared.people.access import Recordable
from shared.people.models import Student, User

# Raise by one whenever a word of CONSENT changes; each answer keeps its number.
TEXT_VERSION = 2
CONSENT = (
    "The studio keeps the sets that you or your strength coach enter here. If you tell your"
    " body mass, it keeps that too. You, your strength coach and your coach see them. Assistants"
    " do not. The app sets no lifts and no targets. You may take this back at any time. Then"
    " all of it is deleted."
)


@transaction.atomic
def agree(*, student: Recordable) -> None:
    """The student's yes. Raises Refused for a minor. Saying it twice is saying it once."""
    if student.is_minor:
        raise Refused("Strength is kept of adults only.")
    consent, is_new = StrengthConsent.objects.get_or_create(
        student=student, defaults={"text_version": TEXT_VERSION}
    )
    if not is_new and consent.withdrawn_at is None:
        return
    consent.text_version, consent.withdrawn_at = TEXT_VERSION, None
    consent.agreed_at = timezone.now()
    consent.save(update_fields=["text_version", "withdrawn_at", "agreed_at"])
    consent.changes.create(text_version=TEXT_VERSION, agreed=True)
    ends.note(ends.What.STRENGTH, student.pk, stands=True)


@transaction.atomic
def withdraw(*, student: Student) -> None:
    """The student's no: from now on nothing is kept, and what was kept is deleted."""
    consent = StrengthConsent.objects.filter(student=student, withdrawn_at=None).first()
    if consent is None:
        return
    consent.withdrawn_at = timezone.now()
    consent.save(update_fields=["withdrawn_at"])
    consent.changes.create(text_version=consent.text_version, agreed=False)
    ends.note(ends.What.STRENGTH, student.pk, stands=False)
    Lift.objects.filter(student=student).delete()


@transaction.atomic
def keep_lift(
    *,
    student: Recordable,
    by: User,
    lift_id: UUID,
    name: str,
    mass: float,
    reps: int,
    body_mass: float | None,
    was_supervised: bool,
    day: date,
) -> Lift:
    """A set, in kilograms; the same id again changes nothing.

    Raises Refused without a consent that stands, for a minor, or if the id is taken.
    """
    agreed = StrengthConsent.objects.select_for_update().filter(student=student, withdrawn_at=None)
    if student.is_minor or not agreed.exists():
        raise Refused("Nothing is kept without the student’s own consent.")
    lift, _ = Lift.objects.get_or_create(
        pk=lift_id,
        defaults={
            "student": student,
            "name": name,
            "mass": mass,
            "reps": reps,
            "body_mass": body_mass,
            "was_supervised": was_supervised,
            "day": day,
            "by": by,
        },
    )
    if lift.student_id != student.pk:
        raise Refused("This id is taken. Make a new one and send again.")
    return lift


def remove_lift(*, lift: Lift) -> None:
    """Delete a set: what was typed wrong about a body is not kept."""
    Lift.objects.filter(pk=lift.pk).delete()
