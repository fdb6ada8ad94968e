"""The coach's side of an invitation: its link and picture, mail it, take it back."""

from uuid import UUID

import segno
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_POST, require_safe

from shared import errors
from shared.people import invitations, letters, limits
from shared.people.models import Invitation
from shared.people.requests import SignedInRequest


@require_safe
@login_required
def show(request: SignedInRequest, invitation_id: UUID) -> HttpResponse:
    """The link and its QR code while it is open; afterwards what became of it."""
    invitation = _own(request, invitation_id)
    link = invitations.link_to(invitation)
    standing = _standing(invitation)
    context = {
        "invitation": invitation,
        "is_staff": invitation.kind in invitations.STAFF,
        "standing": standing,
        "link": "" if standing else link,
        "picture": "" if standing else _picture(link),
    }
    return render(request, "people/invitation_show.html", context)


@require_POST
@login_required
def send(request: SignedInRequest, invitation_id: UUID) -> HttpResponse:
    """Mail it. Outside any transaction; if the mail fails, the link stays on the page."""
    invitation = _own(request, invitation_id)
    if _standing(invitation) or not invitation.email:
        return redirect("invitation_show", invitation.pk)
    if not limits.may(request, "invitation_mail", invitation.email):
        return errors.too_many(request)
    if letters.send_invitation(invitation):
        messages.success(request, f"The mail to {invitation.email} is on its way.")
    else:
        messages.error(request, "The mail could not be sent. The link below works all the same.")
    return redirect("invitation_show", invitation.pk)


@require_POST
@login_required
def revoke(request: SignedInRequest, invitation_id: UUID) -> HttpResponse:
    invitation = _own(request, invitation_id)
    invitations.revoke(invitation)
    messages.success(request, "The invitation is taken back. Its link opens nothing any more.")
    return redirect("people" if invitation.kind in invitations.STAFF else "students")


def _own(request: SignedInRequest, invitation_id: UUID) -> Invitation:
    return get_object_or_404(invitations.shown_to(request.user), pk=invitation_id)


def _standing(invitation: Invitation) -> str:
    """Why the link opens nothing; empty while it does."""
    if invitation.accepted_at:
        return "It was taken up."
    if invitation.revoked_at:
        return "It was taken back."
    if invitation.expires_at <= timezone.now():
        return "It was not taken up within seven days."
    if not invitations.inviter_still_may(invitation):
        return "Whoever made it does not work here any more."
    return ""


def _picture(link: str) -> SafeString:
    """The link as a QR code: black on white in both themes, so that every phone reads it."""
    code = segno.make(link, error="m", micro=False)
    svg = code.svg_inline(
        scale=4, dark="#000", light="#fff", svgclass="qr", lineclass=None, omitsize=True
    )
    return mark_safe(svg)  # noqa: S308 (made of numbers only)
