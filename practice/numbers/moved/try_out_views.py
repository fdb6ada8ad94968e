"""Try-outs: drawing one, and ending one."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from practice.care.shown import limits_first
from practice.drills.queries import test_choices
from practice.numbers.kit.sees import what_it_sees
from practice.numbers.moved.forms import TryOutForm, TurnsForm
from practice.shots.studio_days import usual_days
from practice.tryouts import services
from practice.tryouts.models import TryOut
from shared.kit.refused import Refused
from shared.kit.text import date_words, listed
from shared.people import access
from shared.people.access import Recordable
from shared.people.requests import SignedInRequest

MOST_TESTS = 40


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def try_out(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_planned_or_404(request.user, student_id)
    form = TryOutForm(request.POST or None, student=student, by=request.user)
    if request.method == "POST" and form.is_valid() and _drawn(request, student, form):
        return redirect("progress:moved", student.pk)
    return _page(request, "numbers/try_out.html", student, form)


def _drawn(request: SignedInRequest, student: Recordable, form: TryOutForm) -> bool:
    chosen = dict(form.cleaned_data)
    everybody = [student, *chosen.pop("others")]
    try:
        rows = services.draw(students=everybody, by=request.user, **chosen)
    except Refused as refusal:
        form.add_error(None, str(refusal))
        return False
    begin = listed(
        f"{each.name} begins in the week of {date_words(row.begins)}"
        for each, row in zip(everybody, rows, strict=True)
    )
    messages.success(request, f"Drawn: {begin}.")
    return True


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def try_turns(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_planned_or_404(request.user, student_id)
    form = TurnsForm(request.POST or None, student=student)
    if request.method == "POST" and form.is_valid():
        try:
            services.draw_turns(student=student, by=request.user, **form.cleaned_data)
        except Refused as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "Drawn. Each week is told when it is set.")
            return redirect("progress:moved", student.pk)
    return _page(request, "numbers/try_turns.html", student, form)


def _page(
    request: SignedInRequest, template: str, student: Recordable, form: TryOutForm | TurnsForm
) -> HttpResponse:
    """With what each test can see, so that one is chosen that can."""
    known, unit = usual_days(student), request.user.speed_unit
    tests = test_choices(student.studio)[:MOST_TESTS]
    said = (what_it_sees(each.current, unit, known) for each in tests)
    limits = limits_first(request.user, student)
    sees = [words for words in said if words]
    return render(
        request, template, {"student": student, "form": form, "limits": limits, "sees": sees}
    )


@require_POST
@login_required
def end_try_out(request: SignedInRequest, student_id: UUID, try_out_id: UUID) -> HttpResponse:
    student = access.student_planned_or_404(request.user, student_id)
    row = get_object_or_404(TryOut, pk=try_out_id, student=student)
    services.end(student=student, try_out=row, why=request.POST.get("why", ""))
    messages.success(request, "Ended. It stays listed and is not judged.")
    return redirect("progress:moved", student.pk)
