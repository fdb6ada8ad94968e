"""The conversation with a browser's push service (RFC 8030), and what its end tells us.

An endpoint is an address that somebody's browser gave us: it is reached the guarded way alone.
"""

import http.client
import json
import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from email.utils import parseaddr
from functools import cache
from urllib.parse import urlsplit

from cryptography.hazmat.primitives.asymmetric import ec
from django.conf import settings

from shared.outbox import web_push
from shared.outbox.mail_sender import NoAnswer, NotOffered
from shared.site import guarded
from shared.site.kept_secret import kept_secret

log = logging.getLogger(__name__)

LONGEST_ENDPOINT = 500
TIMEOUT = 10.0  # Seconds of one conversation, however slowly it is answered.
GONE = (404, 410)
KEY_FILE = "push_key"


class PushRefused(NotOffered):
    """The push service did not take it; `gone` says that it never will again."""

    def __init__(self, code: int) -> None:
        self.gone = code in GONE
        super().__init__(f"the push service answered {code}")


@dataclass(frozen=True, slots=True)
class PushEndpoint:
    """A browser that has asked for it: where to send, and for whose eyes to seal."""

    endpoint: str
    p256dh: str
    auth: str


@dataclass(frozen=True, slots=True)
class Nudge:
    """A few words to every device of one person. The same `name` replaces, it never doubles."""

    devices: tuple[PushEndpoint, ...]
    name: str
    title: str
    body: str
    opens: str
    until: datetime

    def payload(self) -> bytes:
        """Declarative, so that a browser can show it without our worker; no word of health."""
        shown = {"title": self.title, "body": self.body, "navigate": self.opens, "tag": self.name}
        return json.dumps({"web_push": 8030, "notification": shown}, ensure_ascii=False).encode()


def fault_of(endpoint: str) -> str:
    """Why an address cannot be a push service's, as a sentence; empty if it can."""
    try:
        parts = urlsplit(endpoint)
        port = parts.port
    except ValueError:
        return "This is no address."
    if len(endpoint) > LONGEST_ENDPOINT or not endpoint.isascii() or not endpoint.isprintable():
        return "This is no address of a push service."
    if parts.scheme != "https" or not parts.hostname or parts.username is not None:
        return "A push service has an https address."
    if port not in {None, 443}:
        return "A push service answers on the usual port."
    return "" if guarded.looks_public(parts.hostname) else "This address is not on the internet."


def post(device: PushEndpoint, nudge: Nudge, now: datetime) -> None:
    """Returns when the push service took it. Raises Refused, NotOffered or NoAnswer."""
    left = int((nudge.until - now).total_seconds())
    try:
        body = web_push.sealed(nudge.payload(), p256dh=device.p256dh, auth=device.auth)
    except ValueError as error:
        raise NotOffered(str(error)) from error
    headers = {
        "TTL": str(max(0, min(left, 24 * 3600))),
        "Urgency": "normal",
        "Topic": nudge.name.replace("-", "")[:32],
        "Content-Encoding": "aes128gcm",
        "Content-Type": "application/octet-stream",
        "Authorization": web_push.signed(device.endpoint, our_key(), subject(), now),
    }
    code = _status(device.endpoint, body, headers)
    if not 200 <= code < 300:
        raise PushRefused(code)


def offer(nudge: Nudge, now: datetime, gone: Callable[[str], object]) -> bool:
    """Whether any device's service took it. Raises NoAnswer where that cannot be known."""
    taken, lost = 0, None
    for device in nudge.devices:
        try:
            post(device, nudge, now)
            taken += 1
        except NoAnswer as error:
            lost = error
        except NotOffered as error:
            log.warning("not pushed: %s", error)
            if isinstance(error, PushRefused) and error.gone:
                gone(device.endpoint)
    if lost is not None and not taken:
        raise lost
    return taken > 0


@cache
def our_key() -> ec.EllipticCurvePrivateKey:
    """By which browsers know us. Made at the first use; a new one would end every device's."""
    kept = kept_secret(
        settings.DATA_DIR / KEY_FILE, lambda: web_push.to_text(web_push.new_scalar())
    )
    return web_push.key_from(web_push.to_bytes(kept))


@cache
def our_point() -> str:
    """What a browser is told, so that only we can reach it."""
    return web_push.to_text(web_push.point_of(our_key().public_key()))


def subject() -> str:
    """Whom a push service may ask about us (RFC 8292, 2.1)."""
    if settings.SITE_URL.startswith("https://"):
        return settings.SITE_URL
    return f"mailto:{parseaddr(settings.DEFAULT_FROM_EMAIL)[1]}"


def _status(endpoint: str, body: bytes, headers: dict[str, str]) -> int:
    """What it answered. Nothing is followed and nothing read but the head of the answer."""
    parts = urlsplit(endpoint)
    target = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")

    def answered(connection: http.client.HTTPSConnection) -> int:
        connection.request("POST", target, body, headers)
        return connection.getresponse().status

    try:
        return guarded.talk(parts.hostname or "", parts.port or 443, TIMEOUT, answered)
    except guarded.NotReached as error:
        raise NotOffered(f"no connection: {error}") from error
    except guarded.CutOff as error:
        raise NoAnswer(f"connection lost: {error}") from error
