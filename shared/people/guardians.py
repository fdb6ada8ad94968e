"""Several guardians of one child: the first lets another in, one leaves, the owner takes one off.

Each may end what is kept, and what one has ended stays ended until all of them agree
(access.agreed). Nobody goes while what they ended stands, and what they had refused stays
refused until those who remain agree anew. Whatever one does, the others are told.
"""

from collections.abc import Iterable

from django.db import transaction
from django.utils import timezone

from shared.kit.refused import Refused
from shared.people import access, consent, ends, invitation_mail, invitations
from shared.people.models import Guardianship, Invitation, Student, User

MOST = 4


class TooMany(Exception):
    """A child has as many guardians here as it may."""


def ties_of(student: Student) -> "list[Guardianship]":
    """Those who answer for the child now, the first of them first."""
    found = student.guardianships.filter(ended_at=None).select_related("user")
    return list(found.order_by("consented_at", "pk"))


@transaction.atomic
def invite(*, student: access.Recordable, by: User, name: str, email: str) -> Invitation:
    """An invitation to be another guardian. Raises TooMany."""
    if len(ties_of(student)) >= MOST:
        raise TooMany
    return invitations.invite(
        by=by,
        studio=student.studio,
        kind=Invitation.Kind.PARENT,
        student=student,
        name=name,
        email=email,
    )


@transaction.atomic
def join(invitation: Invitation, guardian: User, *, messages: bool, clips: bool) -> Student:
    """Take the invitation up and consent. Raises InvitationOver or Refused."""
    consent.check_outsider(guardian, invitation)
    invitations.take(invitation, guardian)
    student = access.recordable(_alone(_child_of(invitation)))
    before = Guardianship.objects.filter(student=student, user=guardian).first()
    if before is not None and before.ended_at is None:
        raise Refused(f"You are a guardian of {student.name} already.")
    if before is not None and before.ended_why:
        raise Refused("The owner of the studio has ended this. Speak with them.")
    if len(ties_of(student)) >= MOST:
        raise invitations.InvitationOver
    if before is None:
        consent.tie(student, guardian, messages=messages, clips=clips)
    else:
        Guardianship.objects.filter(pk=before.pk).update(ended_at=None)
        before.ended_at = None
        ends.note(ends.What.TIE, before.pk, stands=True)
        consent.change(before, record=True, messages=messages, clips=clips)
    tell(student, f"{guardian} is a guardian of {student.name} now as well.", but=guardian)
    return student


def _child_of(invitation: Invitation) -> Student:
    if invitation.student is None:
        raise invitations.InvitationOver
    return invitation.student


def _alone(student: Student) -> Student:
    """One at a time changes who answers for a child; held until the transaction ends."""
    held = Student.objects.select_for_update(of=("self",)).select_related("studio")
    return held.get(pk=student.pk)


@transaction.atomic
def leave(tie: Guardianship) -> None:
    """The guardian answers for the child no more. Raises Refused."""
    _end(tie, why="")
    tell(tie.student, f"{tie.user} has left as a guardian of {tie.student.name}.", but=tie.user)


@transaction.atomic
def take_off(tie: Guardianship, *, why: str) -> None:
    """The owner ends it, for a reason that everybody concerned reads. Raises Refused."""
    told = ties_of(tie.student)
    _end(tie, why=why)
    text = f"The studio has ended that {tie.user} is a guardian of {tie.student.name}: {why}"
    invitation_mail.send_about_child(tie.student, text, [each.user for each in told])


def _end(tie: Guardianship, *, why: str) -> None:
    ties = ties_of(_alone(tie.student))
    others = [each for each in ties if each.pk != tie.pk]
    if any(each.pk == tie.pk and each.withdrawn_at is not None for each in ties):
        raise Refused(
            "This guardian has ended the record. They stay one until they agree again, or until "
            "all is erased."
        )
    if not any(each.withdrawn_at is None for each in others):
        raise Refused(
            "No other guardian would be left. Withdraw the consent instead; that ends the record."
        )
    for each in others:
        _keep_refused(each, tie)
    Guardianship.objects.filter(pk=tie.pk).update(ended_at=timezone.now(), ended_why=why)
    ends.note(ends.What.TAKEN_OFF if why else ends.What.TIE, tie.pk, stands=False)
    invitations.revoke_for(tie.student)


def _keep_refused(other: Guardianship, gone: Guardianship) -> None:
    """What who goes had refused, who remains has to agree to anew."""
    messages = other.consents_to_messages and gone.consents_to_messages
    clips = other.consents_to_clips and gone.consents_to_clips
    if (messages, clips) != (other.consents_to_messages, other.consents_to_clips):
        stands = other.withdrawn_at is None
        consent.change(other, record=stands, messages=messages, clips=clips)


@transaction.atomic
def answer(tie: Guardianship, said: dict[str, bool]) -> None:
    """What the guardian agrees to from now on; the others are told what changed."""
    _alone(tie.student)
    before = consent.stands(tie)
    consent.change(tie, **said)
    after = consent.stands(tie)
    changed = [
        f"{purpose.label.lower()}: {'agreed' if after[purpose.field] else 'ended'}"
        for purpose in consent.PURPOSES
        if before[purpose.field] != after[purpose.field]
    ]
    if changed:
        text = f"{tie.user} has changed what holds for {tie.student.name}. {'; '.join(changed)}."
        tell(tie.student, text, but=tie.user)


def tell(student: Student, text: str, *, but: User) -> None:
    """A mail to every other guardian."""
    others: Iterable[User] = (tie.user for tie in ties_of(student) if tie.user_id != but.pk)
    invitation_mail.send_about_child(student, text, others)
