"""The phone log's own files, and the link that opens a week without a sign-in."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from practice.phone import shell as phone
from practice.phone.handing_over import hand_over
from practice.phone.links import LinkOver, read_link, take_link
from shared.people import known_devices, ready
from shared.people.events import tell_looked_at


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
        return render(request, "phone/link_over.html", status=410)
    if request.method == "GET":
        return render(request, "phone/open_week.html", {"name": link.student.name})
    answer = HttpResponseRedirect(reverse("log:shell"))
    browser = known_devices.remember(request, answer).id
    secret = take_link(link, request.headers.get("User-Agent", ""), browser)
    tell_looked_at(link.reader, link.student)
    ready.note_phone(request)
    return hand_over(answer, link.student, secret)
