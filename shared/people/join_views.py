"""The invited person's side: prove an address, then take the invitation up.

Step 1 names the studio and asks for the address, step 2 for the code mailed there,
step 3 for what the place needs. Nothing is stored about anybody before step 3 is sent.
Whoever is signed in starts at step 3.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any

from allauth.account.internal.flows.login import record_authentication
from allauth.account.utils import perform_login
from django.contrib import messages
from django.db import transaction
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from shared.kit.refused import Refused
from shared.outbox.send import is_troubled
from shared.people import (
    access,
    codes,
    consent,
    guardians,
    invitations,
    limits,
    second_adult,
    security,
    services,
)
from shared.people.forms import (
    AddressForm,
    ChildForm,
    CodeForm,
    JoinGrownForm,
    JoinStaffForm,
    JoinStudentForm,
    OtherGuardianForm,
)
from shared.people.models import Invitation, Student, User
from shared.site import errors

Kind = Invitation.Kind
CONSENTING = (Kind.GUARDIAN, Kind.PARENT)
KEPT = "Thank you: it is kept. “What you agreed to” changes it at any time."
View = Callable[..., HttpResponse]


def for_open_invitation(view: View) -> View:
    """Give the view its invitation; a link that opens nothing gets its page, and is counted."""

    @require_http_methods(["GET", "HEAD", "POST"])
    @never_cache
    @wraps(view)
    def inner(request: HttpRequest, token: str) -> HttpResponse:
        try:
            invitation = invitations.read(token)
        except invitations.InvitationOver:
            return _over(request)
        return view(request, invitation, token)

    return inner


def _over(request: HttpRequest) -> HttpResponse:
    if not limits.may(request, "bad_link"):
        return errors.too_many(request)
    return render(request, "people/invitation_over.html", status=404)


@for_open_invitation
def invitation(request: HttpRequest, invited: Invitation, token: str) -> HttpResponse:
    """Step 1. Whose studio, who invites, and where the code should go."""
    if _address(request, invited):
        return redirect("invitation_details", token)
    form = AddressForm(request.POST or None, only=invited.email, initial={"email": invited.email})
    if request.method == "POST" and not request.user.is_authenticated and form.is_valid():
        return _send_code(request, invited, token, form.cleaned_data["email"])
    return _page(request, "people/join.html", invited, token, form=form)


def _send_code(request: HttpRequest, invited: Invitation, token: str, email: str) -> HttpResponse:
    if not limits.may(request, "join_code", email):
        return errors.too_many(request)
    codes.start(request.session, purpose=_purpose(invited), email=email)
    return redirect("invitation_code", token)


@for_open_invitation
def code(request: HttpRequest, invited: Invitation, token: str) -> HttpResponse:
    """Step 2. The code from the mail."""
    email = codes.waits_for(request.session, _purpose(invited))
    if email is None:
        return redirect("invitation", token)
    form = CodeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        if not limits.may_as(request, "try_code", email):
            return errors.too_many(request)
        try:
            codes.check(request.session, purpose=_purpose(invited), code=form.cleaned_data["code"])
        except codes.WrongCode:
            form.add_error("code", "That is not the code. Look at the newest mail.")
        except codes.CodeOver:
            messages.error(request, "That was too often. Ask for another code.")
            return redirect("invitation", token)
        else:
            return redirect("invitation_details", token)
    more = {"form": form, "email": email, "late": is_troubled()}
    return _page(request, "people/join_code.html", invited, token, **more)


@for_open_invitation
def details(request: HttpRequest, invited: Invitation, token: str) -> HttpResponse:
    """Step 3. What the place needs; sending it takes the invitation up."""
    email = _address(request, invited)
    if email is None:
        return redirect("invitation", token)
    form = _details_form(request, invited)
    if request.method == "POST" and form.is_valid():
        return _accept(request, invited, email, form)
    template = "people/consent.html" if invited.kind in CONSENTING else "people/join_details.html"
    purposes = (
        [(purpose, form[purpose.field]) for purpose in consent.PURPOSES]
        if invited.kind in CONSENTING
        else []
    )
    return _page(request, template, invited, token, form=form, email=email, purposes=purposes)


def _details_form(request: HttpRequest, invited: Invitation) -> Form:
    known = request.user if request.user.is_authenticated else None
    name = known.name if known else invited.name
    zone = known.time_zone if known else invited.studio.time_zone
    form = _empty_form(invited, request.POST or None, name, zone)
    if not known and not form.is_bound:
        # The studio's, which nobody has said of this person: the browser knows better.
        form.fields["time_zone"].widget.attrs["data-zone"] = zone
    return form


def _empty_form(invited: Invitation, data: Any, name: str, zone: str) -> Form:
    if invited.kind == Kind.GUARDIAN:
        first = {"guardian_name": name, "time_zone": zone}
        return ChildForm(data, initial=first, this_year=timezone.now().year)
    if invited.kind == Kind.PARENT:
        return OtherGuardianForm(data, initial={"guardian_name": name, "time_zone": zone})
    if invited.kind == Kind.STUDENT:
        return _own_place_form(invited, data, zone)
    return JoinStaffForm(data, initial={"name": name, "time_zone": zone})


def _own_place_form(invited: Invitation, data: Any, zone: str) -> Form:
    place = invited.student
    if place is not None and place.born_year is not None:
        return JoinGrownForm(data, ties=guardians.ties_of(place), initial={"time_zone": zone})
    return JoinStudentForm(data, initial={"time_zone": zone})


def _accept(request: HttpRequest, invited: Invitation, email: str, form: Any) -> HttpResponse:
    try:
        with transaction.atomic():
            user, url = _take_up(request, invited, email, form)
    except invitations.InvitationOver:
        return _over(request)
    except Refused as reason:
        messages.error(request, str(reason))
        return redirect("home")
    except services.AlreadyHere:
        messages.error(request, "You have a place in this studio already.")
        return redirect("home")
    request.session.pop(codes.PROVEN_KEY, None)
    security.note(
        request, security.Kind.JOINED, by=user, studio=invited.studio,
        what=invited.get_kind_display(),
    )  # fmt: skip
    if request.user.is_authenticated:
        return redirect(url)
    record_authentication(request, user, method="code", email=user.email)
    answer: HttpResponse = perform_login(request, user, email=user.email, redirect_url=url)
    return answer


def _take_up(request: HttpRequest, invited: Invitation, email: str, form: Any) -> tuple[User, str]:
    """The user, and where they go next. In a transaction: all of it or nothing."""
    said = form.cleaned_data
    name = said.get("guardian_name") or said.get("name") or invited.name
    user = services.user_for(email=email, name=name, time_zone=said["time_zone"])
    zone = said["time_zone"]
    if isinstance(form, JoinGrownForm):
        place = services.join_as_grown(
            invitation=invited, user=user, time_zone=zone, readers=form.readers()
        )
        security.note(
            request, security.Kind.CONSENT, by=user, whom=place.pk, studio=invited.studio,
            what="of age: agrees to the record",
        )  # fmt: skip
        return user, reverse("home")
    if invited.kind == Kind.STUDENT:
        services.join_as_student(invitation=invited, user=user, time_zone=zone)
        return user, reverse("home")
    if invited.kind == Kind.GUARDIAN:
        child = consent.give(invited, user, child=form.child, **form.agreed())
        _confirm_at_once(request, child, user)
        messages.success(request, KEPT)
        return user, _place_of(child)
    if invited.kind == Kind.PARENT:
        child = guardians.join(invited, user, **form.agreed())
        messages.success(request, KEPT)
        return user, _place_of(child)
    services.join_as_staff(invitation=invited, user=user)
    return user, reverse("home" if user.has_usable_password() else "account_set_password")


def _place_of(child: Student) -> str:
    """Where a guardian goes on: to what is kept already, or to what it still waits for."""
    return reverse("log:child" if access.may_be_recorded(child) else "consents", args=[child.pk])


def _confirm_at_once(request: HttpRequest, child: Student, guardian: User) -> None:
    """The code has just come by mail; in a browser of the guardian's own nothing more is asked."""
    came_by_code = not request.user.is_authenticated
    is_theirs = not second_adult.is_studios_browser(request, child.studio)
    if came_by_code and is_theirs and second_adult.is_guardians_turn(child):
        second_adult.confirm(child, guardian)


def _address(request: HttpRequest, invited: Invitation) -> str | None:
    """The proven address of whoever is here, if the invitation is open to it."""
    if request.user.is_authenticated:
        email = request.user.email
    else:
        email = codes.proven(request.session, _purpose(invited)) or ""
    return email if email and invited.email in ("", email) else None


def _purpose(invited: Invitation) -> str:
    return f"invitation {invited.pk}"


def _page(
    request: HttpRequest, template: str, invited: Invitation, token: str, **more: Any
) -> HttpResponse:
    context = {"invitation": invited, "token": token, **more}
    return render(request, template, context)
