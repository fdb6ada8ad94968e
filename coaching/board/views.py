"""Who needs me, how it was worked out, and the lines a coach writes from there."""

from datetime import date
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_POST

from coaching.board.figures import worked_out_of
from coaching.board.queries import board, one_student
from coaching.standing.models import Tried
from coaching.standing.tried import write_tried
from practice.log.commands import LineError
from practice.log.commands import write_line as keep_line
from shared.people import access
from shared.people.requests import SignedInRequest


@require_GET
@login_required
def who(request: SignedInRequest) -> HttpResponse:
    shown = board(request.user, timezone.now(), lesson_day(request))
    return render(request, "board/who.html", {"board": shown})


def lesson_day(request: HttpRequest) -> date | None:
    """The lesson day asked for; all days for whatever is not one."""
    try:
        return date.fromisoformat(request.GET.get("lesson", ""))
    except ValueError:
        return None


@require_GET
@login_required
def worked_out(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """How every figure of one row came about."""
    student = access.student_taught_or_404(request.user, student_id)
    judged, raw, viewer = one_student(request.user, student, timezone.now())
    context = {"student": student, "figures": worked_out_of(judged, raw, viewer)}
    return render(request, "board/worked_out.html", context)


@require_POST
@login_required
def write_line(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    try:
        keep_line(student=student, author=request.user, text=request.POST.get("text", ""))
    except LineError as error:
        messages.error(request, f"{student.name}: {error}")
    else:
        write_tried(student=student, by=request.user, what=Tried.What.LINE)
        readers = ", and every guardian can read it" if student.is_minor else ""
        messages.success(request, f"{student.name} finds your line with the week{readers}.")
    return redirect(came_from(request) or f"/who/#row-{student.pk}")


def came_from(request: HttpRequest) -> str:
    """The page of this site that a form names to go back to, or nothing."""
    address = request.POST.get("next", "")
    is_ours = url_has_allowed_host_and_scheme(
        address, allowed_hosts=None, require_https=request.is_secure()
    )
    return address if is_ours and address.startswith("/") else ""
