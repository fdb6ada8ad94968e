"""Read a calendar in: paste or send it, look at every event, keep it; take it back as one."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from coaching.timetable import following, reading_in
from coaching.timetable.calendar_in import read
from coaching.timetable.models import ReadIn
from shared.kit.refused import Refused
from shared.people import access, limits
from shared.people.models import Studio
from shared.people.requests import SignedInRequest
from shared.site import errors

MOST_TEXT = 500_000


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def read_in(request: SignedInRequest) -> HttpResponse:
    """The box, and under it what becomes of every event. Nothing is kept before it is taken."""
    studio = access.studio_or_404(request.user, access.PLANNING)
    if request.method != "POST":
        return _page(request, studio, "", {})
    text = request.POST.get("calendar", "")
    try:
        text = _text(request)
        events = read(text, studio.time_zone)
    except Refused as error:
        return _page(request, studio, text, {"fault": str(error)}, status=400)
    students = reading_in.students_of(request.user, studio)
    chosen = {} if request.FILES else _chosen(request, len(events))
    rows = reading_in.rows_of(events, students, chosen, studio)
    count = sum(row.brings for row in rows)
    shown: dict[str, Any] = {"rows": rows, "students": students, "count": count}
    if "keep" in request.POST and not request.FILES and count:
        return _keep(request, studio, text, rows, shown)
    return _page(request, studio, text, shown)


def _keep(
    request: SignedInRequest,
    studio: Studio,
    text: str,
    rows: list[reading_in.CalendarRow],
    shown: dict[str, Any],
) -> HttpResponse:
    if not limits.may(request, "list", str(studio.pk)):
        return errors.too_many(request)
    try:
        made = reading_in.keep(studio=studio, by=request.user, rows=rows)
    except Refused as error:
        return _page(request, studio, text, shown | {"fault": str(error)}, status=400)
    messages.success(request, f"Put on the timetable: {made.series.count()}.")
    return redirect("timetable:timetable")


def _text(request: SignedInRequest) -> str:
    """What was pasted or sent. Raises Refused."""
    sent = request.FILES.get("file")
    typed = request.POST.get("calendar", "")
    if (sent.size or 0 if sent else len(typed)) > MOST_TEXT:
        raise Refused("That is too long. Save a part of the calendar.")
    if sent is None and not typed.strip():
        raise Refused("Choose a file that ends in .ics, or paste what is in it.")
    return sent.read().decode("utf-8", "replace") if sent else typed.strip() + "\n"


def _chosen(request: SignedInRequest, many: int) -> dict[int, str]:
    said = {number: request.POST.get(f"student-{number}", "") for number in range(many)}
    return {number: student for number, student in said.items() if student}


def _page(
    request: SignedInRequest, studio: Studio, text: str, shown: dict[str, Any], status: int = 200
) -> HttpResponse:
    last = ReadIn.objects.filter(studio=studio).order_by("-made_at").first()
    followed = following.followed_by(request.user, studio)
    context = {"studio": studio, "text": text, "last": last, "followed": followed, **shown}
    return render(request, "timetable/read_in.html", context, status=status)


@require_POST
@login_required
def take_back(request: SignedInRequest, read_in_id: UUID) -> HttpResponse:
    studios = access.studios_of(request.user, access.PLANNING)
    found = get_object_or_404(ReadIn, pk=read_in_id, studio__in=studios)
    went = reading_in.take_back(read_in=found)
    messages.success(request, f"Taken back from the timetable: {went}.")
    return redirect("timetable:timetable")
