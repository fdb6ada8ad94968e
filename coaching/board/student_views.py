"""The student's page for those who teach."""

from datetime import date
from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from coaching.board import student_page as pages
from coaching.lessons.handover import cue_line, cues_of
from practice.shots.results import results_of_tests
from shared.people import access
from shared.people.requests import SignedInRequest
from shared.people.today import today_of


@require_GET
@login_required
def student_page(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    page = pages.student_page(request.user, student, timezone.now(), _day(request.GET.get("until")))
    tests = results_of_tests(student, request.user)
    today = today_of(student)
    cues = [cue_line(cue, today) for cue in cues_of(student, request.user, today)]
    return render(request, "board/student.html", {"page": page, "tests": tests, "cues": cues})


def _day(text: str | None) -> date | None:
    """A day from the address; whatever is none, or too long ago to page back from, is not asked."""
    try:
        day = date.fromisoformat(text or "")
    except ValueError:
        return None
    return day if day.year >= 2000 else None
