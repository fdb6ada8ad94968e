"""My days: when, how long and where a student can practise. Told once, changed at any time."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from coaching.season import commands
from coaching.season.commands import SeasonError
from coaching.season.forms import DayForm
from coaching.season.models import PracticeDay
from coaching.season.read import read_days
from shared.people import access
from shared.people.requests import SignedInRequest


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def days(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_timed_or_404(request.user, student_id)
    is_own = student.user_id == request.user.pk
    posted = request.POST if request.method == "POST" else None
    told = read_days(student)
    order = [(student.studio.first_weekday + n) % 7 for n in range(7)]
    rows = [
        DayForm(posted, weekday=n, prefix=f"d{n}", initial=_initial(told, n), label_suffix="")
        for n in order
    ]
    error = ""
    if posted is not None and all(row.is_valid() for row in rows):
        try:
            commands.set_days(student=student, times=[time for row in rows for time in row.times()])
        except SeasonError as problem:
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


def _initial(told: list[PracticeDay], weekday: int) -> dict[str, Any]:
    here = [day for day in told if day.weekday == weekday]
    initial: dict[str, Any] = {}
    for day, prefix in zip(here, ("", "more_"), strict=False):
        initial |= {f"{prefix}minutes": day.minutes, f"{prefix}place": day.place}
    return initial
