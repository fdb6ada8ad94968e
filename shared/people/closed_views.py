"""Children of whom nothing may be kept now: whom a second adult confirms, and what is left."""

from datetime import timedelta
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from shared.people import access, second_adult, security
from shared.people.forms import ConfirmChildForm
from shared.people.requests import SignedInRequest


@require_safe
@login_required
def closed(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """The owner's one page of a child whose record is closed: why, since when, what is due."""
    found = access.students_closed_to(request.user).select_related("studio", "lead_coach")
    student = get_object_or_404(found, pk=student_id)
    ties = list(student.guardianships.filter(ended_at=None).select_related("user"))
    ended = [tie.withdrawn_at for tie in ties if tie.withdrawn_at]
    context = {
        "student": student,
        "ties": ties,
        "since": min(ended) if ended else None,
        "due": min(ended) + timedelta(days=settings.KEEP_DAYS["withdrawn"]) if ended else None,
        "confirmers": access.confirmers_of(student) if student.awaits_second_adult else [],
        "may_confirm": access.children_to_confirm(request.user).filter(pk=student.pk).exists(),
    }
    return render(request, "people/closed.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def confirm(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """A colleague of whoever invited the guardian says that child and guardian are real."""
    found = access.children_to_confirm(request.user).select_related("studio", "lead_coach")
    student = get_object_or_404(found, pk=student_id)
    form = ConfirmChildForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        if second_adult.confirm(student, request.user):
            security.note(
                request, security.Kind.CONSENT, by=request.user, whom=student.pk,
                studio=student.studio, what="confirmed as second adult",
            )  # fmt: skip
        messages.success(request, f"{student.name} is confirmed. The record begins now.")
        return redirect("students")
    ties = student.guardianships.filter(ended_at=None).select_related("user")
    context = {"student": student, "form": form, "ties": ties}
    return render(request, "people/confirm_child.html", context)
