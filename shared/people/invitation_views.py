"""The coach's side of an invitation: its link and picture, mail it, take it back."""

from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from shared.outbox.mail_sender import TO_A_FILE, reaches_nobody
from shared.people import invitation_mail, invitations, limits, ready, undelivered
from shared.people.models import AccountMail, Invitation
from shared.people.pictures import qr_code
from shared.people.requests import SignedInRequest
from shared.site import errors, reach

State = AccountMail.State


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
        "is_parents": invitation.kind == Invitation.Kind.PARENT,
        "standing": standing,
        "link": "" if standing else link,
        "picture": "" if standing else qr_code(link),
        "mail": _of_mail(invitation),
        "ticks": [] if standing else ready.open_ticks(),
        "only_here": reach.is_only_here(link),
        "own_network": reach.is_own_network(link),
        "trust": reach.trust_url(settings.SITE_URL, settings.REACH.tls),
    }
    return render(request, "people/invitation_show.html", context)


@require_POST
@login_required
def send(request: SignedInRequest, invitation_id: UUID) -> HttpResponse:
    """Mail it; the page says what becomes of the mail, and the link stays there. Who sends it
    once more says that the address is right, whatever became of the mail before."""
    invitation = _own(request, invitation_id)
    if _standing(invitation) or not invitation.email:
        return redirect("invitation_show", invitation.pk)
    if not limits.may(request, "invitation_mail", invitation.email):
        return errors.too_many(request)
    undelivered.arrived([invitation.email])
    invitation_mail.send_invitation(invitation)
    return redirect("invitation_show", invitation.pk)


@require_POST
@login_required
def revoke(request: SignedInRequest, invitation_id: UUID) -> HttpResponse:
    invitation = _own(request, invitation_id)
    invitations.revoke(invitation)
    messages.success(request, "The invitation is taken back. Its link opens nothing any more.")
    if invitation.kind == Invitation.Kind.PARENT:
        return redirect("guardians", invitation.student_id)
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
        return "Whoever made it may not let anybody in any more."
    return ""


def _refused(why: str) -> str:
    """At once, or in a report that came later."""
    reported = why.removeprefix(f"{undelivered.DID_NOT_ARRIVE}: ")
    if reported != why:
        return f"The mail came back: {reported}."
    return f"The mail server refused the mail: {why}."


def _of_mail(invitation: Invitation) -> str:
    """What became of the newest mail with this invitation; empty if none was asked for."""
    mail = invitation.mails.order_by("planned_at").last()
    if mail is None:
        return ""
    if mail.why == TO_A_FILE or (mail.state in AccountMail.OPEN and reaches_nobody()):
        return f"No mail server is set: the mail lies as a file in {settings.DATA_DIR / 'mail'}."
    waits = "The mail server does not answer. The mail goes out when it does."
    words = {
        State.SENT: f"The mail server took the mail to {mail.address}.",
        State.FAILED: _refused(mail.why),
        State.UNKNOWN: "The mail may have arrived. Ask, or send it again.",
        State.EXPIRED: "The mail could not be sent in time.",
        State.CANCELLED: f"The mail was not sent: {mail.why}.",
    }
    on_its_way = waits if mail.why else f"The mail to {mail.address} is on its way."
    return words.get(State(mail.state), on_its_way)
