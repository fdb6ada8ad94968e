"""A guardian's consent: its words, purpose by purpose, and every change of mind.

Nothing about a child is stored before `give`, and nothing more once the record's
consent is withdrawn: access.may_be_recorded asks here who still stands by it.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from shared.kit.refused import Refused
from shared.people import access, ends, invitations
from shared.people.models import ConsentChange, Guardianship, Invitation, Student, User

# Raise by one whenever a word of PURPOSES changes; each consent keeps its number.
TEXT_VERSION = 5


@dataclass(frozen=True, slots=True)
class Purpose:
    field: str
    label: str
    text: str


RECORD = Purpose(
    "record",
    "The practice record",
    "The studio keeps your child's name, year of birth, hand and time zone. It keeps the weeks"
    " the coach sets. It keeps what is logged: what was done, how long and hard, and notes. If "
    "pain is told, it keeps that too. Coaches of the studio read it. Only the"
    " lead coach reads of pain, and whoever says why they need it. You read all of it. You also see"
    " who read of pain. Without this there is no place for your child here.",
)
MESSAGES = Purpose(
    "messages",
    "Messages",
    "Coaches may write lines to your child here. You see every line. No adult can write to your"
    " child where you do not see it. Without this nobody can write.",
)
CLIPS = Purpose(
    "clips",
    "Clips and voice",
    "The studio may keep short films of a swing for the coach. They show the move alone. It may"
    " keep voice notes of 15 seconds at most. No link lets others open them. They go after twelve"
    " months at the latest. You see and hear all of them. Without this no film and no voice of "
    "your child is kept.",
)
PURPOSES = (RECORD, MESSAGES, CLIPS)


@transaction.atomic
def give(
    invitation: Invitation, guardian: User, *, child: dict[str, Any], messages: bool, clips: bool
) -> Student:
    """Take the invitation up: the child's place and the consent it rests on, or neither.

    The record begins when a second adult has confirmed the child (second_adult.py).
    Raises InvitationOver or Refused. The consent to the record is what this call means.
    """
    check_outsider(guardian, invitation)
    invitations.take(invitation, guardian)
    student = Student.objects.create(
        studio=invitation.studio,
        lead_coach=invitation.invited_by,
        awaits_second_adult=True,
        **child,
    )
    tie(student, guardian, messages=messages, clips=clips)
    return student


def tie(student: Student, guardian: User, *, messages: bool, clips: bool) -> Guardianship:
    """The guardian answers for the child and has consented to its record."""
    guardianship = Guardianship.objects.create(
        student=student,
        user=guardian,
        consent_text_version=TEXT_VERSION,
        consents_to_record=True,
        consents_to_messages=messages,
        consents_to_clips=clips,
        consented_at=timezone.now(),
    )
    _note(guardianship)
    return guardianship


def check_outsider(guardian: User, invitation: Invitation) -> None:
    """Nobody consents to what they themselves will read and write, nor a child for a child.

    Raises Refused.
    """
    places = Student.objects.filter(user=guardian, born_year__isnull=False)
    if places.exclude(access.of_age(timezone.now())).exists():
        raise Refused("Whoever is under 18 cannot answer for a child. Ask a parent to open it.")
    if guardian.pk == invitation.invited_by_id:
        raise Refused("You made this invitation, so somebody else has to take it up.")
    if invitation.studio_id in access.all_roles_by_studio(guardian):
        raise Refused(
            "You work in this studio, so you cannot be a guardian here. Ask the other parent."
        )


def stands(guardianship: Guardianship) -> dict[str, bool]:
    """What the guardian agrees to now, by the purposes' fields."""
    return {
        "record": guardianship.withdrawn_at is None,
        "messages": guardianship.consents_to_messages,
        "clips": guardianship.consents_to_clips,
    }


@transaction.atomic
def change(guardianship: Guardianship, *, record: bool, messages: bool, clips: bool) -> None:
    """What the guardian consents to from now on; without the record, to nothing."""
    guardianship.withdrawn_at = None if record else timezone.now()
    guardianship.consents_to_messages = record and messages
    guardianship.consents_to_clips = record and clips
    guardianship.consent_text_version = TEXT_VERSION
    if record:
        guardianship.consented_at = timezone.now()
    guardianship.save(
        update_fields=[
            "withdrawn_at",
            "consents_to_messages",
            "consents_to_clips",
            "consent_text_version",
            "consented_at",
        ]
    )
    _note(guardianship)
    for purpose, holds in stands(guardianship).items():
        ends.note(purpose, guardianship.pk, stands=holds, whose=guardianship.student_id)


@transaction.atomic
def end_again(guardianship: Guardianship, at: datetime, **purpose: bool) -> None:
    """What was ended at that moment is ended, though a backup knew nothing of it yet."""
    stood = stands(guardianship) | purpose
    guardianship.withdrawn_at = guardianship.withdrawn_at if stood["record"] else at
    guardianship.consents_to_messages = stood["record"] and stood["messages"]
    guardianship.consents_to_clips = stood["record"] and stood["clips"]
    guardianship.save(update_fields=["withdrawn_at", "consents_to_messages", "consents_to_clips"])
    _note(guardianship, at)


def _note(guardianship: Guardianship, at: datetime | None = None) -> None:
    """Keep who agreed to what, when, and in which words; never changed afterwards."""
    ConsentChange.objects.create(
        guardianship=guardianship,
        at=at or timezone.now(),
        text_version=guardianship.consent_text_version,
        record=guardianship.withdrawn_at is None,
        messages=guardianship.consents_to_messages,
        clips=guardianship.consents_to_clips,
    )
