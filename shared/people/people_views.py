"""The owner's page: who works in the studio, and the studio itself."""

from datetime import date
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from shared.people import (
    access,
    invitations,
    lost_passkey,
    ready,
    roster,
    security,
    services,
    undelivered,
)
from shared.people.forms import StaffInvitationForm, StudioForm
from shared.people.models import Membership
from shared.people.prove_views import proves_again
from shared.people.requests import SignedInRequest

OWNING = (Membership.Role.OWNER,)
BAY_DAYS = 90


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def people(request: SignedInRequest) -> HttpResponse:
    """Who works here; sending the form invites somebody."""
    studio = access.studio_or_404(request.user, OWNING)
    form = StaffInvitationForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        invitation = invitations.invite(by=request.user, studio=studio, **form.cleaned_data)
        what = invitation.get_kind_display()
        security.note(request, security.Kind.INVITED, by=request.user, studio=studio, what=what)
        return redirect("invitation_show", invitation.pk)
    context = {
        "studio": studio,
        "bays": bays_in_words(studio.bays_checked_on, timezone.localdate()),
        "staff": roster.staff(studio),
        "waiting": invitations.open_in(studio, invitations.STAFF),
        "form": form,
        "ticks": ready.open_ticks(),
        "undelivered": undelivered.of(each.user.email for each in roster.staff(studio)),
    }
    return render(request, "people/people.html", context)


def bays_in_words(day: date | None, today: date) -> str:
    """How long ago somebody looked the bays over, and whether it is time again (our choice)."""
    if day is None:
        return "The bays: no day is written down on which they were looked over."
    days = max(0, (today - day).days)
    ago = {0: "today", 1: "yesterday"}.get(days, f"{days} days ago")
    again = " Look them over again." if days > BAY_DAYS else ""
    return f"The bays were looked over {ago}.{again}"


@require_POST
@login_required
def end_membership(request: SignedInRequest, membership_id: UUID) -> HttpResponse:
    studio = access.studio_or_404(request.user, OWNING)
    current = Membership.objects.filter(studio=studio, ended_at=None).select_related("user")
    membership = get_object_or_404(current, pk=membership_id)
    try:
        services.end_membership(membership=membership)
    except services.LastOwner:
        messages.error(request, "A studio keeps at least one owner.")
    else:
        role = membership.get_role_display()
        security.note(
            request, security.Kind.WORK_ENDED, by=request.user, whom=membership.user_id,
            studio=studio, what=role,
        )  # fmt: skip
        messages.success(request, f"{membership.user} is not {role} here any more.")
    return redirect("home" if membership.user_id == request.user.pk else "people")


@require_http_methods(["GET", "POST"])
@login_required
def passkey_lost(request: SignedInRequest, membership_id: UUID) -> HttpResponse:
    """The owner takes another's lost passkey away; for one's own there are recovery codes."""
    studio = access.studio_or_404(request.user, OWNING)
    current = Membership.objects.filter(studio=studio, ended_at=None).select_related("user")
    membership = get_object_or_404(current.exclude(user=request.user), pk=membership_id)
    return _take_away(request, membership)


@proves_again
def _take_away(request: SignedInRequest, membership: Membership) -> HttpResponse:
    user, studio = membership.user, membership.studio
    if request.method == "GET":  # Back from the proof, which keeps no form.
        messages.info(request, "Now take the passkey away.")
    elif set(user.roles_by_studio) != {studio.pk}:
        messages.error(
            request, "They work in another studio too: whoever keeps the installation does it."
        )
    elif lost_passkey.take_away(user, str(request.user)):
        security.note(
            request, security.Kind.WAY_IN_CHANGED, by=request.user, whom=user.pk, studio=studio,
            what="lost passkey taken away",
        )  # fmt: skip
        messages.success(request, f"Taken away. {user} signs in by code and adds a new one.")
    else:
        messages.info(request, f"{user} has no passkey.")
    return redirect("people")


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def edit_studio(request: SignedInRequest) -> HttpResponse:
    studio = access.studio_or_404(request.user, OWNING)
    form = StudioForm(request.POST or None, instance=studio)
    if request.method == "POST" and form.is_valid():
        services.change_studio(studio=studio, changed=form.cleaned_data)
        what = "passkeys asked" if studio.passkeys_since else "passkeys not asked"
        kind = security.Kind.STUDIO_CHANGED
        security.note(request, kind, by=request.user, studio=studio, what=what)
        messages.success(request, "Kept.")
        return redirect("people")
    return render(request, "people/edit_studio.html", {"form": form, "studio": studio})
