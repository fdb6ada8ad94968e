"""Links that let one person in, once.

The token is signed and stored nowhere; the row says what it opens, so nothing in
the link or in a form can change the studio or the role. Reading a link uses
nothing up: only `take` does, in the transaction that gives what was promised.
"""

import secrets
from datetime import timedelta
from uuid import UUID

from django.conf import settings
from django.core.signing import BadSignature, Signer
from django.db import transaction
from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.crypto import constant_time_compare

from shared.people import access, ends
from shared.people.models import Invitation, Membership, Student, Studio, User

GOOD_FOR = timedelta(days=7)
STUDENTS = (Invitation.Kind.STUDENT, Invitation.Kind.GUARDIAN)
STAFF = (Invitation.Kind.COACH, Invitation.Kind.ASSISTANT, Invitation.Kind.HELPER)
MOST_OPEN = 60
_signer = Signer(salt="shared.people.invitations", sep=".")


class InvitationOver(Exception):
    """The link is no link of ours, or it was used, taken back, or is too old."""


def invite(
    *,
    by: User,
    studio: Studio,
    kind: str,
    email: str = "",
    name: str = "",
    student: Student | None = None,
) -> Invitation:
    """A new invitation. Earlier open ones for the same place are taken back."""
    if student is not None:
        revoke_for(student)
    return Invitation.objects.create(
        studio=studio,
        kind=kind,
        student=student,
        email=email.strip().lower(),
        name=name,
        nonce=secrets.token_urlsafe(16),
        invited_by=by,
        expires_at=timezone.now() + GOOD_FOR,
    )


def token_of(invitation: Invitation) -> str:
    return _signer.sign(f"{invitation.pk.hex}-{invitation.nonce}")


def link_to(invitation: Invitation) -> str:
    """The address to show or mail; never on the host of a request."""
    return settings.SITE_URL + reverse("invitation", args=[token_of(invitation)])


def read(token: str) -> Invitation:
    """The open invitation behind a token. Raises InvitationOver."""
    try:
        invitation_id, _, nonce = _signer.unsign(token).partition("-")
        key = UUID(hex=invitation_id)
    except (BadSignature, ValueError) as error:
        raise InvitationOver from error
    found = open_ones().select_related("studio", "invited_by", "student").filter(pk=key).first()
    if found is None or not constant_time_compare(found.nonce, nonce):
        raise InvitationOver
    if not inviter_still_may(found):
        raise InvitationOver
    return found


def inviter_still_may(invitation: Invitation) -> bool:
    """Somebody who has left the studio, or the child, lets nobody in any more."""
    if invitation.kind == Invitation.Kind.PARENT:
        return access.answers_for(invitation.invited_by, invitation.student)
    return may_invite(invitation.invited_by, invitation.studio, invitation.kind)


def may_invite(user: User, studio: Studio, kind: str) -> bool:
    """Owners let anybody in; coaches let in students and guardians."""
    roles = (Membership.Role.OWNER,) if kind in STAFF else access.PLANNING
    return user.is_active and access.studios_of(user, roles).filter(pk=studio.pk).exists()


def open_ones() -> QuerySet[Invitation]:
    return Invitation.objects.filter(
        accepted_at=None, revoked_at=None, expires_at__gt=timezone.now()
    )


def open_in(studio: Studio, kinds: tuple[str, ...]) -> list[Invitation]:
    """The studio's open invitations of these kinds, newest first; at most MOST_OPEN."""
    found = open_ones().filter(studio=studio, kind__in=kinds).select_related("invited_by")
    return list(found.order_by("-invited_at")[:MOST_OPEN])


def take(invitation: Invitation, user: User) -> None:
    """Use the invitation up for this user. Raises InvitationOver if it is over by now.

    One conditional update decides between everybody who tries at once. Call it inside
    the transaction that gives what the invitation promises.
    """
    taken = (
        open_ones()
        .filter(pk=invitation.pk, nonce=invitation.nonce)
        .update(accepted_at=timezone.now(), accepted_by=user)
    )
    if taken != 1:
        raise InvitationOver
    ends.note(ends.What.INVITED, invitation.pk, stands=False)


def revoke(invitation: Invitation) -> None:
    _revoke(open_ones().filter(pk=invitation.pk))


def revoke_for(student: Student) -> None:
    _revoke(open_ones().filter(student=student))


@transaction.atomic
def _revoke(found: QuerySet[Invitation]) -> None:
    still = list(found.values_list("pk", flat=True))
    ends.note_all(ends.What.INVITED, still)
    Invitation.objects.filter(pk__in=still).update(revoked_at=timezone.now())


def shown_to(user: User) -> QuerySet[Invitation]:
    """Invitations this user may show, mail and take back.

    What a guardian makes is the guardian's alone: nobody who works here can take it up unseen.
    """
    owned = Q(studio__in=access.studios_of(user, (Membership.Role.OWNER,)), kind__in=STAFF)
    planned = Q(studio__in=access.studios_of(user, access.PLANNING), kind__in=STUDENTS)
    own = Q(kind=Invitation.Kind.PARENT, invited_by=user)
    return Invitation.objects.filter(owned | planned | own).select_related("studio", "student")
