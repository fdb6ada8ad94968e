"""Load the demo, walk in as one of its people, and take it away again."""

from collections.abc import Iterator
from uuid import UUID

from django.conf import settings
from django.contrib.auth import login, logout
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.utils.html import format_html
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coaching.demo.load import AlreadyInUse, load
from coaching.demo.remove import remove
from coaching.demo.sign_ins import demo_users, is_demo_only
from coaching.demo.tour import stops
from shared.people import access
from shared.people.requests import SignedInRequest

BACKEND = "allauth.account.auth_backends.AuthenticationBackend"
# Browsers and proxies hold back the first bytes of an answer; this fills them.
FILL = "<!-- " + " " * 1024 + " -->"


@require_POST
def load_demo(request: HttpRequest) -> StreamingHttpResponse:
    """Stream the page while the demo loads, one line per student. Not on a public server."""
    if settings.PRODUCTION:
        raise Http404
    page = render_to_string("demo/loading.html", request=request)
    head, tail = page.split("<!-- progress -->")
    response = StreamingHttpResponse(_progress(head + FILL, tail))
    response["Cache-Control"] = "no-store"
    response["X-Accel-Buffering"] = "no"
    return response


def _progress(head: str, tail: str) -> Iterator[str]:
    yield head
    try:
        for line in load():
            yield format_html("<li>{}</li>\n", line)
    except AlreadyInUse as refusal:
        yield format_html("<li class='care'>{}</li>\n", str(refusal))
    yield tail


@require_POST
def sign_in(request: HttpRequest) -> HttpResponse:
    """Walk in as one of the demo's people; only while nothing but the demo lives here."""
    try:
        user_id = UUID(request.POST.get("user", ""))
    except ValueError as error:
        raise Http404 from error
    user = get_object_or_404(demo_users(), pk=user_id)
    login(request, user, backend=BACKEND)
    return redirect("demo:tour" if access.teaches(user) else "home")


@require_GET
@login_required
def tour(request: SignedInRequest) -> HttpResponse:
    """For those who teach in the demo; while nothing but the demo lives here."""
    if not is_demo_only() or not access.teaches(request.user):
        raise Http404
    return render(request, "demo/tour.html", {"stops": stops()})


@require_http_methods(["GET", "HEAD", "POST"])
def remove_demo(request: HttpRequest) -> HttpResponse:
    """Ask first, also where the page is opened again; only while nothing but the demo lives here.
    On a public server a shell does it."""
    if settings.PRODUCTION or not is_demo_only():
        raise Http404
    if request.POST.get("sure") != "yes":
        return render(request, "demo/remove.html")
    logout(request)
    remove()
    return redirect("home")
