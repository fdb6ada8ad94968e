"""The phone log's own files, and the link that opens a week without a sign-in."""

from urllib.parse import urlencode

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from practice.log import shell as phone
from practice.log.links import LinkOver, read_link, take_link

TAKEN_WITHIN = 600  # Seconds: enough for a bad network, too little to be waited for.


@require_safe
def shell(request: HttpRequest) -> HttpResponse:
    """The same page for everybody; what it shows is on the phone or comes by the API."""
    return phone.shell_response(request)


@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    return phone.worker_response(request)


@require_safe
def more(request: HttpRequest, name: str) -> HttpResponse:
    return phone.more_response(request, name)


@require_safe
def manifest(request: HttpRequest) -> HttpResponse:
    return phone.manifest_response(request)


@never_cache
@require_http_methods(["GET", "POST"])
def open_week(request: HttpRequest, token: str) -> HttpResponse:
    """A button first, so that a mail program's look ahead opens nothing."""
    try:
        link = read_link(token)
    except LinkOver:
        return render(request, "log/link_over.html", status=410)
    if request.method == "GET":
        return render(request, "log/open_week.html", {"name": link.student.name})
    secret = take_link(link, request.headers.get("User-Agent", ""))
    # After the #, so that no server and no log ever sees the key.
    key = {"key": secret, "who": str(link.student.pk), "name": link.student.name}
    page = reverse("log:shell")
    answer = HttpResponseRedirect(f"{page}#{urlencode(key)}")
    # The page takes a key only where this button was pressed: an address made up by
    # somebody else never has the phone log for another student.
    answer.set_cookie(
        "link", f"{link.student.pk}.", max_age=TAKEN_WITHIN, path=page, samesite="Strict",
        secure=settings.SESSION_COOKIE_SECURE,
    )  # fmt: skip
    return answer
