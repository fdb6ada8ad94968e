"""The gym strip: the strength coach's pages. No notes, no pain, no lifts; days and limits."""

from datetime import date, timedelta
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from coaching.season import forms, gym_pages, services
from coaching.season.line import WEEK
from practice.weeks import queries as weeks
from shared.kit.refused import Refused
from shared.kit.weeks import week_start
from shared.people import access
from shared.people.requests import SignedInRequest
from shared.people.today import calendar_day

FARTHEST = timedelta(weeks=52)


@require_safe
@login_required
def roster(request: SignedInRequest) -> HttpResponse:
    """Every student's week in the gym. Six queries, however many there are."""
    access.studio_or_404(request.user, access.GYM)
    students = list(
        access.students_in_gym_of(request.user)
        .select_related("studio")
        .order_by("name")[: gym_pages.MOST_STUDENTS]
    )
    lines = gym_pages.roster_of(students, {s.pk: weeks.this_opening(s) for s in students})
    return render(request, "season/gym.html", {"lines": lines})


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def strip(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """One week of one student, to look at and to mark."""
    student = access.student_in_gym_or_404(request.user, student_id)
    now = weeks.this_opening(student)
    opens = _opens(request.GET.get("from"), now, student.studio.first_weekday)
    page = gym_pages.strip_of(student, opens, calendar_day(request.user, timezone.now()))
    posted = request.POST if request.method == "POST" else None
    days = [
        forms.GymDayForm(
            posted,
            prefix=f"d{n}",
            label_suffix="",
            initial={"load": cell.load, "body": cell.body, "jumps": cell.jumps},
        )
        for n, cell in enumerate(page.cells)
    ]
    times = forms.TimesForm(posted, label_suffix="")
    error = ""
    if posted is not None and times.is_valid() and all(day.is_valid() for day in days):
        lines = {cell.day: day.line() for cell, day in zip(page.cells, days, strict=True)}
        try:
            services.mark_gym(
                student=student, by=request.user, lines=lines, times=times.cleaned_data["times"]
            )
        except Refused as problem:
            error = str(problem)
        else:
            messages.success(request, "The strip is kept.")
            return redirect(f"{reverse('season:strip', args=[student.pk])}?from={opens}")
    shown = {
        "student": student,
        "page": page,
        "rows": list(zip(page.cells, days, strict=True)),
        "times": times,
        "error": error,
        "earlier": opens - WEEK,
        "later": opens + WEEK,
        "closes": opens + WEEK - timedelta(days=1),
    }
    return render(request, "season/strip.html", shown, status=400 if posted is not None else 200)


def _opens(text: str | None, now: date, first_weekday: int) -> date:
    """The opening day of the week that a day of the address is in; without one, this week's."""
    if not text:
        return now
    try:
        opens = week_start(date.fromisoformat(text), first_weekday)
    except (ValueError, OverflowError):
        raise Http404 from None
    if abs(opens - now) > FARTHEST:
        raise Http404
    return opens
