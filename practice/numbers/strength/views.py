"""Strength: the student's own page with the consent, and the page of those it names.

Of a minor there is no page and no form; without the student's consent there is none either.
"""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from practice.numbers.kit import text as said
from practice.numbers.strength.forms import LiftForm
from practice.numbers.strength.sets import Set, sets_of
from practice.strength.models import Lift, has_agreed
from practice.strength.services import CONSENT, agree, keep_lift, remove_lift, withdraw
from shared.kit import units
from shared.kit.refused import Refused
from shared.people import access
from shared.people.models import Student
from shared.people.requests import SignedInRequest
from shared.people.today import today_of

MOST_STUDENTS = 200


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def own_strength(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.adult_place_or_404(request.user, student_id)
    if not has_agreed(student):
        if request.method == "POST" and request.POST.get("agree") == "yes":
            agree(student=access.recordable(student))
            messages.success(request, "Agreed. You may take it back here at any time.")
            return redirect("progress:own_strength", student.pk)
        return render(request, "numbers/strength_ask.html", {"student": student, "text": CONSENT})
    return _page(request, student, is_own=True, may_write=True)


@require_POST
@login_required
def withdraw_strength(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.adult_place_or_404(request.user, student_id)
    if request.POST.get("sure") != "yes":
        messages.warning(request, "Nothing is changed: tick that you are sure.")
    else:
        withdraw(student=student)
        messages.success(request, "Taken back. Lifts and body mass are deleted.")
    return redirect("progress:own_strength", student.pk)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def strength(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.strength_read_or_404(request.user, student_id)
    if not has_agreed(student):
        raise Http404
    may_write = access.is_strength_coach_of(request.user, student)
    return _page(request, student, is_own=False, may_write=may_write)


def _page(
    request: SignedInRequest, student: Student, *, is_own: bool, may_write: bool
) -> HttpResponse:
    unit, today = request.user.mass_unit, today_of(student)
    form = LiftForm(request.POST or None, unit=unit, today=today, initial={"day": today})
    if request.method == "POST":
        if not may_write:
            raise Http404
        if form.is_valid() and _kept(request, student, form):
            return redirect(request.path)
    context: dict[str, Any] = {
        "student": student,
        "is_own": is_own,
        "may_write": may_write,
        "form": form,
        "rows": [_row(each, unit) for each in sets_of(student)],
    }
    return render(request, "numbers/strength.html", context)


def _kept(request: SignedInRequest, student: Student, form: LiftForm) -> bool:
    typed = dict(form.cleaned_data)
    try:
        keep_lift(
            student=access.recordable(student), by=request.user, lift_id=typed.pop("id"), **typed
        )
    except Refused as refusal:
        form.add_error(None, str(refusal))
        return False
    messages.success(request, "Kept.")
    return True


def _row(each: Set, unit: str) -> dict[str, str]:
    kg = units.mass
    about = f"{kg(each.heaviest.value, unit, 0)}, lifted"
    if each.reps > 1:
        low, high = kg(each.heaviest.low, unit, 0), kg(each.heaviest.high, unit, 0)
        about = f"about {kg(each.heaviest.value, unit, 0)} ({low} to {high}, 3 formulas)"
    ratio = "no body mass of the last 60 days"
    if each.times_body_mass is not None and each.body_mass_on is not None:
        ratio = f"{each.times_body_mass:.2f} × body mass of {said.day(each.body_mass_on)}"
    return {
        "id": str(each.id),
        "day": said.day(each.day),
        "name": each.name,
        "set": f"{kg(each.mass, unit)} × {each.reps}",
        "about": about,
        "ratio": ratio,
    }


@require_POST
@login_required
def remove_set(request: SignedInRequest, student_id: UUID, lift_id: UUID) -> HttpResponse:
    """By the student or the strength coach."""
    own = access.own_places(request.user).filter(pk=student_id).first()
    student = own or access.strength_read_or_404(request.user, student_id)
    if own is None and not access.is_strength_coach_of(request.user, student):
        raise Http404
    remove_lift(lift=get_object_or_404(Lift, pk=lift_id, student=student))
    messages.success(request, "Deleted.")
    name = "progress:own_strength" if own else "progress:strength"
    return redirect(name, student.pk)


@require_safe
@login_required
def strength_roster(request: SignedInRequest) -> HttpResponse:
    """For a strength coach: the adults who agreed."""
    if not access.is_strength_coach(request.user):
        raise Http404
    found = access.students_strengthened_by(request.user).filter(
        strength_consent__isnull=False, strength_consent__withdrawn_at=None
    )
    context = {"students": found.order_by("name")[:MOST_STUDENTS]}
    return render(request, "numbers/strength_roster.html", context)
