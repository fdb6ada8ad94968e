"""Follow a calendar at an address: add it, look at what is new in it, take it, stop it."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coaching.timetable import following, reading_in
from coaching.timetable.models import Followed
from shared.kit.refused import Refused
from shared.people import access, limits
from shared.people.models import User
from shared.people.requests import SignedInRequest
from shared.people.undo import Facts, id_of, takes_back, with_undo
from shared.site import errors


@require_POST
@login_required
def follow(request: SignedInRequest) -> HttpResponse:
    """Add the address; its page says when it was read."""
    studio = access.studio_or_404(request.user, access.PLANNING)
    if not limits.may(request, "calendar", str(request.user.pk)):
        return errors.too_many(request)
    try:
        found = following.add(
            studio=studio, by=request.user, address=request.POST.get("address", "")
        )
    except Refused as error:
        messages.error(request, str(error))
        return redirect("timetable:read_in")
    return redirect("timetable:followed", found.pk)


def _own_or_404(user: User, followed_id: UUID, *, is_open: bool = True) -> Followed:
    """Whose calendar it is alone sees what is in it."""
    studios = access.studios_of(user, access.PLANNING)
    own = Followed.objects.filter(by=user, studio__in=studios, stopped_at__isnull=is_open)
    return get_object_or_404(own.select_related("studio", "by"), pk=followed_id)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def followed(request: SignedInRequest, followed_id: UUID) -> HttpResponse:
    """What it would change. Nothing is changed before it is taken."""
    found = _own_or_404(request.user, followed_id)
    if request.method == "POST" and "stop" in request.POST:
        return _stop(request, found)
    if request.method == "POST" and "again" in request.POST:
        if not limits.may(request, "calendar", str(request.user.pk)):
            return errors.too_many(request)
        following.read_soon(followed=found)
        return redirect("timetable:followed", found.pk)
    students = reading_in.students_of(request.user, found.studio)
    chosen = _chosen(request, found)
    rows = following.rows_of(found, students, chosen)
    if request.method == "POST" and request.POST.get("seen") == following.seen_of(found):
        count, refused = following.take(followed=found, rows=rows)
        for each in refused:
            messages.error(request, each)
        messages.success(request, f"Taken from your calendar: {count}.")
        return redirect("timetable:followed", found.pk)
    if request.method == "POST":
        messages.error(request, "The calendar was read again meanwhile. Look once more.")
    context = _context(found) | {
        "rows": rows,
        "students": students,
        "count": sum(row.takes for row in rows),
        "seen": following.seen_of(found),
    }
    return render(request, "timetable/followed.html", context)


def _context(found: Followed) -> dict[str, Any]:
    return {
        "followed": found,
        "host": found.host,
        "is_waiting": found.read_at is None and not found.failed,
        "as_taken": found.events.exclude(series=None).count(),
    }


def _chosen(request: SignedInRequest, found: Followed) -> dict[int, str]:
    said = {pk: request.POST.get(f"student-{pk}", "")
            for pk in found.events.values_list("pk", flat=True)}  # fmt: skip
    return {pk: student for pk, student in said.items() if student}


@require_safe
@login_required
def progress(request: SignedInRequest, followed_id: UUID) -> HttpResponse:
    """Whether it has been read yet, for the page's script."""
    found = _own_or_404(request.user, followed_id)
    return render(request, "timetable/_followed_state.html", _context(found))


def _stop(request: SignedInRequest, found: Followed) -> HttpResponse:
    following.stop(followed=found)
    page = reverse("timetable:timetable")
    words = "The calendar is read no more. Its lessons stay on the timetable."
    messages.success(request, with_undo(request, words, "follow", back=page, followed=found.pk))
    return redirect(page)


@takes_back("follow")
def _follow_again(user: User, facts: Facts) -> str:
    following.go_on(followed=_own_or_404(user, id_of(facts, "followed"), is_open=False))
    return "The calendar is read again."
