"""Set the week: build a student's week, keep it as a draft, send it, change it."""

from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db import transaction
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coaching.forecast.interventions import write_tried
from coaching.forecast.models import Tried
from coaching.intake.queries import is_unread
from coaching.planning import pages, typed, weekly
from coaching.planning.pages import KnownOfStudent
from coaching.planning.typed import NOTE_LENGTH, RowForm, Typed
from coaching.planning.undo import changed_with_undo, sent_with_undo
from practice.care.asks_once import AskOnce
from practice.flows import set_week as commands
from practice.flows.take_back_week import as_it_is
from practice.weeks import plan, queries, templates
from practice.weeks.models import Week, WeekTemplate
from practice.weeks.plan import PartSpec
from shared.kit.refused import Refused
from shared.people import access
from shared.people.models import Student, User
from shared.people.requests import SignedInRequest

AHEAD = timedelta(weeks=8)
ARRANGING = ("add", "up", "down", "remove", "live")


@require_GET
@login_required
def choose_week(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """The week that most likely wants setting."""
    student = access.student_planned_or_404(request.user, student_id)
    return redirect("plans:set_week", student.pk, queries.week_to_set(student))


@require_http_methods(["GET", "POST"])
@login_required
def set_week(request: SignedInRequest, student_id: UUID, opens: date) -> HttpResponse:
    """The page, and every button on it. GET never writes."""
    student = access.student_planned_or_404(request.user, student_id)
    _check_opens(student, opens)
    known = pages.known(request.user, student, opens)
    if request.method == "GET":
        return _page(request, known, pages.typed_of(known), opened=_opened(request))
    return _answer(request, known, typed.from_post(request.POST))


def _check_opens(student: Student, opens: date) -> None:
    """Only weeks that are not over, and not too far ahead, begin on the studio's first day."""
    now = queries.this_opening(student)
    if not now <= opens <= now + AHEAD or (opens - now).days % 7:
        raise Http404


def _answer(request: SignedInRequest, known: KnownOfStudent, form: Typed) -> HttpResponse:
    do = request.POST.get("do", "live")
    verb = do.partition(":")[0]
    if verb in ARRANGING:
        if verb != "live":
            add = request.POST.getlist("add-drill")
            form = typed.arrange(form, do, known.shelf, add, known.drawn.visits)
        return _keep_typed(request, known, form)
    forms = pages.read_rows(form, known)
    errors, tick = _errors(form, forms), ""
    if not errors:
        try:
            if verb == "fit":
                return _fit(request, known, form, [f.spec for f in forms])
            ready = _Ready([f.spec for f in forms], form.note.strip(), "in-spite" in request.POST)
            return _act(request, known, verb, ready)
        except Refused as error:
            errors.append(str(error))
            tick = error.tick if isinstance(error, AskOnce) else ""
    commands.keep_typed(
        student=known.student, opens=known.opens, typed=form.as_json(), by=request.user
    )
    known = pages.known(request.user, known.student, known.opens)
    return _page(request, known, form, errors, tick=tick)


def _fit(
    request: SignedInRequest, known: KnownOfStudent, form: Typed, specs: list[PartSpec]
) -> HttpResponse:
    """Put the free sessions on the student's days, keep that as typed, and say how it went."""
    fitted = weekly.fit_week(known.student, known.opens, specs)
    rows = tuple(
        typed.as_fitted(*each) for each in zip(form.rows, specs, fitted.specs, strict=True)
    )
    form = replace(form, rows=rows)
    commands.keep_typed(
        student=known.student, opens=known.opens, typed=form.as_json(), by=request.user
    )
    known = pages.known(request.user, known.student, known.opens)
    context = pages.page(known, form, pages.read_rows(form, known)) | {"fitted": fitted}
    return render(request, "planning/set_week.html", context)


@dataclass(frozen=True, slots=True)
class _Ready:
    """A form that can be read whole."""

    specs: list[PartSpec] = field(default_factory=list)
    note: str = ""
    # Hard swings asked beyond a limit, by a coach who has read it.
    in_spite: bool = False


def _errors(form: Typed, forms: list[RowForm]) -> list[str]:
    errors = []
    if len(form.note) > NOTE_LENGTH:
        errors.append(f"The words to the student are longer than {NOTE_LENGTH} letters.")
    if len(forms) > plan.MOST_PARTS:
        errors.append(f"At most {plan.MOST_PARTS} parts in one week.")
    bad = [str(n) for n, row in enumerate(forms, start=1) if not row.is_valid()]
    if bad:
        errors.append(f"Not sent yet: look at part {', '.join(bad)}. What you typed is kept.")
    return errors


def _act(request: SignedInRequest, known: KnownOfStudent, verb: str, ready: _Ready) -> HttpResponse:
    """Keep, send or save as a template what can be read. Raises Refused."""
    student, by = known.student, request.user
    if verb == "template":
        name = request.POST.get("template-name", "")
        templates.save_template(studio=student.studio, name=name, specs=ready.specs, by=by)
        messages.success(request, f"Saved as the template “{name.strip()}”.")
    elif verb == "send" and known.week is not None and known.week.sent_at:
        _check_revision(request, known.week)
        was = as_it_is(known.week)
        week = commands.amend_week(
            week=known.week, specs=ready.specs, note=ready.note, by=by, in_spite=ready.in_spite
        )
        words = "Nothing was changed."
        if week.revision > known.week.revision:
            here = _here(known)
            words = changed_with_undo(request, "The change is sent.", week, was, back=here)
        messages.success(request, words)
    else:
        week = _save(known, ready, by, send=verb == "send")
        words = "Kept as a draft."
        if verb == "send":
            words = f"The week is sent to {student.name}."
            words = sent_with_undo(request, words, [week], back=_here(known))
        messages.success(request, words)
    return redirect(_here(known))


def _check_revision(request: SignedInRequest, week: Week) -> None:
    seen = request.POST.get("revision", "")
    if seen and seen != str(week.revision):
        raise Refused(
            "This week was changed on another page meanwhile. Below is what you typed. Drop it to "
            "see the week as it is now."
        )


@transaction.atomic
def _save(known: KnownOfStudent, ready: _Ready, by: User, *, send: bool) -> Week:
    week = known.week or commands.start_draft(student=known.student, opens=known.opens, by=by)
    week = commands.save_parts(week=week, specs=ready.specs, by=by, note=ready.note)
    return commands.send_week(week=week, by=by, in_spite=ready.in_spite) if send else week


def _keep_typed(request: SignedInRequest, known: KnownOfStudent, form: Typed) -> HttpResponse:
    """Keep the form as it stands; the script gets the form back, others the page."""
    if not _says_nothing_new(known, form):
        commands.keep_typed(
            student=known.student, opens=known.opens, typed=form.as_json(), by=request.user
        )
    elif known.week is not None and known.week.typed is not None:
        commands.keep_typed(student=known.student, opens=known.opens, typed=None, by=request.user)
    if request.headers.get("X-Fragment"):
        known = pages.known(request.user, known.student, known.opens)
        context = pages.page(known, form, pages.read_rows(form, known))
        return render(request, "planning/_week_form.html", context | {"kept": True})
    return redirect(_here(known) + _open_after(request, len(form.rows)))


def _opened(request: SignedInRequest) -> int | None:
    """The part that the address asks to stand open."""
    wanted = request.GET.get("part", "")
    return int(wanted) if wanted.isdecimal() and len(wanted) < 3 else None


def _open_after(request: SignedInRequest, rows: int) -> str:
    """Without the script: the part that was added or moved stands open."""
    verb, _, place = request.POST.get("do", "").partition(":")
    n = int(place) if place.isdecimal() and len(place) < 3 else rows
    to = {"add": rows - 1, "up": n - 1, "down": n + 1}.get(verb, -1)
    return f"?part={to}#part-{to}" if 0 <= to < rows else "#parts"


def _says_nothing_new(known: KnownOfStudent, form: Typed) -> bool:
    if known.week is None:
        return not form.rows and not form.note
    specs = pages.specs_of(pages.read_rows(form, known))
    if specs is None or form.note != known.week.note:
        return False
    # Without ids: a part taken out and put back as it was is no change.
    saved = [replace(spec, id=None) for spec in queries.specs_of(known.week)]
    return saved == [replace(spec, id=None) for spec in specs]


def _page(
    request: SignedInRequest,
    known: KnownOfStudent,
    form: Typed,
    errors: list[str] | None = None,
    *,
    opened: int | None = None,
    tick: str = "",
) -> HttpResponse:
    rows = pages.read_rows(form, known)
    context = pages.page(known, form, rows, opened) | {"errors": errors or [], "tick": tick}
    context["unread"] = known.last_week is None and is_unread(known.student)
    return render(request, "planning/set_week.html", context, status=400 if errors else 200)


def _here(known: KnownOfStudent) -> str:
    return reverse("plans:set_week", args=[known.student.pk, known.opens])


# --- starting, dropping, shortening -------------------------------------------------


@require_POST
@login_required
def start(request: SignedInRequest, student_id: UUID, opens: date) -> HttpResponse:
    """Fill the draft from last week or a template, with volume up or down."""
    student = access.student_planned_or_404(request.user, student_id)
    _check_opens(student, opens)
    try:
        if request.POST.get("from") == "season":
            says = weekly.start_from_season(student=student, opens=opens, by=request.user)
            messages.success(request, says)
            return redirect("plans:set_week", student.pk, opens)
        source = _source(request, student, opens)
        percent = plan.read_percent(request.POST.get("percent", ""))
        commands.start_draft(
            student=student, opens=opens, by=request.user, source=source, percent=percent
        )
        for words in commands.taken_over(source, student, opens, percent).says:
            messages.warning(request, words)
    except ValueError as error:
        messages.error(request, str(error))
    return redirect("plans:set_week", student.pk, opens)


def _source(request: SignedInRequest, student: Student, opens: date) -> Week | WeekTemplate:
    wanted = request.POST.get("from", "")
    source = (
        queries.sent_week_before(student, opens)
        if wanted == "last"
        else pages.template_or_none(student, wanted)
    )
    if source is None:
        raise Refused("There is no such week to start from. Choose a template or a drill.")
    return source


@require_POST
@login_required
def discard(request: SignedInRequest, student_id: UUID, opens: date) -> HttpResponse:
    """Drop a draft, or a change that was not sent."""
    student = access.student_planned_or_404(request.user, student_id)
    week = queries.week_of(student, opens)
    if week is not None:
        commands.discard_draft(week=week)
        messages.success(request, "Dropped. What was sent before stays as it is.")
    return redirect("plans:set_week", student.pk, opens)


@require_http_methods(["GET", "POST"])
@login_required
def shorten(request: SignedInRequest, student_id: UUID, opens: date) -> HttpResponse:
    """Send a shorter week: what it would be, and the button."""
    student = access.student_planned_or_404(request.user, student_id)
    week = queries.week_of(student, opens)
    if week is None or not week.sent_at:
        raise Http404
    week.student = student
    facts = commands.shorter_facts(week=week)
    try:
        if request.method == "POST":
            was = as_it_is(week)
            shorter_week = commands.shorten_week(week=week, by=request.user)
            tried = write_tried(student=student, by=request.user, what=Tried.What.SHORTER)
            words = f"{student.name} has a shorter week."
            words = changed_with_undo(
                request, words, shorter_week, was, back=reverse("home"), tried=tried.pk
            )
            messages.success(request, words)
            return redirect("home")
        shorter, refusal = commands.shorter_specs(week=week, facts=facts), ""
    except Refused as error:
        shorter, refusal = queries.specs_of(week), str(error)
    context = pages.shorter_page(request.user, week, shorter, facts) | {"refusal": refusal}
    return render(request, "planning/shorten.html", context, status=409 if request.POST else 200)
