"""Pages sent compressed to whoever asked for them from here."""

from typing import ClassVar

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware


class CompressedPages(GZipMiddleware):
    """Pages alone: scripts and the phone's answers come compressed from where they are made.

    How long a compressed page is tells something of what stands in it beside what was asked
    for (BREACH, 2013). Nobody else's page may make ours that long: only what the browser says
    was asked from this site, or by hand, is compressed. What forms bear as a secret is masked
    anew in every answer, and some random bytes are added to each.
    """

    FROM_HERE: ClassVar[frozenset[str]] = frozenset({"same-origin", "none"})

    def process_response(
        self, request: HttpRequest, response: HttpResponseBase
    ) -> HttpResponseBase:
        is_page = response.headers.get("Content-Type", "").startswith("text/html")
        if not (is_page and isinstance(response, HttpResponse)):
            return response
        if request.headers.get("Sec-Fetch-Site", "") not in self.FROM_HERE:
            return response
        return super().process_response(request, response)
