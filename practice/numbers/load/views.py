"""Load: for those who teach, and for the student and guardians."""

from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from practice.care.shown import limits_first
from practice.numbers.load.pages import load_page
from practice.numbers.load.queries import read_load
from practice.numbers.load.weeks import load_answer
from practice.strength.models import StrengthConsent
from shared.people import access
from shared.people.models import Student
from shared.people.requests import SignedInRequest, followed_or_404
from shared.people.today import today_of


@require_safe
@login_required
def load(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    return _load(request, access.student_taught_or_404(request.user, student_id), is_own=False)


@require_safe
@login_required
def own_load(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    return _load(request, followed_or_404(request, student_id), is_own=True)


def _load(request: SignedInRequest, student: Student, *, is_own: bool) -> HttpResponse:
    found = load_answer(read_load(student, today_of(student)))
    context = {
        "student": student,
        "is_own": is_own,
        "is_child": is_own and student.user_id != request.user.pk,
        "page": load_page(found, is_own=is_own),
        "limits": None if is_own else limits_first(request.user, student),
        "strength": _strength(request, student, is_own=is_own),
    }
    return render(request, "numbers/load.html", context)


def _strength(request: SignedInRequest, student: Student, *, is_own: bool) -> str:
    """Where this reader finds the student's strength; empty where there is none to find."""
    if student.is_minor:
        return ""
    if is_own:
        is_self = student.user_id == request.user.pk
        return reverse("progress:own_strength", args=[student.pk]) if is_self else ""
    agreed = StrengthConsent.objects.filter(student=student, withdrawn_at=None)
    if not (agreed.exists() and access.reads_strength(request.user, student)):
        return ""
    return reverse("progress:strength", args=[student.pk])
