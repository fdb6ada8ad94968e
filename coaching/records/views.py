"""Pages on which somebody takes a copy of everything kept, or has it erased."""

from datetime import timedelta
from typing import Any
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from coaching.records import asking
from coaching.records.export import copy_of
from coaching.records.forms import EraseForm
from practice.care import looks
from shared.people import access, limits, security
from shared.people.models import Student
from shared.people.prove_views import proves_again
from shared.people.requests import SignedInRequest
from shared.people.today import today_of
from shared.site import errors
from shared.site.middleware import refusal


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def export(request: SignedInRequest, student_id: UUID) -> HttpResponseBase:
    student = access.student_handed_out_or_404(request.user, student_id)
    return _export(request, student)


@proves_again
def _export(request: SignedInRequest, student: Student) -> Any:
    if request.method != "POST":
        return render(request, "records/export.html", {"student": student})
    if not limits.may(request, "own_copy", str(request.user.pk)):
        return errors.too_many(request)
    today = today_of(student)
    is_family = asking.is_family(request.user, student)
    try:
        file = copy_of(student, today, for_family=is_family)
    except OSError:
        words = "There is no room on the disk for a copy now. Ask the studio to make some."
        return refusal(request, 507, "no_room", words)
    if not is_family:
        looks.keep(request.user, [student.pk], "A copy of everything")
        asking.tell_copied(student, request.user)
    _note(request, security.Kind.COPIED, student, "everything kept")
    return FileResponse(file, as_attachment=True, filename=f"copy-{today}.zip")


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def erase(request: SignedInRequest, student_id: UUID) -> HttpResponseBase:
    student = access.student_handed_out_or_404(request.user, student_id)
    return _erase(request, student)


@proves_again
def _erase(request: SignedInRequest, student: Student) -> HttpResponse:
    form = EraseForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        asking.ask(student=student, by=request.user, why=form.cleaned_data["why"])
        _note(request, security.Kind.ERASING, student, "asked for")
        return redirect("records:erase", student.pk)
    waiting = asking.open_of(student)
    context = {
        "student": student,
        "form": form,
        "waiting": waiting,
        "may_take_back": waiting is not None and asking.may_take_back(request.user, waiting),
        "by_family": waiting is not None and asking.asked_by_family(waiting),
        "days": settings.ERASURE_WAITS_DAYS,
        "would_be": timezone.now() + timedelta(days=settings.ERASURE_WAITS_DAYS),
    }
    return render(request, "records/erase.html", context)


@require_POST
@login_required
def take_back(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_handed_out_or_404(request.user, student_id)
    waiting = asking.open_of(student)
    if waiting is None or not asking.may_take_back(request.user, waiting):
        raise Http404
    if asking.take_back(waiting):
        _note(request, security.Kind.ERASING, student, "taken back")
        messages.success(request, "Nothing is erased. Everything stays as it was.")
    return redirect("records:erase", student.pk)


def _note(request: SignedInRequest, kind: str, student: Student, what: str) -> None:
    security.note(request, kind, by=request.user, whom=student.pk, studio=student.studio, what=what)
