"""A name for each request, on its answer and on every line of the log that it causes."""

import re
import secrets
from collections.abc import Callable
from contextvars import ContextVar

from django.http import HttpRequest, HttpResponse

HEADER = "X-Request-ID"
AS_GIVEN = "HTTP_X_REQUEST_ID"  # Of all headers a log asks for three: none is sorted for it.
current: ContextVar[str] = ContextVar("request", default="")
_GIVEN = re.compile(r"[A-Za-z0-9-]{8,64}")


class RequestName:
    """Takes the name that a proxy of ours gave, else makes one. Says nothing of anybody."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        given = request.META.get(AS_GIVEN, "")
        token = current.set(given if _GIVEN.fullmatch(given) else secrets.token_hex(8))
        try:
            response = self.get_response(request)
            response[HEADER] = current.get()
        finally:
            current.reset(token)
        return response
