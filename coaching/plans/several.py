"""One week for several students, each with their own percent."""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.html import format_html
from django.views.decorators.http import require_http_methods

from coaching.groups.models import Group
from coaching.groups.queries import group_or_none, groups_of, members_of
from coaching.plans.weigh import Fit, fit
from practice.weeks import plan, queries
from practice.weeks.models import Week, WeekTemplate
from practice.weeks.parts import specs_from
from practice.weeks.plan import PartSpec
from practice.weeks.several import Outcome, assign_to_several
from shared.people import access
from shared.people.models import Student, Studio
from shared.people.requests import SignedInRequest

MOST_STUDENTS = 200
MOST_WEEKS = 40
MOST_GROUPS = 100


@dataclass(frozen=True, slots=True)
class SeveralRow:
    """One student on the page."""

    pk: UUID
    name: str
    is_ticked: bool
    percent: str
    error: str
    minutes: float | None
    usual: float | None
    fit: Fit | None
    has_week: str


@dataclass(frozen=True, slots=True)
class Option:
    """One week that can be given."""

    key: str
    words: str


@dataclass(frozen=True, slots=True)
class Choice:
    """What was chosen on the form so far."""

    source: Week | WeekTemplate | None
    source_key: str
    weeks_ahead: int
    ticked: frozenset[str]
    percents: dict[UUID, int]
    texts: dict[UUID, str]
    errors: dict[UUID, str]


@require_http_methods(["GET", "POST"])
@login_required
def several(request: SignedInRequest) -> HttpResponse:
    """The studio's students, or with `?group=` those of a group, all of them ticked."""
    group = group_or_none(request.user, request.GET.get("group", ""), access.PLANNING)
    studio = group.studio if group else access.studio_or_404(request.user, access.PLANNING)
    students = members_of(group) if group else _students(request, studio)
    choice = _choice(request, studio, students)
    if group and request.method != "POST":
        choice = replace(choice, ticked=frozenset(str(student.pk) for student in students))
    do = request.POST.get("do", "look")
    error = _what_is_missing(choice) if do in {"send", "draft"} else ""
    if do in {"send", "draft"} and not error:
        return _assign(request, students, choice, group=group, send=do == "send")
    context = _context(studio, students, choice) | {"error": error, "group": group}
    context["groups"] = groups_of(request.user, access.PLANNING).order_by("name")[:MOST_GROUPS]
    return render(request, "plans/several.html", context, status=400 if error else 200)


def _students(request: SignedInRequest, studio: Studio) -> list[Student]:
    students = access.students_planned_by(request.user).filter(studio=studio)
    return list(students.select_related("studio").order_by("name", "pk")[:MOST_STUDENTS])


def _choice(request: SignedInRequest, studio: Studio, students: list[Student]) -> Choice:
    texts = {s.pk: request.POST.get(f"percent-{s.pk}", "")[:20] for s in students}
    percents: dict[UUID, int] = {}
    errors: dict[UUID, str] = {}
    for pk, text in texts.items():
        try:
            percents[pk] = plan.read_percent(text)
        except plan.PlanError as error:
            errors[pk] = str(error)
    key = request.POST.get("source", "")
    return Choice(
        source=_source(request, studio, key),
        source_key=key,
        weeks_ahead=0 if request.POST.get("when") == "this" else 1,
        ticked=frozenset(request.POST.getlist("student")),
        percents=percents,
        texts=texts,
        errors=errors,
    )


def _source(request: SignedInRequest, studio: Studio, key: str) -> Week | WeekTemplate | None:
    kind, _, pk = key.partition(":")
    try:
        wanted = UUID(pk)
    except ValueError:
        return None
    if kind == "template":
        return queries.templates_of(studio).filter(pk=wanted).first()
    weeks = Week.objects.filter(student__in=access.students_planned_by(request.user))
    return queries.with_parts(weeks.filter(pk=wanted, student__studio=studio)).first()


def _what_is_missing(choice: Choice) -> str:
    if choice.source is None:
        return "Choose a template or a student's week to give."
    if not choice.ticked:
        return "Tick at least one student."
    bad = [words for pk, words in choice.errors.items() if str(pk) in choice.ticked]
    return bad[0] if bad else ""


def _opens(student: Student, choice: Choice) -> date:
    return queries.this_opening(student) + timedelta(weeks=choice.weeks_ahead)


def _assign(
    request: SignedInRequest,
    students: list[Student],
    choice: Choice,
    *,
    group: Group | None,
    send: bool,
) -> HttpResponse:
    chosen = [student for student in students if str(student.pk) in choice.ticked]
    if choice.source is None:
        return redirect("plans:several")
    outcomes = assign_to_several(
        students=chosen,
        opens_for={student.pk: _opens(student, choice) for student in chosen},
        source=choice.source,
        percents=choice.percents,
        by=request.user,
        send=send,
    )
    _tell(request, outcomes, "sent to" if send else "kept as a draft for")
    return redirect("groups:show", group.pk) if group else redirect("plans:several")


def _tell(request: SignedInRequest, outcomes: list[Outcome], done: str) -> None:
    names = [outcome.student.name for outcome in outcomes if not outcome.error]
    if names:
        messages.success(request, f"The week is {done} {', '.join(names)}.")
    for outcome in outcomes:
        if outcome.error:
            messages.warning(request, format_html("Not for this one: {}", outcome.error))


# --- the page ------------------------------------------------------------------------


def _context(studio: Studio, students: list[Student], choice: Choice) -> dict[str, Any]:
    """Six queries, however many students."""
    specs = specs_from(choice.source, studio) if choice.source else []
    opens = {student.pk: _opens(student, choice) for student in students}
    latest = max(opens.values(), default=None)
    usual = queries.usual_minutes_of(students, latest) if latest else {}
    there = {
        (week.student_id, week.opens): week.get_state_display()
        for week in Week.objects.filter(student__in=students, opens__in=set(opens.values()))
    }
    return {
        "rows": [
            _row(s, choice, specs, usual.get(s.pk), there.get((s.pk, opens[s.pk]), ""))
            for s in students
        ],
        "templates": [
            Option(f"template:{template.pk}", template.name)
            for template in queries.templates_of(studio)[: queries.MOST_TEMPLATES]
        ],
        "weeks": _recent_weeks(students),
        "choice": choice,
        "opens": min(opens.values(), default=None),
    }


def _row(
    student: Student, choice: Choice, specs: list[PartSpec], usual: float | None, has_week: str
) -> SeveralRow:
    percent = choice.percents.get(student.pk, 0)
    minutes = sum(spec.week_minutes for spec in plan.scale(specs, percent)) if specs else None
    return SeveralRow(
        pk=student.pk,
        name=student.name,
        is_ticked=str(student.pk) in choice.ticked,
        percent=choice.texts.get(student.pk, ""),
        error=choice.errors.get(student.pk, ""),
        minutes=minutes,
        usual=usual,
        fit=fit(minutes, usual) if minutes is not None else None,
        has_week=has_week,
    )


def _recent_weeks(students: list[Student]) -> list[Option]:
    """The weeks sent last, to give again to others."""
    weeks = Week.objects.filter(student__in=students, state=Week.State.SENT)
    found = weeks.select_related("student").order_by("-opens", "student__name")[:MOST_WEEKS]
    return [
        Option(f"week:{week.pk}", f"{week.student.name}, {week.opens:%-d %B}") for week in found
    ]
