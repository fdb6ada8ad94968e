"""The grown child's page: what changes at 18, and taking it over; the day told beforehand."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db import transaction
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from shared.kit.text import date_words
from shared.people import (
    access,
    codes,
    coming_of_age,
    events,
    guardians,
    limits,
    mail_address,
    security,
)
from shared.people.forms import AddressForm, BirthdayForm, CodeForm, GrownForm
from shared.people.models import Student
from shared.people.requests import SignedInRequest
from shared.site import errors

FORMS = {"address": AddressForm, "code": CodeForm}


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def grown(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """Before the day what will change; from it on three steps: address, code, consent."""
    student = access.growing_place_or_404(request.user, student_id)
    if not coming_of_age.is_near(student):
        raise Http404
    if student.is_minor:
        return _page(request, student, "waits", BirthdayForm(student=student))
    step = _step(request)
    form = _form(request, student, step)
    if request.method == "POST" and form.is_valid():
        return _taken(request, student, step, form)
    return _page(request, student, step, form)


def _step(request: SignedInRequest) -> str:
    if request.user.has_mail or codes.proven(request.session, _purpose(request)):
        return "consent"
    if "again" not in request.GET and codes.waits_for(request.session, _purpose(request)):
        return "code"
    return "address"


def _form(request: SignedInRequest, student: Student, step: str) -> Any:
    data = request.POST if request.method == "POST" else None
    if step == "consent":
        return GrownForm(data, ties=guardians.ties_of(student))
    return FORMS[step](data)


def _taken(request: SignedInRequest, student: Student, step: str, form: Any) -> HttpResponse:
    """What comes of a step that was filled in."""
    if step == "address":
        email = form.cleaned_data["email"]
        if not limits.may(request, "join_code", email):
            return errors.too_many(request)
        codes.start(request.session, purpose=_purpose(request), email=email)
        return redirect("grown_up", student.pk)
    if step == "code":
        return _entered(request, student, form)
    return _taken_over(request, student, form)


def _entered(request: SignedInRequest, student: Student, form: CodeForm) -> HttpResponse:
    email = codes.waits_for(request.session, _purpose(request)) or ""
    if not limits.may_as(request, "try_code", email):
        return errors.too_many(request)
    try:
        codes.check(request.session, purpose=_purpose(request), code=form.cleaned_data["code"])
    except codes.WrongCode:
        form.add_error("code", "That is not the code. Look at the newest mail.")
        return _page(request, student, "code", form)
    except codes.CodeOver:
        messages.error(request, "That was too often. Ask for another code.")
    return redirect("grown_up", student.pk)


def _taken_over(request: SignedInRequest, student: Student, form: GrownForm) -> HttpResponse:
    user = request.user
    proven = None if user.has_mail else codes.proven(request.session, _purpose(request))
    try:
        with transaction.atomic():
            email = proven or user.email
            coming_of_age.take_over(student, user, email=email, readers=form.readers())
            for hook in events.took_over:
                hook(request, student)
    except mail_address.AddressTaken:
        request.session.pop(codes.PROVEN_KEY, None)
        messages.error(request, "Somebody signs in with this address already. Give another.")
        return redirect("grown_up", student.pk)
    request.session.pop(codes.PROVEN_KEY, None)
    security.note(
        request, security.Kind.CONSENT, by=user, whom=student.pk, studio=student.studio,
        what="of age: agrees to the record",
    )  # fmt: skip
    messages.success(request, "It is yours now. You sign in by a code to your address.")
    return redirect("settings")


@require_POST
@login_required
def birthday(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """The day of turning 18, told by the child or a guardian in that year."""
    student = access.student_followed_or_404(request.user, student_id)
    back = "grown_up" if student.user_id == request.user.pk else "consents"
    if not student.is_minor or not coming_of_age.is_near(student):
        raise Http404
    form = BirthdayForm(request.POST, student=student)
    if form.is_valid():
        day = coming_of_age.tell_birthday(student, form.cleaned_data["day"], request.user)
        messages.success(request, f"Kept. It holds from {date_words(day)}; the guardians are told.")
    else:
        messages.error(request, str(form.errors["day"][0]))
    return redirect(back, student_id)


@require_POST
@login_required
def stop_reading(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """A grown child lets a guardian read no more."""
    student = access.adult_place_or_404(request.user, student_id)
    try:
        tie = UUID(request.POST.get("tie", ""))
    except ValueError:
        raise Http404 from None
    if not coming_of_age.stop_reading(student, tie):
        raise Http404
    messages.success(request, "They read nothing more of yours.")
    return redirect("settings")


def _page(request: SignedInRequest, student: Student, step: str, form: Any) -> HttpResponse:
    context = {
        "student": student,
        "step": step,
        "form": form,
        "closes_on": coming_of_age.closes_on(student),
        "email": codes.waits_for(request.session, _purpose(request)),
    }
    return render(request, "people/grown.html", context)


def _purpose(request: SignedInRequest) -> str:
    return f"of age {request.user.pk}"
