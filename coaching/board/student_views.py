"""One student for those who teach: the sheet, and the weeks back."""

from datetime import date
from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from coaching.board import student_pages as pages
from coaching.board.sheet import sheet
from coaching.bring import past
from coaching.intake.queries import is_unread
from practice.care import looks
from practice.shots.results import results_of_tests
from shared.people import access
from shared.people.requests import SignedInRequest


@require_GET
@login_required
def student_sheet(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    shown = sheet(request.user, student, timezone.now())
    if shown.reads_pain:
        looks.keep(request.user, [student.pk], "Sheet", is_told=shown.is_pain_told)
    unread = shown.may_plan and is_unread(student)
    context = {"sheet": shown, "limits": shown.limits, "unread": unread}
    return render(request, "board/sheet.html", context)


@require_GET
@login_required
def student_weeks(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    page = pages.student_page(request.user, student, timezone.now(), _day(request.GET.get("until")))
    if page.reads_pain:
        looks.keep(request.user, [student.pk], "Weeks", is_told=page.is_pain_told)
    tests = results_of_tests(student, request.user)
    memory = past.weeks_of(student)
    context = {"page": page, "tests": tests, "memory": memory}
    return render(request, "board/weeks.html", context)


def _day(text: str | None) -> date | None:
    """A day from the address; whatever is none, or too long ago to page back from, is not asked."""
    try:
        day = date.fromisoformat(text or "")
    except ValueError:
        return None
    return day if day.year >= 2000 else None
