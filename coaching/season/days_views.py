"""My days: when, how long and where a student can practise. Told once, changed at any time."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from coaching.season import services
from coaching.season.forms import day_forms
from coaching.season.read import read_days
from shared.kit.refused import Refused
from shared.people import access
from shared.people.requests import SignedInRequest


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def days(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_timed_or_404(request.user, student_id)
    is_own = student.user_id == request.user.pk
    posted = request.POST if request.method == "POST" else None
    told = read_days(student)
    rows = day_forms(told, student.studio.first_weekday, posted)
    error = ""
    if posted is not None and all(row.is_valid() for row in rows):
        try:
            services.set_days(student=student, times=[time for row in rows for time in row.times()])
        except Refused as problem:
            error = str(problem)
        else:
            messages.success(request, "Kept. Your coach plans with these days from now on.")
            return redirect("season:days", student.pk)
    shown = {
        "student": student,
        "rows": rows,
        "error": error,
        "is_own": is_own,
        "is_planning": access.may_plan_in(request.user, student.studio),
        "total": sum(day.minutes for day in told),
        "count": len({day.weekday for day in told}),
    }
    return render(request, "season/days.html", shown, status=400 if posted is not None else 200)
