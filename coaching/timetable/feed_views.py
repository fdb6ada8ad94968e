"""Lessons in somebody's own calendar: the page that makes the link, and what it opens."""

from hashlib import sha256
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.http import quote_etag
from django.views.decorators.http import require_http_methods, require_safe

from coaching.timetable import feeds
from shared.people import access, limits
from shared.people.access import Recordable
from shared.people.requests import SignedInRequest
from shared.site import errors, reach


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def coachs(request: SignedInRequest) -> HttpResponse:
    """The coach's own lessons."""
    access.studio_or_404(request.user, access.PLANNING)
    return _page(request, None)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def students(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """A student's lessons, for the student and the guardians."""
    return _page(request, access.student_logged_or_404(request.user, student_id))


def _page(request: SignedInRequest, student: Recordable | None) -> HttpResponse:
    """The link is shown once, when it is made: only its digest is kept."""
    link = ""
    if request.method == "POST" and "end" in request.POST:
        feeds.end(user=request.user, student=student)
        messages.success(request, "The link opens nothing any more.")
        return redirect(request.path)
    if request.method == "POST":
        link = feeds.make(user=request.user, student=student)
    context = {
        "student": student,
        "link": link,
        "is_near": reach.is_only_here(settings.SITE_URL) or reach.is_own_network(settings.SITE_URL),
        "has_link": feeds.open_ones(request.user, student).exists(),
    }
    return render(request, "timetable/calendar.html", context)


@require_safe
def feed(request: HttpRequest, token: str) -> HttpResponse:
    found = feeds.read(token, timezone.now())
    if found is None:
        if not limits.may(request, "bad_link"):
            return errors.too_many(request)
        raise Http404
    answer = HttpResponse(found, content_type="text/calendar; charset=utf-8")
    answer["Content-Disposition"] = 'inline; filename="lessons.ics"'
    # Asked every few hours by every calendar: what has not changed is not sent again.
    answer["Cache-Control"] = "private, no-cache"
    answer["ETag"] = etag = quote_etag(sha256(found).hexdigest()[:32])
    unchanged = get_conditional_response(request, etag, response=answer)
    return unchanged if unchanged is not None else answer
