"""Pages for what went wrong, in words that say what to do."""

import sys

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils.html import escape

from shared.site.middleware import answer_to_trouble, refusal, wants_json
from shared.site.requests_named import current

# Asks nothing of the templates, the database or the files: any of them may be what failed. The
# browser asks for the house's looks by itself; without them it is dark on light.
FAULT_PAGE = """<!doctype html>
<html lang="en">
<head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light"><title>Something went wrong</title>
<link rel="stylesheet" href="/static/css/notebook.css"></head>
<body><main><h1>Something went wrong on our side</h1>
<p>{said}</p>
<p>If it comes again, tell your studio this name of the fault: <strong>{name}</strong></p>
<p><a href="/">Back to the first page</a></p></main></body>
</html>
"""


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    title = "This page was open too long. Go back, reload it and send again."
    return refusal(request, 403, "csrf", title)


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    title = "There is no such page, or it is not yours to see."
    return refusal(request, 404, "not_found", title)


def server_error(request: HttpRequest) -> HttpResponse:
    """Django calls this where the error is caught. What a middleware asks comes by here alone."""
    if answer := answer_to_trouble(request, sys.exc_info()[1]):
        return answer
    said = "What you saved before is safe. Try again in a moment."
    if wants_json(request):
        return JsonResponse({"code": "fault", "detail": said}, status=500)
    page = FAULT_PAGE.format(said=escape(said), name=escape(current.get()))
    return HttpResponse(page, status=500)


def too_many(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    title = "Too many tries. Wait five minutes, then try again."
    response = refusal(request, 429, "too_many", title)
    response["Retry-After"] = "300"
    return response
