"""What a request of somebody signed in passes through."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.contrib.auth import logout
from django.contrib.auth.middleware import AuthenticationMiddleware, get_user
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from shared.people import second_factor, sessions
from shared.people.access import NotRecordable
from shared.people.models import User
from shared.site.middleware import refusal, wants_json


class SignedInUser(AuthenticationMiddleware):
    """As Django's own, without asking again for the user who came with the session."""

    def process_request(self, request: Any) -> None:
        super().process_request(request)
        request.user = SimpleLazyObject(lambda: _user_of(request))


def _user_of(request: Any) -> Any:
    if not hasattr(request, "_cached_user") and (user := sessions.user_of(request.session)):
        request._cached_user = user  # noqa: SLF001 (where Django's own looks first)
    return get_user(request)


class SessionAge:
    """End a session that is too old, or was idle too long, for what its user may see."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.user.is_authenticated:
            self._look_at(request, request.user, request.session)
        return self.get_response(request)

    def _look_at(self, request: HttpRequest, user: User, session: Any) -> None:
        now = timezone.now()
        idle = now - (session.seen_at or now)
        # A child's own phone ends with its key, which practice.log looks after.
        by_key = sessions.PHONE in session
        if not by_key and is_too_old(user, now - (session.began_at or now), idle):
            logout(request)
        elif idle > sessions.SEEN_EVERY:
            sessions.note_seen(session.session_key)


def is_too_old(user: User, whole: timedelta, idle: timedelta) -> bool:
    """By role; the roles are asked for only where they decide."""
    staff, others = settings.SESSION_AGES["staff"], settings.SESSION_AGES["others"]
    if whole <= staff.whole and idle <= staff.idle:
        return False
    most = staff if user.roles_by_studio else others
    return whole > most.whole or idle > most.idle


class PasskeyNeeded:
    """Lead whoever works here to their passkeys once the studio's week of waiting is over.

    What stays open: signing in and out, one's own settings, and the phone log, which knows
    nobody but the user and the user's children.
    """

    OPEN = ("/account/", "/settings/", "/log", "/api/key", "/api/week", "/api/sync", "/health/")

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        user = request.user
        if user.is_authenticated and not request.path.startswith(self.OPEN) and is_overdue(user):
            if wants_json(request):
                return refusal(request, 403, "passkey", "Add a passkey first, in the settings.")
            return redirect("passkey_needed")
        return self.get_response(request)


def is_overdue(user: User) -> bool:
    """Whether the user works here without the passkey that is due by now."""
    due = second_factor.needed_from(user)
    return due is not None and due <= timezone.now() and not second_factor.has_passkey(user)


class OwnTimeZone:
    """Show times on the clock of whoever is looking."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.user.is_authenticated:
            timezone.activate(ZoneInfo(request.user.time_zone))
        else:
            timezone.deactivate()
        return self.get_response(request)


class NothingKept:
    """A sentence where somebody writes about a student of whom nothing may be kept any more."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        return nothing_kept(request) if isinstance(error, NotRecordable) else None


def nothing_kept(request: HttpRequest) -> HttpResponse:
    text = "Nothing is kept about this student now, so nothing was saved. Ask the guardian."
    return refusal(request, 409, "consent", text)
