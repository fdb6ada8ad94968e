"""What moved: for those who teach, and for the student and guardians."""

from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from practice.numbers.moved.answer import moved_parts
from practice.numbers.moved.pages import MovedReader, moved_page, own_moved_page
from practice.numbers.moved.queries import read_moved
from practice.numbers.moved.try_out_pages import own_shown, shown
from practice.numbers.speed.text import SpeedReader
from shared.people import access
from shared.people.models import Student, User
from shared.people.requests import SignedInRequest, followed_or_404
from shared.people.today import today_of


@require_safe
@login_required
def moved(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    parts = moved_parts(read_moved(student, today_of(student)), is_minor=student.is_minor)
    page = moved_page(parts, _reader(request.user, student, student.name))
    context = {"student": student, "page": page, "try_outs": shown(student, request.user)}
    return render(request, "numbers/moved.html", context)


@require_safe
@login_required
def own_moved(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = followed_or_404(request, student_id)
    is_child = student.user_id != request.user.pk
    parts = moved_parts(read_moved(student, today_of(student)), is_minor=student.is_minor)
    page = own_moved_page(parts, _reader(request.user, student, student.name if is_child else ""))
    context = {"student": student, "is_child": is_child, "page": page}
    context |= {"try_outs": own_shown(student)}
    return render(request, "numbers/own_moved.html", context)


def _reader(user: User, student: Student, name: str) -> MovedReader:
    return MovedReader(SpeedReader(user.speed_unit, name, student.is_minor), user.distance_unit)
