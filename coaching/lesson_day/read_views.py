"""Lessons as they are read: history, door note, handover, and the student's own page."""

from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from coaching.lesson_day.door import door_note
from coaching.lesson_day.handover import handover
from coaching.lesson_day.history import history
from practice.care import looks
from shared.people import access
from shared.people.requests import SignedInRequest, moment_of


@require_safe
@login_required
def notes(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """Every lesson note, the newest first."""
    student = access.student_taught_or_404(request.user, student_id)
    page = history(request.user, student, moment_of(request.GET.get("until", "")), for_coach=True)
    return render(request, "lesson_day/notes.html", {"student": student, "page": page})


@require_safe
@login_required
def door(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    note = door_note(request.user, student, timezone.now())
    if note.reads_pain:
        looks.keep(request.user, [student.pk], "Door note", is_told=bool(note.pain))
    context = {
        "student": student,
        "note": note,
        "may_plan": access.may_plan_in(request.user, student.studio),
    }
    return render(request, "lesson_day/door.html", context)


@require_safe
@login_required
def handover_page(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """For whoever teaches the student next."""
    student = access.student_taught_or_404(request.user, student_id)
    page = handover(request.user, student, timezone.now())
    return render(request, "lesson_day/handover.html", {"student": student, "page": page})


@require_safe
@login_required
def own(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """What was found, for the student and the guardians: all but the coaches' own line."""
    student = access.student_followed_or_404(request.user, student_id)
    page = history(request.user, student, moment_of(request.GET.get("until", "")), for_coach=False)
    return render(request, "lesson_day/own.html", {"student": student, "page": page})
