"""The cheap part of the attacks, tried on a running site from outside.

Nobody signs in and nothing is written. `manage.py doctor` asks it; a page that asked its own
server could wait for itself.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from http.client import HTTPConnection, HTTPException, HTTPSConnection
from urllib.parse import urlsplit

from shared.checkup import CheckFinding

SECONDS = 10
EVIL = "evil.example"  # RFC 2606: a name that is nobody's.
CLOSED = ("/house/", "/house/events/", "/people/", "/students/", "/api/week", "/health/metrics")
HIDDEN = (
    "/.env", "/.git/config", "/secret_key", "/practice.sqlite3", "/static/../secret_key",
    "/static/%2e%2e/practice.sqlite3",
)  # fmt: skip
MEND = "Look at what stands in front of the server; else tell of it, as in .github/SECURITY.md."


@dataclass(frozen=True, slots=True)
class HttpAnswer:
    status: int
    headers: dict[str, str]
    body: str


@dataclass(frozen=True, slots=True)
class Site:
    """An address that is asked without following where it leads."""

    url: str

    @property
    def is_https(self) -> bool:
        return self.url.startswith("https:")

    def ask(self, path: str, method: str = "GET", **headers: str) -> HttpAnswer:
        kind = HTTPSConnection if self.is_https else HTTPConnection
        connection = kind(urlsplit(self.url).netloc, timeout=SECONDS)
        try:
            given = {name.replace("_", "-"): value for name, value in headers.items()}
            connection.request(method, path, headers=given)
            found = connection.getresponse()
            said = {name.lower(): value for name, value in found.getheaders()}
            return HttpAnswer(found.status, said, found.read(100_000).decode(errors="replace"))
        finally:
            connection.close()


def _foreign_host(site: Site) -> bool:
    return site.ask("/account/login/", Host=EVIL).status == 400


def _forged_address(site: Site) -> bool:
    answer = site.ask("/house/", X_Forwarded_Host=EVIL, X_Forwarded_Proto="ftp")
    return EVIL not in answer.headers.get("location", "") + answer.body


def _closed(site: Site) -> bool:
    return all(site.ask(path).status in {302, 401, 403, 404} for path in CLOSED)


def _hidden(site: Site) -> bool:
    return all(site.ask(path).status in {301, 302, 400, 403, 404} for path in HIDDEN)


def _foreign_form(site: Site) -> bool:
    form = "application/x-www-form-urlencoded"
    answer = site.ask(
        "/account/login/", "POST", Origin=f"https://{EVIL}", Content_Type=form, Content_Length="0"
    )
    return answer.status == 403


def _too_big(site: Site) -> bool:
    try:
        return site.ask("/account/login/", "POST", Content_Length=str(10**9)).status == 413
    except ConnectionError:  # Closed before it was read, which is as good.
        return True


def _headers(site: Site) -> bool:
    said = site.ask("/account/login/").headers
    policy = said.get("content-security-policy", "")
    return (
        "default-src" in policy
        and "frame-ancestors 'none'" in policy
        and "unsafe-eval" not in policy
        and said.get("x-content-type-options") == "nosniff"
        and "referrer-policy" in said
        and (not site.is_https or "strict-transport-security" in said)
    )


def _cookies(site: Site) -> bool:
    said = site.ask("/account/login/").headers.get("set-cookie", "").lower()
    return not said or ("samesite" in said and (not site.is_https or "secure" in said))


TRIES: tuple[tuple[str, Callable[[Site], bool]], ...] = (
    ("A host name that is not ours is answered.", _foreign_host),
    ("A forged forwarding header comes back in a page.", _forged_address),
    ("A page of the studio opens without a sign-in.", _closed),
    ("A file that is nobody's business may be fetched.", _hidden),
    ("A form of another site is taken.", _foreign_form),
    ("A body of a gigabyte is waited for.", _too_big),
    ("Pages do not tell browsers what to keep off.", _headers),
    ("Cookies go where they should not.", _cookies),
)


def findings(url: str) -> Iterable[CheckFinding]:
    """What of it succeeds on the site at this address."""
    site, failed = Site(url), 0
    for words, holds in TRIES:
        try:
            is_well = holds(site)
        except (OSError, HTTPException) as error:
            why = " ".join(str(error).split())
            mend = "Start it, or say with --url where this machine reaches it."
            yield CheckFinding("From outside", f"{url} does not answer: {why}.", mend)
            return
        if not is_well:
            failed += 1
            yield CheckFinding("From outside", words, MEND)
    if not failed:
        yield CheckFinding("From outside", f"{len(TRIES)} attacks on {url} came to nothing.")
