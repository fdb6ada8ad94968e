"""The coach's pages about who is a student here."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shared.people import (
    access,
    coming_of_age,
    invitations,
    leads,
    roster,
    security,
    services,
    undelivered,
)
from shared.people.forms import (
    AdultForm,
    AnotherInvitationForm,
    GuardianInvitationForm,
    StudentForm,
)
from shared.people.models import Invitation, Student, User
from shared.people.requests import SignedInRequest

MOST_PAGES = 50


@require_safe
@login_required
def students(request: SignedInRequest) -> HttpResponse:
    """The roster; for those who may plan also who is still to come and who has left."""
    studio = access.studio_or_404(request.user)
    may_plan = access.may_plan_in(request.user, studio)
    search = request.GET.get("name", "").strip()[:80]
    page = _page_number(request.GET.get("page", ""))
    left = may_plan and request.GET.get("left") == "1"
    all_of_them = (access.students_who_left if left else access.students_taught_by)(request.user)
    sort = request.GET.get("sort", "name")
    sort = sort if sort in roster.SORTED else "name"
    rows, more = roster.students(all_of_them, search=search, start=page * roster.PAGE, sort=sort)
    query = request.GET.copy()
    query["page"] = str(page + 1)
    context = {
        "rows": rows,
        "search": search,
        "sort": sort,
        "left": left,
        "page": page,
        "more": query.urlencode() if more and page < MOST_PAGES else "",
        "waiting": invitations.open_in(studio, (Invitation.Kind.GUARDIAN,)) if may_plan else [],
        "closed": [] if left or search or page else roster.closed(request.user),
        "may_plan": may_plan,
        "may_hand_out": access.owns(request.user, studio),
    }
    return render(request, "people/students.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def enter_student(request: SignedInRequest) -> HttpResponse:
    """A student of 18 or over."""
    studio = access.studio_or_404(request.user, access.PLANNING)
    form = AdultForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        asked = dict(form.cleaned_data)
        del asked["is_adult"]
        invitation = services.enter_adult(studio=studio, by=request.user, **asked)
        messages.success(request, f"{asked['name']} is on the list.")
        return redirect("invitation_show", invitation.pk)
    return render(request, "people/enter_student.html", {"form": form, "is_minor": False})


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def enter_minor(request: SignedInRequest) -> HttpResponse:
    """Somebody under 18: only the guardian is asked for, and nothing of the child is stored."""
    studio = access.studio_or_404(request.user, access.PLANNING)
    form = GuardianInvitationForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        invitation = invitations.invite(
            by=request.user, studio=studio, kind=Invitation.Kind.GUARDIAN, **form.cleaned_data
        )
        return redirect("invitation_show", invitation.pk)
    return render(request, "people/enter_student.html", {"form": form, "is_minor": True})


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def edit_student(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_planned_or_404(request.user, student_id)
    lead = student.lead_coach
    form = StudentForm(
        request.POST or None,
        instance=student,
        may_hand_over=leads.may_hand_over(request.user, student),
    )
    if request.method == "POST" and form.is_valid():
        changed = dict(form.cleaned_data)
        to, shared = changed.pop("lead_coach"), changed.pop("strength_coaches", None)
        services.change_student(student=student, changed=changed, strength_coaches=shared)
        if to != lead:
            _handed_over(request, student, to)
        messages.success(request, "Kept.")
        return redirect("student_edit", student.pk)
    context = {
        "form": form,
        "student": student,
        "guardians": access.guardians_of(student)[:10] if student.is_minor else [],
        "invitation": invitations.open_ones().filter(student=student).first(),
        "invite": AnotherInvitationForm(initial={"email": _last_invited(student)}),
        "may_hand_out": access.owns(request.user, student.studio),
        "undelivered": undelivered.of(undelivered.addresses_of(student)),
        "closes_on": None if student.is_minor else coming_of_age.closes_on(student),
    }
    return render(request, "people/edit_student.html", context)


def _handed_over(request: SignedInRequest, student: access.Recordable, to: User) -> None:
    leads.hand_over(student=student, to=to, by=request.user)
    security.note(
        request, security.Kind.PAIN_NEEDED, by=request.user, whom=student.pk,
        studio=student.studio, what=f"new lead coach: {to}",
    )  # fmt: skip


@require_POST
@login_required
def student_left(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_planned_or_404(request.user, student_id)
    services.student_left(student=student)
    messages.success(request, f"{student.name} has left. What was logged is kept.")
    return redirect("students")


@require_POST
@login_required
def student_returned(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = get_object_or_404(access.students_who_left(request.user), pk=student_id)
    services.student_returned(student=student)
    messages.success(request, f"{student.name} is back on the list.")
    return redirect("students")


@require_POST
@login_required
def invite_student(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """Another invitation into a place that is still free; of a grown child also a closed one."""
    student = access.student_invited_or_404(request.user, student_id)
    if student.user_id is not None or student.is_minor:
        raise Http404
    said = request.POST if "email" in request.POST else {"email": _last_invited(student)}
    form = AnotherInvitationForm(said)
    if not form.is_valid():
        messages.error(request, str(form.errors["email"][0]))
        return redirect("student_edit", student.pk)
    email = form.cleaned_data["email"]
    invitation = services.invite_again(student=student, by=request.user, email=email)
    return redirect("invitation_show", invitation.pk)


def _last_invited(student: Student) -> str:
    """The address that was invited last, right or wrong."""
    last = student.invitations.order_by("-invited_at").first()
    return last.email if last else ""


def _page_number(text: str) -> int:
    """A page from the address; what is none reads as the first."""
    if text.isascii() and text.isdecimal() and len(text) < 4:
        return min(int(text), MOST_PAGES)
    return 0


@require_POST
@login_required
def mail_again(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """Somebody says that the addresses of a student are right: mails go there again."""
    student = access.student_planned_or_404(request.user, student_id)
    if undelivered.arrived(undelivered.addresses_of(student)):
        messages.success(request, "The next mail goes there again.")
    return redirect("student_edit", student.pk)
