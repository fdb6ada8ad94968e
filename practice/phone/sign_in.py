"""Who is sending: a device with its log key, or somebody signed in.

A log key is not sent by browsers on their own, so it needs no further proof. The
sign-in cookie is, so a request that writes with it must come from our own pages.
Nothing here ever redirects.
"""

from urllib.parse import urlsplit

from django.conf import settings
from django.http import HttpRequest
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import APIException, NotAuthenticated
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from practice.log.models import LogKey
from practice.phone.keys import find_key, was_ended
from shared.people.models import User

SCHEME = "LogKey"
SAFE = {"GET", "HEAD", "OPTIONS"}


class SignInNeeded(NotAuthenticated):
    default_code = "login"
    default_detail = "Sign in to send. What you saved stays on this phone."


class KeyEnded(SignInNeeded):
    """Somebody ended this key: the phone must not go on showing what it read."""

    ended = True


class NotFromHere(APIException):
    status_code = 403
    default_code = "origin"
    default_detail = "Send this from the app’s own pages."


class LogKeyAuthentication(BaseAuthentication):
    """`Authorization: LogKey <secret>`; one that opens nothing any more is as none.

    Of one that was ended on purpose the answer says so.
    """

    def authenticate(self, request: Request) -> tuple[User, LogKey] | None:
        secret = secret_of(request)
        if not secret:
            return None
        key = getattr(request, "log_key", None) or find_key(secret)
        if key is None and was_ended(secret):
            raise KeyEnded
        return (key.user, key) if key else None

    def authenticate_header(self, request: Request) -> str:
        return SCHEME


def secret_of(request: HttpRequest | Request) -> str:
    """Of the key that a request comes with; empty without one."""
    scheme, _, secret = request.META.get("HTTP_AUTHORIZATION", "").partition(" ")
    return secret.strip() if scheme == SCHEME and secret.isascii() else ""


class OwnPagesAuthentication(BaseAuthentication):
    """The sign-in cookie, from our own pages only if it writes."""

    def authenticate(self, request: Request) -> tuple[User, None] | None:
        user = getattr(request._request, "user", None)  # noqa: SLF001 (Django's own request)
        if user is None or not user.is_authenticated or not user.is_active:
            return None
        if request.method not in SAFE and not is_from_here(request):
            raise NotFromHere
        return user, None

    def authenticate_header(self, request: Request) -> str:
        return SCHEME


def is_from_here(request: Request) -> bool:
    """JSON, which a foreign form cannot send, and a browser's word that the page is ours."""
    if request.content_type.partition(";")[0].strip() != "application/json":
        return False
    site = request.headers.get("Sec-Fetch-Site")
    if site is not None:
        return site == "same-origin"
    origin = request.headers.get("Origin", "")
    own = urlsplit(settings.SITE_URL)
    return origin in {
        f"{own.scheme}://{own.netloc}",
        f"{request.scheme}://{request.get_host()}",
    }


class SignedIn(BasePermission):
    """Anybody who is signed in; everybody else gets 401 and the word 'login'."""

    def has_permission(self, request: Request, view: object) -> bool:
        if not request.user.is_authenticated:
            raise SignInNeeded
        return True


def signed_in(request: Request) -> User:
    """The user of a request that SignedIn has let in."""
    if not isinstance(request.user, User):
        raise SignInNeeded
    return request.user


class LogKeyScheme(OpenApiAuthenticationExtension):
    target_class = "practice.phone.sign_in.LogKeyAuthentication"
    name = "LogKey"

    def get_security_definition(self, auto_schema: object) -> dict[str, str]:
        return {"type": "apiKey", "in": "header", "name": "Authorization"}


class OwnPagesScheme(OpenApiAuthenticationExtension):
    target_class = "practice.phone.sign_in.OwnPagesAuthentication"
    name = "SignInCookie"

    def get_security_definition(self, auto_schema: object) -> dict[str, str]:
        return {"type": "apiKey", "in": "cookie", "name": settings.SESSION_COOKIE_NAME}
