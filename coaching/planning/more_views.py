"""Templates of weeks, and excused days: the coach's side."""

from datetime import date, timedelta
from uuid import UUID

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coaching.forecast.interventions import write_tried
from coaching.forecast.models import Tried
from practice.drills.models import Drill
from practice.drills.text import typed_in_short
from practice.flows import set_week
from practice.weeks import queries, templates
from practice.weeks.models import Excusal, WeekTemplate
from shared.kit.refused import Refused
from shared.people import access
from shared.people.models import Student, User
from shared.people.requests import SignedInRequest
from shared.people.today import today_of
from shared.people.undo import Facts, id_of, takes_back, with_undo


@require_GET
@login_required
def template_list(request: SignedInRequest) -> HttpResponse:
    """Three queries, however many templates."""
    studio = access.studio_or_404(request.user, access.PLANNING)
    found = list(queries.templates_of(studio)[: queries.MOST_TEMPLATES])
    wanted = {part["drill"] for template in found for part in template.parts}
    drills = Drill.objects.filter(studio=studio, pk__in=wanted).select_related("current")
    names = {str(drill.pk): str(drill) for drill in drills}
    rows = [(template, _lines(template, names)) for template in found]
    return render(request, "planning/templates.html", {"rows": rows})


def _lines(template: WeekTemplate, names: dict[str, str]) -> list[str]:
    return [
        f"{names.get(part['drill'], 'a drill that left the shelf')}:"
        f" {typed_in_short(part['dose'])}; {part['sessions']} times"
        for part in template.parts
    ]


@require_POST
@login_required
def template_change(request: SignedInRequest, template_id: UUID) -> HttpResponse:
    """Rename or delete a template of the studio."""
    studio = access.studio_or_404(request.user, access.PLANNING)
    template = get_object_or_404(queries.templates_of(studio), pk=template_id)
    try:
        if request.POST.get("do") == "delete":
            templates.delete_template(template=template)
            messages.success(request, f"The template “{template.name}” is deleted.")
        else:
            name = request.POST.get("name", "")
            template = templates.rename_template(template=template, name=name)
            messages.success(request, f"It is called “{template.name}” now.")
    except Refused as error:
        messages.error(request, str(error))
    return redirect("plans:templates")


# --- excused days --------------------------------------------------------------------


class ExcuseForm(forms.Form):
    """Which days, and away or unwell; no reason is asked."""

    first = forms.DateField(
        label="First day", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )
    last = forms.DateField(
        label="Last day", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )
    kind = forms.ChoiceField(label="Why", choices=Excusal.Kind.choices)


@require_http_methods(["GET", "POST"])
@login_required
def excuse(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_planned_or_404(request.user, student_id)
    today = today_of(student)
    form = ExcuseForm(
        request.POST or None, initial={"first": today, "last": today}, label_suffix=""
    )
    if form.is_valid():
        try:
            excusal = set_week.excuse(student=student, told_by=request.user, **form.cleaned_data)
        except Refused as error:
            form.add_error("last", str(error))
        else:
            write_tried(student=student, by=request.user, what=Tried.What.EXCUSED)
            messages.success(request, _excused_words(student, excusal))
            return redirect("plans:excuse", student.pk)
    context = {"student": student, "form": form, "excusals": _near(student, today)}
    return render(request, "planning/excuse.html", context, status=400 if form.errors else 200)


def _excused_words(student: Student, excusal: Excusal) -> str:
    days = (excusal.last - excusal.first).days + 1
    return (
        f"{student.name}: {days} {'day' if days == 1 else 'days'} excused. Less is asked at once."
    )


def _near(student: Student, today: date) -> list[Excusal]:
    """Spans that may still be taken back, the latest first."""
    found = queries.excusals(student, today - timedelta(days=60), today + timedelta(days=366))
    return list(found.select_related("told_by").order_by("-first")[:30])


@require_POST
@login_required
def withdraw(request: SignedInRequest, student_id: UUID, excusal_id: UUID) -> HttpResponse:
    student = access.student_planned_or_404(request.user, student_id)
    excusal = Excusal.objects.filter(student=student, pk=excusal_id).first()
    if excusal is None:
        raise Http404
    excusal.student = student
    set_week.withdraw_excusal(excusal=excusal)
    page = reverse("plans:excuse", args=[student.pk])
    said = with_undo(
        request, "Taken back. The days are open again.", "excused",
        back=page, student=student.pk, excusal=excusal.pk,
    )  # fmt: skip
    messages.success(request, said)
    return redirect(page)


@takes_back("excused")
def _excuse_again(user: User, facts: Facts) -> str:
    student = access.student_planned_or_404(user, id_of(facts, "student"))
    was = get_object_or_404(Excusal, pk=facts["excusal"], student=student)
    set_week.excuse(
        student=student, first=was.first, last=was.last, kind=was.kind, told_by=was.told_by
    )
    return "The days are excused again."
