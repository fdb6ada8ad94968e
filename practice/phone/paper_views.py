"""The week on paper, what its codes open, and writing it in."""

from uuid import UUID, uuid4

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from practice.phone import paper
from practice.phone.queries import logs_for
from shared.people import access
from shared.people.requests import SignedInRequest
from shared.site import reach


@require_safe
@login_required
def sheet(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """This week's; the next one's where it is asked for, or alone."""
    student = access.student_kept_for_or_404(request.user, student_id)
    weeks = paper.paper_weeks(student, given=logs_for(request.user, student))
    is_next = len(weeks) > 1 and request.GET.get("week") == "next"
    context = {
        "student": student,
        "week": weeks[is_next] if weeks else None,
        "has_both": len(weeks) > 1,
        "is_next": is_next,
        "only_here": reach.is_only_here(settings.SITE_URL),
    }
    return render(request, "phone/paper.html", context)


@never_cache
@require_safe
def card(request: HttpRequest, token: str) -> HttpResponse:
    return render(request, "phone/part_card.html", {"part": paper.card_or_404(token)})


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def write_in(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_kept_for_or_404(request.user, student_id)
    if request.method == "POST":
        return _write(request, student)
    weeks = paper.write_in_weeks(student, given=logs_for(request.user, student))
    context = {"student": student, "weeks": weeks, "form_id": uuid4()}
    return render(request, "phone/write_in.html", context)


def _write(request: SignedInRequest, student: access.Recordable) -> HttpResponse:
    try:
        form_id = UUID(request.POST.get("form", ""))
    except ValueError:
        form_id = uuid4()
    kept, refused = paper.write_in(
        student=student,
        by=request.user,
        form_id=form_id,
        ticked=request.POST.getlist("done"),
        now=timezone.now(),
    )
    for sentence in refused:
        messages.error(request, sentence)
    if kept:
        days = "1 day is" if kept == 1 else f"{kept} days are"
        messages.success(request, f"{days} written in, from paper.")
    elif not refused:
        messages.error(request, "Nothing new was ticked, so nothing was written in.")
    return redirect("log:write_in", student.pk)
