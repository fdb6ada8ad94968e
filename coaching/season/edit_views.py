"""What a coach writes into a season: the plan, weekly minutes, events, and beginning anew."""

from datetime import date
from typing import Any
from uuid import UUID

from django import forms as django_forms
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from coaching.season import forms, services, templates
from coaching.season.limits_pages import limits_shown
from coaching.season.models import MOST_PRIORITIES, AreaRamp, Event, SeasonPlan, SeasonTemplate
from coaching.season.ramp import base_of
from coaching.season.views import context
from practice.drills.models import Area
from practice.flows.set_week import excuse
from practice.weeks import queries as weeks
from practice.weeks.models import Excusal
from shared.kit.refused import Refused
from shared.kit.text import in_minutes
from shared.kit.weeks import week_start
from shared.people import access
from shared.people.models import Student, User
from shared.people.requests import SignedInRequest
from shared.people.undo import Facts, id_of, takes_back, with_undo

PhaseRows = django_forms.formset_factory(forms.PhaseForm, extra=0)
PriorityRows = django_forms.formset_factory(forms.PriorityForm, extra=0)


# --- the plan ---------------------------------------------------------------------------

MOST_SEASONS = 60  # Of other students, to copy from.


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def plan(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_planned_or_404(request.user, student_id)
    own_plan = SeasonPlan.objects.filter(student=student).select_related("student").first()
    others = [] if own_plan else _seasons_to_copy(request, student)
    kept = [] if own_plan else templates.templates_of(student.studio)
    found = _copied(request.GET.get("from", ""), others, kept, student)
    copied = found if own_plan is None else None
    found = templates.of_plan(own_plan) if own_plan else found
    posted = request.POST if request.method == "POST" else None
    form = forms.PlanForm(posted, initial=_plan_initial(found, student), label_suffix="")
    # What is typed is never compared with what was kept: an unchanged row counts too.
    fresh = posted is None
    phases = PhaseRows(posted, initial=_phases(found) if fresh else None, prefix="phase")
    own = {"student": student, "reader": request.user}
    priorities = PriorityRows(
        posted,
        initial=_priorities(found, request) if fresh else None,
        prefix="priority",
        form_kwargs=own,
    )
    if posted is not None and form.is_valid() and phases.is_valid() and priorities.is_valid():
        try:
            services.save_plan(
                student=student,
                by=request.user,
                **form.cleaned_data,
                phases=[row.phase for row in phases if row.phase],
                priorities=[row.priority for row in priorities if row.priority],
            )
        except Refused as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "The season is kept.")
            return redirect("season:sheet", student.pk)
    shown = {"student": student, "form": form, "phases": phases, "priorities": priorities}
    shown |= {"others": others, "templates": kept, "copied": copied}
    shown["limits"] = limits_shown(request.user, student)
    bad = posted is not None
    return render(request, "season/plan.html", shown, status=400 if bad else 200)


def _seasons_to_copy(request: SignedInRequest, student: Student) -> list[SeasonPlan]:
    """Seasons of the coach's other students in this studio, the newest first. One query."""
    students = access.students_planned_by(request.user).filter(studio=student.studio)
    plans = SeasonPlan.objects.filter(student__in=students).exclude(student=student)
    return list(plans.select_related("student").order_by("-changed_at")[:MOST_SEASONS])


def _copied(
    wanted: str, others: list[SeasonPlan], kept: list[SeasonTemplate], student: Student
) -> templates.Copied | None:
    """The season of another student or the template that is asked for, if it is one of these."""
    template = next((each for each in kept if str(each.pk) == wanted), None)
    if template is not None:
        return templates.of_template(template, weeks.this_opening(student))
    plan = next((each for each in others if str(each.pk) == wanted), None)
    return templates.of_plan(plan) if plan else None


def _plan_initial(found: templates.Copied | None, student: Student) -> dict[str, Any]:
    if found is not None:
        return {"first": found.first, "last": found.last, "note": found.note}
    return {"first": weeks.this_opening(student)}


def _phases(found: templates.Copied | None) -> list[dict[str, Any]]:
    rows = [dict(row) for row in found.phases] if found else []
    return (rows + [{}] * forms.ROWS_OF_PHASES)[: max(forms.ROWS_OF_PHASES, len(rows) + 1)]


def _priorities(found: templates.Copied | None, request: SignedInRequest) -> list[dict[str, Any]]:
    rows = [
        {**row, "value": forms.shown_value(row["measure"], row["value"], request.user)}
        for row in (found.priorities if found else ())
    ]
    return (rows + [{}] * MOST_PRIORITIES)[:MOST_PRIORITIES]


# --- weekly minutes ---------------------------------------------------------------------------


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def minutes(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_planned_or_404(request.user, student_id)
    found = get_object_or_404(SeasonPlan, student=student)
    opens = weeks.this_opening(student)
    standing = {row.area: row for row in services.current_ramps(found)}
    done = services.minutes_done(student, opens)
    rows = [
        forms.RampForm(
            request.POST if request.method == "POST" else None,
            area=area,
            prefix=area,
            initial=_ramp_initial(standing.get(area), done.get(area, [])),
            label_suffix="",
        )
        for area in Area.values
    ]
    error = ""
    if request.method == "POST" and all(row.is_valid() for row in rows):
        try:
            services.save_ramps(
                plan=found,
                by=request.user,
                opens=opens,
                wanted=_wanted(rows, standing, student, opens),
            )
        except Refused as problem:
            error = str(problem)
        else:
            messages.success(request, "The weekly minutes are kept.")
            return redirect("season:sheet", student.pk)
    lately = [(row, _lately(done.get(row.area, []))) for row in rows]
    shown = {"student": student, "rows": lately, "error": error, "opens": opens}
    shown["limits"] = limits_shown(request.user, student)
    bad = request.method == "POST"
    return render(request, "season/minutes.html", shown, status=400 if bad else 200)


def _ramp_initial(row: AreaRamp | None, done: list[float]) -> dict[str, Any]:
    if row is None:
        return {"start": in_minutes(base_of(done))} if done else {}
    return {
        "start": row.start_minutes,
        "target": row.target_minutes,
        "due": row.due,
        "cap": row.cap_percent,
        "lighter_every": row.lighter_every,
        "lighter": row.lighter_percent,
    }


def _lately(done: list[float]) -> str:
    if not done:
        return "nothing logged in the last four weeks"
    weeks_known = f"{len(done)} week{'' if len(done) == 1 else 's'}"
    return f"{in_minutes(base_of(done))} min a week logged in the last {weeks_known}"


def _wanted(
    rows: list[forms.RampForm], standing: dict[str, AreaRamp], student: Student, opens: date
) -> list[services.WantedRamp]:
    """What was filled in. An area that had a line and was emptied is asked nothing from now on."""

    def opens_of(day: date) -> date:
        return week_start(day, student.studio.first_weekday)

    wanted = []
    for row in rows:
        ramp = row.wanted(opens_of)
        if ramp is None and row.area in standing:
            ramp = services.WantedRamp(row.area, 0, 0, opens)
        if ramp is not None:
            wanted.append(ramp)
    return wanted


@require_POST
@login_required
def re_ramp(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_planned_or_404(request.user, student_id)
    found = get_object_or_404(SeasonPlan.objects.select_related("student__studio"), student=student)
    try:
        services.re_ramp(plan=found, by=request.user)
        messages.success(request, "The line begins anew from what was done in the last four weeks.")
    except Refused as error:
        messages.error(request, str(error))
    return redirect("season:sheet", student.pk)


# --- events ----------------------------------------------------------------------


@require_POST
@login_required
def add_event(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """A competition, a test day, or days away; those are excused days like any other."""
    student = access.student_planned_or_404(request.user, student_id)
    form = forms.EventForm(request.POST, label_suffix="")
    if form.is_valid():
        try:
            messages.success(request, _add(request, student, dict(form.cleaned_data)))
            return redirect("season:sheet", student.pk)
        except Refused as error:
            form.add_error("first", str(error))
    return render(request, "season/sheet.html", context(request, student, form), status=400)


def _add(request: SignedInRequest, student: access.Recordable, said: dict[str, Any]) -> str:
    first, last = said["first"], said["last"] or said["first"]
    if said["kind"] == forms.ABSENCE:
        excuse(
            student=student, first=first, last=last, kind=Excusal.Kind.AWAY, told_by=request.user
        )
        return "The days are excused. Less is asked at once."
    event = services.add_event(
        student=student, kind=said["kind"], name=said["name"], first=first, last=last
    )
    return f"“{event.name}” is on the sheet."


@require_POST
@login_required
def remove_event(request: SignedInRequest, student_id: UUID, event_id: UUID) -> HttpResponse:
    student = access.student_planned_or_404(request.user, student_id)
    event = get_object_or_404(Event.objects.select_related("student"), pk=event_id, student=student)
    services.remove_event(event=event)
    said = with_undo(
        request, f"“{event.name}” is off the sheet.", "event",
        back=reverse("season:sheet", args=[student.pk]), student=student.pk, kind=event.kind,
        name=event.name, first=event.first, last=event.last,
    )  # fmt: skip
    messages.success(request, said)
    return redirect("season:sheet", student.pk)


@takes_back("event")
def _add_again(user: User, facts: Facts) -> str:
    student = access.student_planned_or_404(user, id_of(facts, "student"))
    first, last = (date.fromisoformat(facts[name]) for name in ("first", "last"))
    event = services.add_event(
        student=student, kind=facts["kind"], name=facts["name"], first=first, last=last
    )
    return f"“{event.name}” is on the sheet again."
