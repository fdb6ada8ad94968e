"""One week for several students, each with their own percent."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.html import format_html
from django.views.decorators.http import require_http_methods

from coaching.groups.models import Group
from coaching.groups.queries import group_or_none, groups_of, members_of
from coaching.planning.undo import sent_with_undo
from coaching.planning.weigh import Fit, fit
from coaching.season.limits_pages import limits_of_several
from practice.care.copied import ForWhom, Source, parts_from
from practice.care.limits import Limits
from practice.compliance.hurting import hurting_of_many
from practice.compliance.limits import limits_of_many
from practice.compliance.queries import usual_minutes_of
from practice.drills.queries import with_tests
from practice.flows.set_several import Outcome, assign_to_several
from practice.numbers.kit.sees import tests_see
from practice.shots.studio_days import usual_days
from practice.weeks import plan, queries
from practice.weeks.models import Week, WeekTemplate
from shared.kit.refused import Refused
from shared.kit.text import listed
from shared.people import access
from shared.people.models import Student, Studio, User
from shared.people.requests import SignedInRequest

MOST_STUDENTS = 200
LATELY, MOST_WEEKS = 8, 40  # Weeks to give again: at first, and when older ones are asked for.
MOST_GROUPS = 100
TICKS = {"all", "none"}
WEEKS_AHEAD = {"this": 0, "next": 1, "after": 2}
NOW_OR_NEXT = (timedelta(), timedelta(weeks=1))


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
    # What the student's limits leave of the chosen week.
    found: ForWhom | None
    has_week: str = ""
    # Whether this coach has said to ask for all of it.
    in_spite: bool = False


@dataclass(frozen=True, slots=True)
class Option:
    """One week that can be given."""

    key: str
    words: str


@dataclass(frozen=True, slots=True)
class SeveralChoice:
    """What was chosen on the form so far."""

    source: Week | WeekTemplate | None
    source_key: str
    weeks_ahead: int
    ticked: frozenset[str]
    in_spite: frozenset[str]
    percents: dict[UUID, int]
    texts: dict[UUID, str]
    errors: dict[UUID, str]
    # Whether weeks sent longer ago are among those to give.
    older: bool


@require_http_methods(["GET", "POST"])
@login_required
def several(request: SignedInRequest) -> HttpResponse:
    """The studio's students, or with `?group=` those of a group, all of them ticked."""
    group = group_or_none(request.user, request.GET.get("group", ""), access.PLANNING)
    studio = group.studio if group else access.studio_or_404(request.user, access.PLANNING)
    students = members_of(group) if group else _students(request, studio)
    choice = _choice(request, studio, students)
    if request.method != "POST":
        choice = replace(choice, ticked=_ticked_at_first(request, group, students))
    do = request.POST.get("do", "look")
    if do in TICKS:
        everybody = frozenset(str(student.pk) for student in students)
        choice = replace(choice, ticked=everybody if do == "all" else frozenset())
    error = _what_is_missing(choice) if do in {"send", "draft"} else ""
    if do in {"send", "draft"} and not error:
        return _assign(request, students, choice, group=group, send=do == "send")
    context = _context(request.user, studio, students, choice) | {"error": error, "group": group}
    context["groups"] = groups_of(request.user, access.PLANNING).order_by("name")[:MOST_GROUPS]
    return render(request, "planning/several.html", context, status=400 if error else 200)


def _ticked_at_first(
    request: SignedInRequest, group: Group | None, students: list[access.Recordable]
) -> frozenset[str]:
    """All of a group; with `?tick=no-week` those to whom no week is sent, this one or the next."""
    if group:
        return frozenset(str(student.pk) for student in students)
    if request.GET.get("tick") != "no-week":
        return frozenset()
    opens = {student.pk: queries.this_opening(student) for student in students}
    days = {day + ahead for day in opens.values() for ahead in NOW_OR_NEXT}
    sent = Week.objects.filter(student__in=students, opens__in=days, state=Week.State.SENT)
    rows = sent.values_list("student", "opens")
    have = {pk for pk, day in rows if day - opens[pk] in NOW_OR_NEXT}
    return frozenset(str(pk) for pk in opens if pk not in have)


def _students(request: SignedInRequest, studio: Studio) -> list[access.Recordable]:
    students = access.students_planned_by(request.user).filter(studio=studio)
    return list(students.select_related("studio").order_by("name", "pk")[:MOST_STUDENTS])


def _choice(
    request: SignedInRequest, studio: Studio, students: list[access.Recordable]
) -> SeveralChoice:
    texts = {s.pk: request.POST.get(f"percent-{s.pk}", "")[:20] for s in students}
    percents: dict[UUID, int] = {}
    errors: dict[UUID, str] = {}
    for pk, text in texts.items():
        try:
            percents[pk] = plan.read_percent(text)
        except Refused as error:
            errors[pk] = str(error)
    key = request.POST.get("source", "")
    # Whoever comes for those without a week comes for the present one.
    first = "this" if request.GET.get("tick") == "no-week" else "next"
    return SeveralChoice(
        source=_source(request, studio, key),
        source_key=key,
        weeks_ahead=WEEKS_AHEAD.get(request.POST.get("when", first), 1),
        ticked=frozenset(request.POST.getlist("student")),
        in_spite=frozenset(request.POST.getlist("in-spite")),
        percents=percents,
        texts=texts,
        errors=errors,
        older=request.POST.get("do") == "older" or "older" in request.POST,
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
    found = queries.with_parts(weeks.filter(pk=wanted, student__studio=studio))
    return found[0] if found else None


def _what_is_missing(choice: SeveralChoice) -> str:
    if choice.source is None:
        return "Choose a template or a student’s week to give."
    if not choice.ticked:
        return "Tick at least one student."
    bad = [words for pk, words in choice.errors.items() if str(pk) in choice.ticked]
    return bad[0] if bad else ""


def _opens(student: Student, choice: SeveralChoice) -> date:
    return queries.this_opening(student) + timedelta(weeks=choice.weeks_ahead)


def _assign(
    request: SignedInRequest,
    students: list[access.Recordable],
    choice: SeveralChoice,
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
        in_spite={student.pk for student in chosen if str(student.pk) in choice.in_spite},
    )
    back = reverse("groups:show", args=[group.pk]) if group else reverse("plans:several")
    _tell(request, outcomes, back, send=send)
    return redirect(back)


def _tell(request: SignedInRequest, outcomes: list[Outcome], back: str, *, send: bool) -> None:
    went = [outcome for outcome in outcomes if not outcome.error]
    names = ", ".join(outcome.student.name for outcome in went)
    if went and send:
        weeks = [outcome.week for outcome in went if outcome.week]
        words = f"The week is sent to {names}."
        messages.success(request, sent_with_undo(request, words, weeks, back=back))
    elif went:
        messages.success(request, f"The week is kept as a draft for {names}.")
    for outcome in outcomes:
        if outcome.found and outcome.found.not_now:
            names_left = listed(outcome.found.not_now)
            words = f"{outcome.student.name}: without {names_left}, not for now."
            messages.warning(request, words)
        for words in outcome.found.lowered if outcome.found else ():
            messages.warning(request, f"{outcome.student.name}. {words}")
    for words, those in _alike(outcomes).items():
        if len(those) == 1:
            messages.warning(request, format_html("Not for this one: {}", those[0].error))
        else:
            not_sent = listed(outcome.student.name for outcome in those)
            messages.warning(request, format_html("Not for {}. Each {}", not_sent, words))


def _alike(outcomes: list[Outcome]) -> dict[str, list[Outcome]]:
    """Those that went wrong by what is said beside the name: forty are one message."""
    found: dict[str, list[Outcome]] = {}
    for outcome in outcomes:
        if outcome.error:
            words = outcome.error.removeprefix(f"{outcome.student.name} ")
            found.setdefault(words, []).append(outcome)
    return found


# --- the page ------------------------------------------------------------------------


def _context(
    user: User, studio: Studio, students: list[access.Recordable], choice: SeveralChoice
) -> dict[str, Any]:
    """Thirteen queries, however many students; one more after a pain."""
    parts = parts_from(choice.source, studio) if choice.source else None
    opens = {student.pk: _opens(student, choice) for student in students}
    limits = limits_of_many(students, opens)
    found = _for_each(parts, limits, choice) if parts else {}
    latest = max(opens.values(), default=None)
    usual = usual_minutes_of(students, latest) if latest else {}
    there = {
        (week.student_id, week.opens): week.get_state_display()
        for week in Week.objects.filter(student__in=students, opens__in=set(opens.values()))
    }
    return {
        "rows": [
            replace(
                _row(s, choice, found.get(s.pk), usual.get(s.pk)),
                has_week=there.get((s.pk, opens[s.pk]), ""),
            )
            for s in students
        ],
        "templates": [
            Option(f"template:{template.pk}", template.name)
            for template in queries.templates_of(studio)[: queries.MOST_TEMPLATES]
        ],
        **_weeks_to_give(students, older=choice.older),
        "choice": choice,
        "limited": [
            each
            for each in limits_of_several(user, students, opens, limits)
            if each.stops or each.rests or each.has_event
        ],
        "opens": min(opens.values(), default=None),
        "sees": _seen(user, students, parts) if parts and students else (),
    }


def _seen(
    user: User, students: list[access.Recordable], parts: Source
) -> tuple[tuple[str, str], ...]:
    """What the tests of its drills can see, by what the days of the studio tell."""
    return tests_see(with_tests(parts.names), user.speed_unit, usual_days(students[0]))


def _for_each(
    parts: Source, limits: Mapping[UUID, Limits], choice: SeveralChoice
) -> dict[UUID, ForWhom]:
    """What each one may be asked of the chosen week. One query after a pain."""
    hurt = hurting_of_many(parts.drills, limits)
    return {
        pk: parts.for_whom(
            each, choice.percents.get(pk, 0), hurt[pk], in_spite=str(pk) in choice.in_spite
        )
        for pk, each in limits.items()
    }


def _row(
    student: Student,
    choice: SeveralChoice,
    found: ForWhom | None,
    usual: float | None,
) -> SeveralRow:
    minutes = sum(spec.week_minutes for spec in found.specs) if found and found.specs else None
    return SeveralRow(
        pk=student.pk,
        name=student.name,
        is_ticked=str(student.pk) in choice.ticked,
        percent=choice.texts.get(student.pk, ""),
        error=choice.errors.get(student.pk, ""),
        minutes=minutes,
        usual=usual,
        fit=fit(minutes, usual) if minutes is not None else None,
        found=found,
        in_spite=str(student.pk) in choice.in_spite,
    )


def _weeks_to_give(students: list[access.Recordable], *, older: bool) -> dict[str, Any]:
    """The weeks sent last, and whether there are older ones to ask for."""
    weeks = Week.objects.filter(student__in=students, state=Week.State.SENT)
    most = MOST_WEEKS if older else LATELY
    rows = weeks.select_related("student").order_by("-opens", "student__name")[: most + 1]
    found = [
        Option(f"week:{week.pk}", f"{week.student.name}, {week.opens:%-d %B}") for week in rows
    ]
    return {"weeks": found[:most], "has_older": not older and len(found) > most}
