"""The speed book: for those who teach, and for the student and guardians."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from practice.numbers.speed.book import speed_book
from practice.numbers.speed.forms import BlockForm, first_values
from practice.numbers.speed.pages import own_speed_page, speed_page
from practice.numbers.speed.queries import read_speeds
from practice.numbers.speed.text import SpeedReader
from practice.shots.speed_services import set_block
from shared.people import access
from shared.people.requests import SignedInRequest, followed_or_404
from shared.people.today import today_of


@require_safe
@login_required
def speed(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    book = speed_book(read_speeds(student, today_of(student)))
    reader = SpeedReader(request.user.speed_unit, student.name, student.is_minor)
    context = {
        "student": student,
        "page": speed_page(book, reader),
        "may_plan": access.may_plan_in(request.user, student.studio),
    }
    return render(request, "numbers/speed.html", context)


@require_safe
@login_required
def own_speed(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = followed_or_404(request, student_id)
    is_child = student.user_id != request.user.pk
    book = speed_book(read_speeds(student, today_of(student)))
    reader = SpeedReader(
        request.user.speed_unit, student.name if is_child else "", student.is_minor
    )
    context = {"student": student, "is_child": is_child, "page": own_speed_page(book, reader)}
    return render(request, "numbers/own_speed.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def speed_block(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_planned_or_404(request.user, student_id)
    unit = request.user.speed_unit
    form = BlockForm(request.POST or None, unit=unit, initial=first_values(student, unit))
    if request.method == "POST" and form.is_valid():
        set_block(student=student, by=request.user, **form.cleaned_data)
        messages.success(request, "Kept. The speed book is reckoned from it.")
        return redirect("progress:speed", student.pk)
    return render(request, "numbers/speed_block.html", {"student": student, "form": form})
