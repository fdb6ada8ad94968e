"""Where somebody is signed in: see them, end one, end all the others."""

from uuid import UUID

from allauth.account.adapter import get_adapter
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from practice.phone import devices, keys
from shared.people import security, sessions
from shared.people.known_devices import device_of
from shared.people.models import User
from shared.people.requests import SignedInRequest


@require_safe
@login_required
def all_of_them(request: SignedInRequest) -> HttpResponse:
    browser = device_of(request)
    context = {
        "sessions": devices.session_rows(request.user, request.session),
        "keys": devices.key_rows(request.user, browser.id if browser else ""),
    }
    return render(request, "phone/devices.html", context)


@require_POST
@login_required
def end_session(request: SignedInRequest, name: str) -> HttpResponse:
    """One's own session is signed out of, which also ends what this browser holds."""
    if name == sessions.stored_key(request.session.session_key or ""):
        get_adapter().logout(request)
        return redirect("signed_out")
    if not sessions.end(request.user, name):
        raise Http404
    security.note(request, security.Kind.SESSION_ENDED, by=request.user)
    messages.success(request, "That device is signed out.")
    return redirect("log:devices")


@require_POST
@login_required
def end_key(request: SignedInRequest, key_id: UUID) -> HttpResponse:
    if not keys.end(keys.open_keys(request.user).filter(pk=key_id)):
        raise Http404
    security.note(request, security.Kind.KEY_ENDED, by=request.user)
    messages.success(request, "That phone reads no week any more. What waits on it stays there.")
    return redirect("log:devices")


@require_http_methods(["GET", "HEAD", "POST"])
def forget(request: HttpRequest) -> HttpResponse:
    """For whoever holds the phone: its keys end, and it is signed out. What waits stays."""
    if request.method != "POST":
        return render(request, "phone/forget.html")
    if keys.end_of_browser(request):
        by = request.user if isinstance(request.user, User) else None
        security.note(request, security.Kind.KEY_ENDED, by=by, what="forgotten on the phone")
    if request.user.is_authenticated:
        get_adapter().logout(request)
    return redirect("signed_out")


@require_POST
@login_required
def end_others(request: SignedInRequest) -> HttpResponse:
    """Every other session, and every key of the user's own."""
    sessions.end_all(request.user, but=request.session.session_key)
    keys.end(keys.open_keys(request.user).filter(user=request.user))
    security.note(request, security.Kind.SESSION_ENDED, by=request.user, what="all others")
    messages.success(request, "You are signed in on this device only.")
    return redirect("log:devices")
