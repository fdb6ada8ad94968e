"""Is it still you? Asked before somebody's way in is changed."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from allauth.account.decorators import reauthentication_required
from allauth.account.internal.flows.login import get_authentication_records, record_authentication
from allauth.account.internal.flows.reauthentication import get_reauthentication_flows
from allauth.account.utils import get_next_redirect_url
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from shared.people import codes, limits
from shared.people.forms import CodeForm
from shared.people.requests import SignedInRequest
from shared.site import errors

View = Callable[..., HttpResponse]
FRESH_SECONDS = 300


def proves_again(view: View) -> View:
    """By password or passkey, by whichever there is; else by a code to the user's address."""
    by_password_or_passkey = reauthentication_required(view)

    @login_required
    @wraps(view)
    def inner(request: SignedInRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if get_reauthentication_flows(request.user):
            answer: HttpResponse = by_password_or_passkey(request, *args, **kwargs)
            return answer
        if proved_lately(request):
            return view(request, *args, **kwargs)
        return redirect(f"{reverse('prove_again')}?{urlencode({'next': request.path})}")

    return inner


def proved_lately(request: SignedInRequest) -> bool:
    """Whether a code was entered in this session within the last five minutes."""
    records = get_authentication_records(request, request.user)
    return any(timezone.now().timestamp() - said["at"] < FRESH_SECONDS for said in records)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def prove_again(request: SignedInRequest) -> HttpResponse:
    """Ask for a code, then enter it, and go on to what was asked for."""
    if not request.user.has_mail:
        return _page(request, CodeForm(), waits=False)
    if request.method == "POST" and "send" in request.POST:
        return _send(request)
    waits = codes.waits_for(request.session, _purpose(request)) is not None
    form = CodeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        return _enter(request, form)
    return _page(request, form, waits=waits)


def _send(request: SignedInRequest) -> HttpResponse:
    email = request.user.email
    if not limits.may_as(request, "sign_in_code", email):
        return errors.too_many(request)
    codes.start(request.session, purpose=_purpose(request), email=email)
    return redirect(request.get_full_path())


def _enter(request: SignedInRequest, form: CodeForm) -> HttpResponse:
    if not limits.may_as(request, "try_code", request.user.email):
        return errors.too_many(request)
    try:
        codes.check(request.session, purpose=_purpose(request), code=form.cleaned_data["code"])
    except codes.WrongCode:
        form.add_error("code", "That is not the code. Look at the newest mail.")
        return _page(request, form, waits=True)
    except codes.CodeOver:
        messages.error(request, "That was too often. Ask for another code.")
        return redirect(request.get_full_path())
    record_authentication(request, request.user, method="code", reauthenticated=True)
    return redirect(get_next_redirect_url(request) or "settings")


def _page(request: HttpRequest, form: CodeForm, *, waits: bool) -> HttpResponse:
    return render(request, "account/prove_again.html", {"form": form, "waits": waits})


def _purpose(request: SignedInRequest) -> str:
    return f"again {request.user.pk}"


@login_required
def passkey_needed(request: SignedInRequest) -> HttpResponse:
    return render(request, "account/passkey_needed.html")
