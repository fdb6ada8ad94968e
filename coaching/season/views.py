"""The season sheet: for those who teach, and for the student and guardians."""

from typing import Any
from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coaching.season.forms import EventForm
from coaching.season.limits_pages import limits_shown
from coaching.season.sheet import sheet_of
from shared.people import access
from shared.people.models import Student
from shared.people.requests import SignedInRequest, followed_or_404
from shared.people.today import today_of


@require_safe
@login_required
def sheet(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    return render(request, "season/sheet.html", context(request, student))


@require_safe
@login_required
def own_sheet(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = followed_or_404(request, student_id)
    page = sheet_of(student, today_of(student), request.user)
    is_child = student.user_id != request.user.pk
    shown = {"student": student, "sheet": page, "is_own": True, "is_child": is_child}
    return render(request, "season/sheet.html", shown)


def context(
    request: SignedInRequest, student: Student, form: EventForm | None = None
) -> dict[str, Any]:
    """The coach's sheet, with the form for an event as it was typed."""
    page = sheet_of(student, today_of(student), request.user)
    return {
        "student": student,
        "sheet": page,
        "limits": limits_shown(request.user, student, limits=page.limits, near=page.near),
        "is_own": False,
        "may_plan": access.may_plan_in(request.user, student.studio),
        "event_form": form or EventForm(label_suffix=""),
    }
