"""The phone's one page: this folder's HTML, CSS and scripts joined into a single static file.

The page alone shows the week, logs it as asked and sends. The practice screen, the forms, what
hurts, balls one by one and the wedge card are a second script. It bears the page's own hash,
is kept by the worker together with the page, and the page logs without it.

The same bytes for everybody: no name, no token, nothing of a person in it. Its
policy names the one inline script and the one inline style by their hashes.
"""

import base64
import gzip
import hashlib
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import brotli
from django.http import (
    HttpRequest,
    HttpResponse,
    HttpResponseNotFound,
    HttpResponseNotModified,
)
from django.utils.http import parse_etags

from practice.phone.encodings import encoding_for

FOLDER = Path(__file__).parent / "shell"
# In the order they stand in the page: each may use what is above it.
SCRIPTS = ["decide.js", "store.js", "outbox.js", "week.js", "screen.js", "start.js"]
# What the first script hands to the second, which finds it under the same names.
HANDED = """\
    $ act addDays aside ask askFor blockOf changed commit cueOf dayName dayText DO doseName draw
    dropCopy entryName extra flush go h hasCopies here hold hurts idTime list logBlock many moveTo
    newId own partAt partRow partsNow planOf read recall refresh remember renew rootOf
    rows say SCREENS settle show shown signedIn soon stamp state stepName STOPPED sum
    TIMES today unread weekScreen write
"""
MORE = [
    "handed.js",
    "measured.js",
    "short.js",
    "walk.js",
    "owed.js",
    "compare.js",
    "credit.js",
    "pages.js",
    "forms.js",
    "home.js",
    "remind.js",
    "entries.js",
    "words.js",
    "whose.js",
    "clips.js",
    "parcels.js",
    "../../../static/js/still.js",
    "recorded.js",
    "balls.js",
    "practice.js",
    "forget.js",
    "ready.js",
]

# The worker sends with nobody there, by the same code.
WORKER = ["parcels.js", "sw.js"]


@dataclass(frozen=True, slots=True)
class File:
    """A file ready to be sent, in every encoding a browser may ask for."""

    plain: bytes
    content_type: str
    policy: str = ""

    @property
    def etag(self) -> str:
        return f'"{hashlib.sha256(self.plain).hexdigest()[:20]}"'


def source(name: str) -> str:
    text = (FOLDER / name).read_text(encoding="utf-8")
    return text.replace("@HANDED@", ", ".join(HANDED.split()))


def trimmed(text: str) -> str:
    """Without indentation, empty lines and comments that have a line of their own."""
    text = re.sub(r"^\s*/\*.*?\*/\s*$", "", text, flags=re.DOTALL | re.MULTILINE)
    lines = (line.strip() for line in text.splitlines())
    return "\n".join(line for line in lines if line and not line.startswith("//"))


def minified(text: str, kind: str = "application/javascript") -> str:
    """The same script or style in fewer bytes.

    Version 2.24 moves a destructuring before a name of the same function that stands in an
    object of its right-hand side: such an object is named first.
    """
    import minify

    return str(minify.string(kind, text))


def joined(names: list[str], read: Callable[[str], str]) -> str:
    """Several files as one script whose names are nobody else's."""
    together = "\n".join(map(read, names))
    return minified(f"(() => {{\n{together}\n}})();")


def digest(text: str) -> str:
    """As a Content-Security-Policy names an inline script or style."""
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


@cache
def page() -> tuple[bytes, str, str]:
    """The shell, and the hashes of its script and its style."""
    return assembled(source)


def assembled(read: Callable[[str], str]) -> tuple[bytes, str, str]:
    script, more = scripts(read)
    style = minified(read("log.css"), "text/css")
    html = trimmed(read("log.html")).replace("@STYLE@", style).replace("@SCRIPT@", script)
    return html.replace("@HASH@", _hash(html + more)).encode(), digest(script), digest(style)


def scripts(read: Callable[[str], str]) -> tuple[str, str]:
    """The page's own script and the second one, which uses what the first hands over."""
    more = joined(MORE, read).replace("@STYLE@", minified(read("more.css"), "text/css"))
    return joined(SCRIPTS, read), more


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:12]


@cache
def shell_hash() -> str:
    found = re.search(rb'data-shell="(\w+)"', page()[0])
    assert found, "the page must carry its own hash"  # noqa: S101
    return found[1].decode()


@cache
def worker() -> bytes:
    return worker_of(source, shell_hash()).encode()


def worker_of(read: Callable[[str], str], name: str) -> str:
    """The worker of the page whose hash is `name`."""
    return minified("\n".join(map(read, WORKER))).replace("@HASH@", name)


@cache
def shell_file() -> File:
    html, script, style = page()
    policy = (
        f"default-src 'self'; script-src 'sha256-{script}' 'self'; style-src 'sha256-{style}'; "
        "img-src 'self' blob:; media-src 'self' blob:; object-src 'none'; base-uri 'none'; "
        "frame-ancestors 'none'; form-action 'self'; worker-src 'self'; manifest-src 'self'"
    )
    return File(html, "text/html; charset=utf-8", policy)


@cache
def more_file() -> File:
    return File(scripts(source)[1].encode(), "text/javascript; charset=utf-8")


@cache
def worker_file() -> File:
    return File(worker(), "text/javascript; charset=utf-8")


@cache
def manifest_file() -> File:
    return File(source("app.webmanifest").encode(), "application/manifest+json")


@cache
def encoded(file: File, encoding: str) -> bytes:
    if encoding == "br":
        return bytes(brotli.compress(file.plain, quality=11))
    return gzip.compress(file.plain, 9, mtime=0) if encoding == "gzip" else file.plain


def answer(request: HttpRequest, file: File) -> HttpResponse:
    """The file in the best encoding the browser takes, or 304 if it has these very bytes."""
    response: HttpResponse
    if file.etag in parse_etags(request.headers.get("If-None-Match", "").replace("W/", "")):
        response = HttpResponseNotModified()
    else:
        encoding = encoding_for(request)
        response = HttpResponse(encoded(file, encoding), content_type=file.content_type)
        if encoding:
            response["Content-Encoding"] = encoding
    response["ETag"] = f"W/{file.etag}"
    response["Cache-Control"] = "no-cache"
    response["Vary"] = "Accept-Encoding"
    if file.policy:
        response["Content-Security-Policy"] = file.policy
    return response


def shell_response(request: HttpRequest) -> HttpResponse:
    return answer(request, shell_file())


def more_response(request: HttpRequest, name: str) -> HttpResponse:
    """The second script of this very page; of any other one there is nothing."""
    if name != shell_hash():
        return HttpResponseNotFound()
    return answer(request, more_file())


def worker_response(request: HttpRequest) -> HttpResponse:
    return answer(request, worker_file())


def manifest_response(request: HttpRequest) -> HttpResponse:
    return answer(request, manifest_file())
