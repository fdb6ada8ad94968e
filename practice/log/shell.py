"""The phone's one page: this folder's HTML, CSS and scripts joined into a single static file.

What few need at once, balls one by one and the wedge card, is a second script. It bears
the page's own hash, is kept by the worker together with the page, and the page works
without it.

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

from practice.log.minify import minified, minified_together

FOLDER = Path(__file__).parent / "shell"
# In the order they stand in the page: each may use what is above it.
SCRIPTS = ["decide.js", "store.js", "outbox.js", "week.js", "screen.js", "start.js"]
MORE = ["measured.js", "balls.js"]


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
    return (FOLDER / name).read_text(encoding="utf-8")


def trimmed(text: str) -> str:
    """Without indentation, empty lines and comments that have a line of their own."""
    text = re.sub(r"^\s*/\*.*?\*/\s*$", "", text, flags=re.DOTALL | re.MULTILINE)
    lines = (line.strip() for line in text.splitlines())
    return "\n".join(line for line in lines if line and not line.startswith("//"))


def trimmed_css(text: str) -> str:
    return re.sub(r"\s*([{};,>])\s*|(?<=:)\s+", r"\1", trimmed(text)).replace(";}", "}")


def digest(text: str) -> str:
    """As a Content-Security-Policy names an inline script or style."""
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


@cache
def page() -> tuple[bytes, str, str]:
    """The shell, and the hashes of its script and its style."""
    return assembled(source)


def assembled(read: Callable[[str], str]) -> tuple[bytes, str, str]:
    script, more = scripts(read)
    style = trimmed_css(read("log.css"))
    html = trimmed(read("log.html")).replace("@STYLE@", style).replace("@SCRIPT@", script)
    return html.replace("@HASH@", _hash(html + more)).encode(), digest(script), digest(style)


def scripts(read: Callable[[str], str]) -> list[str]:
    """The page's own script and the second one, which uses the names of the first."""
    return minified_together(["\n".join(map(read, names)) for names in (SCRIPTS, MORE)])


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:12]


@cache
def shell_hash() -> str:
    found = re.search(rb'data-shell="(\w+)"', page()[0])
    assert found, "the page must carry its own hash"  # noqa: S101
    return found[1].decode()


@cache
def worker() -> bytes:
    return minified(source("sw.js")).replace("@HASH@", shell_hash()).encode()


@cache
def shell_file() -> File:
    html, script, style = page()
    policy = (
        f"default-src 'self'; script-src 'sha256-{script}' 'self'; style-src 'sha256-{style}'; "
        "img-src 'self'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; "
        "form-action 'self'; worker-src 'self'; manifest-src 'self'"
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
        return brotli.compress(file.plain, quality=11)
    return gzip.compress(file.plain, 9, mtime=0) if encoding == "gzip" else file.plain


def encoding_for(request: HttpRequest) -> str:
    accepted = {
        part.split(";")[0].strip()
        for part in request.headers.get("Accept-Encoding", "").split(",")
        if not re.search(r";\s*q=0(\.0*)?\s*$", part)
    }
    return next((name for name in ("br", "gzip") if name in accepted), "")


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
