"""Browsers somebody has signed in with before, so that a stranger's tries do not lock them out.

A signed cookie names a browser and the accounts that signed in there. Tries from a browser
that knows the account are counted apart from everybody else's.
"""

import hashlib
import secrets
from dataclasses import dataclass
from uuid import UUID

from django.conf import settings
from django.core.signing import BadSignature, Signer
from django.http import HttpRequest, HttpResponse

COOKIE = "__Host-device" if settings.HTTPS else "device"
LIVES = 400 * 24 * 3600  # The longest that browsers keep a cookie.
MOST_ACCOUNTS = 10
_signer = Signer(salt="shared.people.known_devices")


@dataclass(frozen=True, slots=True)
class Device:
    """A browser: a random id, and the accounts it knows, latest first."""

    id: str
    accounts: tuple[str, ...] = ()

    def knows(self, email: str) -> bool:
        return _name(email) in self.accounts

    def knowing(self, email: str) -> "Device":
        others = (name for name in self.accounts if name != _name(email))
        return Device(self.id, (_name(email), *others)[:MOST_ACCOUNTS])

    def __str__(self) -> str:
        return ".".join((self.id, *self.accounts))


def _name(email: str) -> str:
    """Short: it tells accounts of one browser apart, and opens nothing."""
    return hashlib.sha256(email.strip().lower().encode()).hexdigest()[:16]


def device_of(request: HttpRequest) -> Device | None:
    """The browser that asks, if it has our cookie."""
    try:
        device_id, *accounts = _signer.unsign(request.COOKIES.get(COOKIE, "")).split(".")
    except BadSignature:
        return None
    return Device(device_id, tuple(accounts))


def is_known(request: HttpRequest, email: str) -> bool:
    device = device_of(request)
    return device is not None and device.knows(email)


def bucket(request: HttpRequest, email: str) -> str:
    """Under what tries for this account are counted: a known browser's own, or all the others'."""
    device = device_of(request)
    name = email.strip().lower()
    return f"{name} {device.id}" if device and device.knows(email) else name


def tell_page(response: HttpResponse, user_id: UUID) -> None:
    """Let the phone's page see that another person has signed in since. It opens nothing."""
    response.set_cookie(
        "signed", user_id.hex[:8], max_age=LIVES, path="/log", samesite="Strict",
        secure=settings.HTTPS,
    )  # fmt: skip


def remember(request: HttpRequest, response: HttpResponse, email: str = "") -> Device:
    """Leave the cookie in this browser, knowing the account that signed in, if one did."""
    device = device_of(request) or Device(secrets.token_urlsafe(18))
    if email:
        device = device.knowing(email)
    response.set_cookie(
        COOKIE, _signer.sign(str(device)), max_age=LIVES, httponly=True, samesite="Lax",
        secure=settings.HTTPS,
    )  # fmt: skip
    return device
