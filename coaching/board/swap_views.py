"""Work on no list of swaps: a coach lets it count for a part, and takes that back."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from practice.flows import swap
from shared.kit.refused import Refused
from shared.people import access
from shared.people.requests import SignedInRequest


@require_POST
@login_required
def accept(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_planned_or_404(request.user, student_id)
    root, part, work = (_id(request, "root"), _id(request, "part"), _work(request))
    if root is None or part is None:
        messages.error(request, "Choose the part that it counts for.")
        return redirect("board:student", student.pk)
    try:
        swap.accept_swap(student=student, root=root, work=work, part_id=part, by=request.user)
    except Refused as error:
        messages.error(request, str(error))
    else:
        messages.success(request, "It counts for that part now.")
    return redirect("board:student", student.pk)


@require_POST
@login_required
def withdraw(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_planned_or_404(request.user, student_id)
    root = _id(request, "root")
    if root is not None:
        swap.withdraw_swap(student=student, root=root, work=_work(request))
    messages.success(request, "Taken back. It counts as practice of their own choice again.")
    return redirect("board:student", student.pk)


def _id(request: SignedInRequest, name: str) -> UUID | None:
    try:
        return UUID(request.POST.get(name, ""))
    except ValueError:
        return None


def _work(request: SignedInRequest) -> str:
    return request.POST.get("work", "")
