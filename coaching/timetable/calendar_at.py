"""A calendar at an address, asked for as RFC 9110 says: only what is new, and never too much.

Each step of a redirect goes the guarded way again (shared.site.guarded), so that no address
leads into a network of ours.
"""

import http.client
import time
from dataclasses import dataclass
from urllib.parse import urljoin, urlsplit

from shared.kit.refused import Refused
from shared.site import guarded

LONGEST_ADDRESS = 1000
TIMEOUT = 15.0  # Seconds of the whole, however slowly it comes and wherever it leads.
MOST_BYTES = 5_000_000
MOST_STEPS = 4
REDIRECTS = (301, 302, 303, 307, 308)
GONE = (404, 410)
CLOSED = (401, 403)


@dataclass(frozen=True, slots=True)
class CalendarAnswer:
    """What stood there, with what to ask by the next time. Without a text nothing is new."""

    text: str | None
    etag: str = ""
    modified: str = ""


def checked_address(typed: str) -> str:
    """An https address, as it was typed or as `webcal:` means it. Raises Refused."""
    address = typed.strip()
    if address.lower().startswith(("webcal://", "webcals://")):
        address = "https" + address[address.index(":") :]
    try:
        parts = urlsplit(address)
        _ = parts.port
    except ValueError:
        raise Refused("This is no address.", "address") from None
    if len(address) > LONGEST_ADDRESS or not address.isascii() or not address.isprintable():
        raise Refused("This is no address of a calendar.", "address")
    if " " in address or parts.scheme != "https" or not parts.hostname:
        raise Refused("The address begins with https:// or webcal://.", "address")
    if parts.username is not None:
        raise Refused("Use the secret address of your calendar, without a password.", "address")
    if not guarded.looks_public(parts.hostname):
        raise Refused("This address is not on the internet. Save it as a file.", "address")
    return address


def read_address(address: str, etag: str = "", modified: str = "") -> CalendarAnswer:
    """Ask for it once, following its redirects. Raises Refused."""
    asked = {"If-None-Match": etag, "If-Modified-Since": modified}
    kept = {name: value for name, value in asked.items() if value}
    end = time.monotonic() + TIMEOUT
    for _ in range(MOST_STEPS):
        found = _one(address, kept, max(0.1, end - time.monotonic()))
        if isinstance(found, CalendarAnswer):
            return found
        try:
            address = checked_address(urljoin(address, found))
        except (Refused, ValueError):
            raise Refused("It leads to an address that is not read from here.") from None
    raise Refused("It leads from one address to the next, without an end.")


def _one(address: str, asked: dict[str, str], seconds: float) -> CalendarAnswer | str:
    """The answer, or where it leads."""
    parts = urlsplit(address)
    target = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
    headers = {"Accept": "text/calendar, */*;q=0.1", "Accept-Encoding": "identity",
               "User-Agent": "between-lessons", **asked}  # fmt: skip

    def ask(connection: http.client.HTTPSConnection) -> CalendarAnswer | str:
        connection.request("GET", target, headers=headers)
        return _taken(connection.getresponse())

    try:
        return guarded.talk(parts.hostname or "", parts.port or 443, seconds, ask)
    except guarded.NotReached as error:
        raise Refused("Nothing on the internet answers at its address.") from error
    except guarded.CutOff as error:
        raise Refused("It broke off, or took too long.") from error


def _taken(answer: http.client.HTTPResponse) -> CalendarAnswer | str:
    code, where = answer.status, answer.getheader("Location")
    if code == 304:
        return CalendarAnswer(None)
    if code in REDIRECTS and where:
        return where
    if code in GONE:
        raise Refused("There is no calendar at its address any more.")
    if code in CLOSED:
        raise Refused("Its address asks for a password. Make it a secret address.")
    if code != 200:
        raise Refused(f"It answered with error {code}.")
    if answer.getheader("Content-Encoding", "identity").lower() not in {"", "identity"}:
        raise Refused("It answers in a form that is not read here.")
    said = answer.read(MOST_BYTES + 1)
    if len(said) > MOST_BYTES:
        raise Refused(f"It is longer than {MOST_BYTES // 1_000_000} MB. Share a smaller calendar.")
    if answer.length:  # The connection ended before all of it came.
        raise Refused("It broke off, or took too long.")
    return CalendarAnswer(
        said.decode("utf-8", "replace").replace("\x00", ""),
        _kept(answer.getheader("ETag"), 300), _kept(answer.getheader("Last-Modified"), 60),
    )  # fmt: skip


def _kept(header: str | None, longest: int) -> str:
    """A validator to ask by the next time; one that cannot be kept whole is none."""
    said = (header or "").strip()
    return said if len(said) <= longest and said.isascii() and said.isprintable() else ""
