"""The pages of a test day: of a group, and of one student."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from coaching.groups import queries, test_day
from coaching.groups.models import Group
from coaching.season.limits_pages import limits_of_several
from practice.drills.models import Drill
from practice.drills.queries import cautions_of
from practice.drills.text import typed_in_short
from practice.flows.coach_logging import take_back_beside
from practice.log.models import Entry
from shared.people import access
from shared.people.models import Student, Studio
from shared.people.requests import SignedInRequest
from shared.people.today import today_of


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def of_group(request: SignedInRequest, group_id: UUID) -> HttpResponse:
    group = queries.group_or_404(request.user, group_id)
    return _page(request, group.studio, queries.members_of(group), group=group)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def of_student(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    return _page(request, student.studio, [student])


def _page(
    request: SignedInRequest,
    studio: Studio,
    students: list[access.Recordable],
    group: Group | None = None,
) -> HttpResponse:
    tests = test_day.tests_of(studio)
    test = _chosen(tests, request.GET.get("test", ""))
    context: dict[str, object] = {
        "tests": tests,
        "test": test,
        "group": group,
        "student": None if group else students[0],
        "limited": [each for each in limits_of_several(request.user, students, {}) if each],
    }
    if test is None:
        return render(request, "groups/test_day.html", context)
    context["dose"] = typed_in_short(test.current.dose) if test.current else ""
    form = test_day.TestDayForm(
        request.POST or None,
        test=test,
        students=students,
        reader=request.user,
        initial=test_day.first_values(request.user, test, today_of(studio)),
    )
    if request.method == "POST" and form.is_valid():
        _tell(request, *test_day.keep(form, by=request.user, at=timezone.now()))
        return HttpResponseRedirect(request.get_full_path())
    context |= {
        "form": form,
        "caution": next(iter(cautions_of(test, 1)), None),
        "lately": test_day.entered_lately(request.user, students, test),
    }
    return render(request, "groups/test_day.html", context, status=400 if form.errors else 200)


def _chosen(tests: list[Drill], text: str) -> Drill | None:
    if not text and len(tests) == 1:
        return tests[0]
    return next((test for test in tests if str(test.pk) == text), None)


def _tell(request: SignedInRequest, kept: list[access.Recordable], problems: list[str]) -> None:
    if kept:
        names = ", ".join(student.name for student in kept)
        messages.success(request, f"Kept for {names}. It is in their logs.")
    for problem in problems:
        messages.warning(request, problem)


@require_POST
@login_required
def take_back(request: SignedInRequest, student_id: UUID, entry_id: UUID) -> HttpResponse:
    """What this user entered for a student, and nobody else's log."""
    student = access.student_taught_or_404(request.user, student_id)
    mine = Entry.objects.filter(student=student, writer=request.user, counts=True)
    entry = mine.filter(pk=entry_id, sittings__isnull=False).first()
    if entry is None:
        raise Http404
    receipt = take_back_beside(
        student=student, by=request.user, entry=entry.pk, day=entry.day, at=timezone.now()
    )
    if receipt.sentence:
        messages.error(request, receipt.sentence)
    else:
        messages.success(request, f"{student.name}: taken back.")
    return redirect(_back_to(request, student))


def _back_to(request: SignedInRequest, student: Student) -> str:
    """The group's page it was pressed on, or the student's."""
    test = request.POST.get("test", "")
    group = queries.group_or_none(request.user, request.POST.get("group", ""))
    path = (
        reverse("groups:test_day_of_group", args=[group.pk])
        if group
        else reverse("groups:test_day", args=[student.pk])
    )
    return f"{path}?test={test}" if _is_id(test) else path


def _is_id(text: str) -> bool:
    try:
        UUID(text)
    except ValueError:
        return False
    return True
