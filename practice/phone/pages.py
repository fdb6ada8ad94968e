"""What a guardian sees of a child, and what counted in a week and why."""

from datetime import date
from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from practice.care import looks
from practice.log import beside_parts
from practice.phone import queries, reading
from shared.kit.text import day_words
from shared.people.models import Student
from shared.people.requests import SignedInRequest, child_or_404, followed_or_404
from shared.people.today import calendar_day


@login_required
@require_safe
def child(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """Everything a guardian may see of the child's practice, on one page."""
    student = child_or_404(request, student_id)
    page = queries.page_number(request.GET.get("page"))
    entries, is_more = reading.entries_of(student, page=page)
    context = {
        "student": student,
        "week": queries.this_week(student),
        "lesson": _next_lesson(student, calendar_day(request.user, timezone.now())),
        "asks": beside_parts.first_asked(student, request.user).answer.now,
        "entries": entries,
        "newer": page - 1 if page else None,
        "older": page + 1 if is_more else None,
        "lines": reading.lines_of(student),
        "care": reading.care_of(student),
    }
    return render(request, "phone/child.html", context)


def _next_lesson(student: Student, today: date) -> str:
    """'Thursday', 'Tue 25 Feb'; '' where none is known or it is over."""
    day = student.next_lesson
    return day_words(day, today) if day and day >= today else ""


@login_required
@require_safe
def pain_read_by(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """Who in the studio read of the child's pain, and for what reason."""
    student = child_or_404(request, student_id)
    context = {
        "student": student,
        "looks": looks.looks_of(student),
        "needs": looks.needs_of(student),
        "back": reverse("log:child", args=[student.pk]),
    }
    return render(request, "care/read_by.html", context)


@login_required
@require_safe
def counted(request: SignedInRequest, opens: str, student_id: UUID | None = None) -> HttpResponse:
    """Each figure of a week, opened to its arithmetic. For the student and guardians."""
    if student_id is None:
        student: Student = queries.the_student(request.user)
    else:
        student = followed_or_404(request, student_id)
    week = reading.counted_in(student, _day_or_404(opens))
    context = {"student": student, "week": week, "is_own": student.user_id == request.user.pk}
    return render(request, "phone/counted.html", context, status=200 if week else 404)


def _day_or_404(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise Http404 from error
