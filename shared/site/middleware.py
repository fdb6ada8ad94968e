"""What every request passes through."""

import logging
import re
from collections.abc import Callable
from http import HTTPStatus
from typing import Any, ClassVar

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse, QueryDict
from django.shortcuts import render

from shared.site.database_trouble import trouble_of

log = logging.getLogger(__name__)
GetResponse = Callable[[HttpRequest], HttpResponse]
COME_BACK = 5  # Seconds.


def wants_json(request: HttpRequest) -> bool:
    return request.path.startswith("/api/")


def refusal(request: HttpRequest, status: int, code: str, text: str) -> HttpResponse:
    """A short answer in the form the caller reads: JSON for the API, a page for people."""
    if wants_json(request):
        return JsonResponse({"code": code, "detail": text}, status=status)
    return render(request, "error.html", {"title": text, "status": status}, status=status)


class OwnPagesOnly:
    """Nothing of ours is for other sites' pages, and ours ask no phone where it is."""

    HEADERS: ClassVar[dict[str, str]] = {
        "Cross-Origin-Resource-Policy": "same-origin",
        "Permissions-Policy": "geolocation=(), payment=(), usb=(), serial=()",
    }

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        for name, value in self.HEADERS.items():
            response.setdefault(name, value)
        return response


class AddressMayChange:
    """A browser that was led to another address asks again the next time.

    It keeps a 301 for good (RFC 9111, 4.2.2), and the owner may choose another address, or none
    with TLS, the day after.
    """

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if response.status_code == HTTPStatus.MOVED_PERMANENTLY:
            response.setdefault("Cache-Control", "no-store")
        return response


def body_limit(path: str) -> int:
    """How many bytes a body may hold at this address: more where files are taken."""
    bigger = settings.BIGGER_BODIES.items()
    return next(
        (most for address, most in bigger if re.fullmatch(address, path)), settings.BODY_LIMIT
    )


class BodyLimit:
    """Refuse an oversized body by its declared length, before anything reads it.

    Our server (shared.web_server) keeps nothing of such a body, and a body without a declared
    length comes with the length it had.
    """

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        limit = body_limit(request.path)
        try:
            length = int(request.META.get("CONTENT_LENGTH") or 0)
        except ValueError:
            length = limit + 1
        if length > limit:
            words = f"That is too big to take. The limit is {limit // (1024 * 1024)} MB."
            return refusal(request, 413, "too_big", words)
        return self.get_response(request)


NUL = "\x00"


def _without_nul(held: QueryDict) -> QueryDict:
    if not any(NUL in text for name, texts in held.lists() for text in (name, *texts)):
        return held
    clean = QueryDict(mutable=True)
    for name, texts in held.lists():
        clean.setlist(name.replace(NUL, ""), [text.replace(NUL, "") for text in texts])
    return clean


class NoNul:
    """Take the NUL character out of forms and addresses: no words have it.

    PostgreSQL cannot keep it, and says so only when a row is written. What comes as JSON is
    checked where it is read.
    """

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.GET = _without_nul(request.GET)  # type: ignore[assignment]
        self._when_read(request)
        return self.get_response(request)

    def _when_read(self, request: Any) -> None:
        """When a view asks for the form, and not before.

        A body may be JSON, or a file of which it is not decided yet whether to read it at
        all. Django has no public place for this.
        """
        read_form = request._load_post_and_files  # noqa: SLF001 (no public place)

        def read_form_without_nul() -> None:
            read_form()
            request._post = _without_nul(request._post)  # noqa: SLF001 (no public place)

        request._load_post_and_files = read_form_without_nul  # noqa: SLF001 (no public place)


class DatabaseTrouble:
    """Answer 503 and when to come back, instead of an error page, in trouble of the database."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        return answer_to_trouble(request, error)


def answer_to_trouble(request: HttpRequest, error: BaseException | None) -> HttpResponse | None:
    """What is said, and written down with its cause; None where it is no trouble of the database.

    Asks no template: what every page shows is asked of the database.
    """
    found = trouble_of(error)
    if found is None:
        return None
    log.log(found.level, "answered 503: %s", error, exc_info=found.level >= logging.ERROR)
    if wants_json(request):
        answer: HttpResponse = JsonResponse({"code": found.code, "detail": found.words}, status=503)
    else:
        answer = HttpResponse(found.words, status=503, content_type="text/plain; charset=utf-8")
    answer["Retry-After"] = str(COME_BACK)
    return answer


class PrivatePages:
    """Keep what a signed-in person sees out of every shared cache."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if "Cache-Control" not in response and request.user.is_authenticated:
            response["Cache-Control"] = "private, no-store"
        return response
