"""A guardian's consent: its words, purpose by purpose, and every change of mind.

Nothing about a child is stored before `give`, and nothing more once the record's
consent is withdrawn: access.may_be_recorded asks here who still stands by it.
"""

from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone

from shared.people import invitations
from shared.people.models import ConsentChange, Guardianship, Invitation, Student, User

# Raise by one whenever a word of PURPOSES changes; each consent keeps its number.
TEXT_VERSION = 1


@dataclass(frozen=True, slots=True)
class Purpose:
    field: str
    label: str
    text: str


RECORD = Purpose(
    "record",
    "The practice record",
    "The studio keeps your child's name, year of birth, handedness and time zone, the practice"
    " weeks the coach sets, and what was logged: what was practised, for how long, how hard it"
    " felt, notes, and pain if it is told. Coaches of the studio read it, and you read all of it."
    " Without this there is no place for your child here.",
)
MESSAGES = Purpose(
    "messages",
    "Messages",
    "Coaches may write lines to your child here. You see every line. No adult can write to your"
    " child where you do not see it. Without this nobody can write.",
)
CLIPS = Purpose(
    "clips",
    "Clips",
    "Short films of a swing, framed to the movement, may be kept for the coach to look at. They"
    " have no link that others could open and are taken away after twelve months at the latest."
    " Without this no film of your child is kept.",
)
PURPOSES = (RECORD, MESSAGES, CLIPS)


@transaction.atomic
def give(
    invitation: Invitation, guardian: User, *, child: dict[str, Any], messages: bool, clips: bool
) -> Student:
    """Take the invitation up: the child's place and the consent it rests on, or neither.

    Raises InvitationOver. The consent to the record is what this call means.
    """
    invitations.take(invitation, guardian)
    student = Student.objects.create(
        studio=invitation.studio, lead_coach=invitation.invited_by, **child
    )
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
    return student


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


def _note(guardianship: Guardianship) -> None:
    """Keep who agreed to what, when, and in which words; never changed afterwards."""
    ConsentChange.objects.create(
        guardianship=guardianship,
        text_version=guardianship.consent_text_version,
        record=guardianship.withdrawn_at is None,
        messages=guardianship.consents_to_messages,
        clips=guardianship.consents_to_clips,
    )
