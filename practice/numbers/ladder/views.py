"""The ladder: for those who teach, and for the student and guardians."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from practice.coach_counts.models import CheckedCount
from practice.coach_counts.services import keep_count
from practice.coach_counts.services import take_back as take_back_count
from practice.numbers.ladder.forms import CountForm
from practice.numbers.ladder.pages import ladder_page
from practice.numbers.ladder.queries import read_ladders
from practice.numbers.ladder.table import ladders
from shared.kit.refused import Refused
from shared.people import access
from shared.people.models import Student
from shared.people.requests import SignedInRequest, followed_or_404
from shared.people.today import today_of

LATELY = 20


@require_safe
@login_required
def ladder(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    return _ladder(request, access.student_taught_or_404(request.user, student_id), is_own=False)


@require_safe
@login_required
def own_ladder(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    return _ladder(request, followed_or_404(request, student_id), is_own=True)


def _ladder(request: SignedInRequest, student: Student, *, is_own: bool) -> HttpResponse:
    today = today_of(student)
    page = ladder_page(ladders(read_ladders(student, today), today), is_own=is_own)
    context = {
        "student": student,
        "is_own": is_own,
        "is_child": is_own and student.user_id != request.user.pk,
        "page": page,
    }
    return render(request, "numbers/ladder.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def count(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """Count it yourself, and what was counted lately."""
    student = access.student_taught_or_404(request.user, student_id)
    today = today_of(student)
    initial = {"day": today, "drill": request.GET.get("drill", "")[:36]}
    form = CountForm(request.POST or None, student=student, today=today, initial=initial)
    if request.method == "POST" and form.is_valid() and _kept(request, student, form):
        return redirect("progress:ladder", student.pk)
    lately = CheckedCount.objects.filter(student=student, counts=True)
    found = lately.select_related("drill__current", "by").order_by("-day", "-at")[:LATELY]
    context = {"student": student, "form": form, "lately": found}
    return render(request, "numbers/count.html", context)


def _kept(request: SignedInRequest, student: access.Recordable, form: CountForm) -> bool:
    said = dict(form.cleaned_data)
    try:
        keep_count(student=student, by=request.user, count_id=said.pop("id"), **said)
    except Refused as error:
        form.add_error(None, str(error))
        return False
    messages.success(request, "Counted.")
    return True


@require_POST
@login_required
def count_back(request: SignedInRequest, student_id: UUID, count_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    found = get_object_or_404(CheckedCount, pk=count_id, student=student)
    take_back_count(count_id=found.pk)
    messages.success(request, "Taken back.")
    return redirect("progress:count", student.pk)
