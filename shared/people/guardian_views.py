"""The guardian's page of consents: change them, withdraw them, give them again."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from shared.kit.refused import Refused
from shared.people import (
    access,
    coming_of_age,
    consent,
    guardians,
    invitations,
    second_adult,
    security,
)
from shared.people.forms import BirthdayForm, ChangeConsentForm, GuardianInvitationForm, TakeOffForm
from shared.people.models import Guardianship, Student
from shared.people.prove_views import proves_again
from shared.people.requests import SignedInRequest

MOST_CHANGES = 30


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def consents(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    guardianship = access.guardianship_or_404(request.user, student_id)
    now = consent.stands(guardianship)
    # All ticks taken away is an empty answer, and an answer all the same.
    data = request.POST if request.method == "POST" else None
    form = ChangeConsentForm(data, initial=now)
    if request.method == "POST" and form.is_valid():
        guardians.answer(guardianship, form.cleaned_data)
        if form.cleaned_data["record"] != now["record"]:
            what = "record given again" if form.cleaned_data["record"] else "record withdrawn"
            _note(request, guardianship, what)
        messages.success(request, "Kept. It holds from now on.")
        return redirect("consents", student_id)
    context = {
        "student": guardianship.student,
        "form": form,
        "purposes": [(purpose, form[purpose.field]) for purpose in consent.PURPOSES],
        "stands": now["record"],
        "is_guardians_turn": second_adult.is_guardians_turn(guardianship.student),
        "is_near": coming_of_age.is_near(guardianship.student),
        "closes_on": coming_of_age.closes_on(guardianship.student),
        "birthday": BirthdayForm(student=guardianship.student),
        "others": [
            tie for tie in guardians.ties_of(guardianship.student) if tie.pk != guardianship.pk
        ],
        "changes": guardianship.changes.order_by("-at")[:MOST_CHANGES],
    }
    return render(request, "people/consents.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def confirm(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """Where nobody else works in the studio, the guardian confirms on a phone of their own."""
    guardianship = access.guardianship_or_404(request.user, student_id)
    if not second_adult.is_guardians_turn(guardianship.student):
        return redirect("consents", student_id)
    return _confirm(request, guardianship)


@proves_again
def _confirm(request: SignedInRequest, guardianship: Guardianship) -> HttpResponse:
    student = guardianship.student
    is_studios = second_adult.is_studios_browser(request, student.studio)
    if request.method == "POST" and not is_studios:
        if second_adult.confirm(student, request.user):
            _note(request, guardianship, "confirmed by the guardian")
        messages.success(request, f"Confirmed. The record of {student.name} begins now.")
        return redirect("consents", student.pk)
    context = {"student": student, "is_studios_browser": is_studios}
    return render(request, "people/confirm_own_child.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def all_of_them(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """The child's guardians; sending the form invites another."""
    tie = access.guardianship_or_404(request.user, student_id)
    student = access.recordable_or_none(tie.student)
    form = GuardianInvitationForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and student is not None and form.is_valid():
        try:
            made = guardians.invite(student=student, by=request.user, **form.cleaned_data)
        except guardians.TooMany:
            form.add_error(None, f"A child has at most {guardians.MOST} guardians here.")
        else:
            _note(request, tie, "invited another guardian")
            return redirect("invitation_show", made.pk)
    context = {
        "student": tie.student,
        "tie": tie,
        "ties": guardians.ties_of(tie.student),
        "may_invite": student is not None,
        "waiting": invitations.open_ones().filter(student=student_id, invited_by=request.user),
        "form": form,
    }
    return render(request, "people/guardians.html", context)


@require_POST
@login_required
def leave(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    tie = access.guardianship_or_404(request.user, student_id)
    try:
        guardians.leave(tie)
    except Refused as reason:
        messages.error(request, str(reason))
        return redirect("guardians", student_id)
    _note(request, tie, "left as a guardian")
    messages.success(request, f"You are no guardian of {tie.student.name} here any more.")
    return redirect("home")


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def of_student(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """The owner's page of a child's guardians; one can be taken off, with a reason."""
    student = access.student_owned_or_404(request.user, student_id)
    if not student.is_minor:
        raise Http404
    form = TakeOffForm(request.POST if request.method == "POST" else None)
    if request.method == "POST":
        tie = _tie_or_404(student, request.POST.get("tie", ""))
        if form.is_valid() and _taken_off(request, tie, form):
            return redirect("student_guardians", student_id)
    context = {"student": student, "ties": guardians.ties_of(student), "form": form}
    context["asked"] = request.POST.get("tie", "")
    return render(request, "people/student_guardians.html", context)


def _tie_or_404(student: Student, name: str) -> Guardianship:
    tie = next((tie for tie in guardians.ties_of(student) if str(tie.pk) == name), None)
    if tie is None:
        raise Http404
    return tie


def _taken_off(request: SignedInRequest, tie: Guardianship, form: TakeOffForm) -> bool:
    try:
        guardians.take_off(tie, why=form.cleaned_data["why"])
    except Refused as reason:
        form.add_error(None, str(reason))
        return False
    _note(request, tie, "guardian taken off by the owner")
    messages.success(request, f"{tie.user} is no guardian here any more. All of them are told.")
    return True


def _note(request: SignedInRequest, tie: Guardianship, what: str) -> None:
    student = tie.student
    security.note(
        request, security.Kind.CONSENT, by=request.user, whom=student.pk, studio=student.studio,
        what=what,
    )  # fmt: skip
