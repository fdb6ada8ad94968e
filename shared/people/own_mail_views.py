"""Another address to sign in with: asked again who it is, then proven by a code mailed there."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from shared.outbox.send import is_troubled
from shared.people import codes, invitation_mail, known_devices, limits, mail_address, sign_in
from shared.people.forms import AddressForm, CodeForm
from shared.people.models import User
from shared.people.prove_views import proves_again
from shared.people.requests import SignedInRequest
from shared.site import errors

CHANGED = "The address of your sign-in was changed."


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def own_mail(request: SignedInRequest) -> HttpResponse:
    """First the new address, then the code from it. A child who came by a phone has no address."""
    if not request.user.has_mail:
        raise Http404
    waits = codes.waits_for(request.session, _purpose(request.user))
    if waits is None or "email" in request.POST:
        return _ask(request)
    form = CodeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        return _enter(request, form)
    return _page(request, form=form, waits=waits)


@proves_again
def _ask(request: SignedInRequest) -> HttpResponse:
    """The same answer for an address that somebody here has: it gets a mail that says so."""
    form = AddressForm(request.POST or None)
    if not form.is_valid():
        return _page(request, form=form)
    email = form.cleaned_data["email"]
    if not limits.may(request, "join_code", email):
        return errors.too_many(request)
    is_free = not User.objects.filter(email=email).exists()
    codes.start(request.session, purpose=_purpose(request.user), email=email, wanted=is_free)
    if not is_free:
        message = invitation_mail.letter("people/mail/address_taken.txt", {}, email)
        invitation_mail.put(message, until=timezone.now() + codes.GOOD_FOR)
    return redirect("own_mail")


def _enter(request: SignedInRequest, form: CodeForm) -> HttpResponse:
    user, purpose = request.user, _purpose(request.user)
    if not limits.may_as(request, "try_code", user.email):
        return errors.too_many(request)
    try:
        email = codes.check(request.session, purpose=purpose, code=form.cleaned_data["code"])
        was = user.email
        mail_address.move(user, email)
    except codes.WrongCode:
        form.add_error("code", "That is not the code. Look at the newest mail.")
        return _page(request, form=form, waits=codes.waits_for(request.session, purpose) or "")
    except codes.CodeOver:
        messages.error(request, "That was too often. Ask for another code.")
        return redirect("own_mail")
    except mail_address.AddressTaken:
        messages.error(request, "Somebody signs in with this address already. Give another.")
        return redirect("own_mail")
    del request.session[codes.PROVEN_KEY]
    sign_in.tell_changed(request, user, CHANGED, to=(was, email))
    messages.success(request, f"You sign in with {email} from now on.")
    answer = redirect("settings")
    known_devices.remember(request, answer, email)
    return answer


def _page(request: SignedInRequest, **facts: Any) -> HttpResponse:
    return render(request, "account/own_mail.html", {"late": is_troubled(), **facts})


def _purpose(user: User) -> str:
    return f"mail {user.pk}"
