"""Closing a lesson: straight to the week that follows from it."""

from datetime import date
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.safestring import SafeString
from django.views.decorators.http import require_http_methods, require_POST

from coaching.lesson_day.choices import keep_choices
from coaching.lesson_day.close_pages import close_page
from coaching.lesson_day.proposal import Proposal, proposal_for
from coaching.lesson_day.views import read_moment
from coaching.lessons import services
from coaching.lessons.models import Lesson
from coaching.lessons.queries import lesson_or_404
from coaching.planning.undo import changed_with_undo, sent_with_undo
from coaching.season.limits_pages import limits_shown
from coaching.season.near import near_of
from practice.care.asks_once import AskOnce
from practice.flows.take_back_week import as_it_is
from practice.weeks import queries as week_queries
from practice.weeks.models import Week
from shared.kit.refused import Refused
from shared.people import access
from shared.people.requests import SignedInRequest

NOTE_LENGTH = 600
MOST_WEEKS_AHEAD = 8


@require_http_methods(["GET", "POST"])
@login_required
def close(request: SignedInRequest, lesson_id: UUID) -> HttpResponse:
    """What to send, part by part, and the three ways to close. GET never writes."""
    lesson = lesson_or_404(request.user, lesson_id, writing=True)
    if lesson.state == Lesson.State.PLANNED:
        raise Http404
    proposal = proposal_for(lesson, _opens(request, lesson))
    if request.method == "GET":
        return _page(request, lesson, proposal)
    try:
        return _act(request, lesson, proposal)
    except Refused as error:
        return _page(request, lesson, proposal, error)


def _opens(request: SignedInRequest, lesson: Lesson) -> date | None:
    """The week asked for; None for the one that most likely wants setting."""
    text = request.POST.get("opens") or request.GET.get("opens", "")
    if not text:
        return None
    try:
        asked = date.fromisoformat(text)
    except ValueError:
        raise Http404 from None
    weeks, days = divmod((asked - week_queries.this_opening(lesson.student)).days, 7)
    if days or not 0 <= weeks <= MOST_WEEKS_AHEAD:
        raise Http404
    return asked


def _act(request: SignedInRequest, lesson: Lesson, proposal: Proposal) -> HttpResponse:
    """Send, keep for later, or no practice. Raises Refused."""
    by, student = request.user, lesson.student
    chosen = {row.key: request.POST.get(f"do-{row.key}", "") for row in proposal.rows}
    specs = proposal.specs(chosen)
    match request.POST.get("do"):
        case "send":
            note = request.POST.get("note", "").strip()
            if len(note) > NOTE_LENGTH:
                raise Refused(f"The words are longer than {NOTE_LENGTH} characters.")
            before = week_queries.week_of(student, proposal.opens)
            week = services.close_and_send(
                lesson=lesson,
                by=by,
                opens=proposal.opens,
                specs=specs,
                note=note or None,
                in_spite="in-spite" in request.POST,
            )
            words = f"The week is sent to {student.name}, and the lesson is closed."
            words = _with_undo(request, words, before, week)
        case "later" | "change":
            services.close_for_later(lesson=lesson, by=by, opens=proposal.opens, specs=specs)
            words = f"{student.name}: the week is kept and stands first on Today’s lessons."
        case "none":
            services.close_without_week(lesson=lesson)
            words = f"{student.name}: no practice this week. The lesson is closed."
        case _:
            raise Refused("Choose what this week should be: sent, later today, or none.")
    if request.POST.get("do") != "none":
        keep_choices(
            lesson=lesson, proposal=proposal, chosen=chosen, why=request.POST.get("why", "")
        )
    _plan_next(request, lesson)
    messages.success(request, words)
    if request.POST.get("do") == "change":
        return redirect("plans:set_week", student.pk, proposal.opens)
    return redirect("lessons:next_up")


def _with_undo(
    request: SignedInRequest, words: str, before: Week | None, week: Week
) -> SafeString | str:
    """Of a week that was sent, or of a change of one that stood."""
    back = reverse("lessons:next_up")
    if before is None or before.state != Week.State.SENT:
        return sent_with_undo(request, words, [week], back=back)
    if week.revision == before.revision:
        return words
    return changed_with_undo(request, words, week, as_it_is(before), back=back)


def _plan_next(request: SignedInRequest, lesson: Lesson) -> None:
    at = read_moment(request.POST.get("next", ""), request.user.time_zone)
    if at is not None:
        student = access.recordable(lesson.student)
        services.plan_lesson(student=student, coach=request.user, at=at, place=lesson.place)


def _page(
    request: SignedInRequest, lesson: Lesson, proposal: Proposal, error: Refused | None = None
) -> HttpResponse:
    chosen = {row.key: request.POST.get(f"do-{row.key}", "") for row in proposal.rows}
    opens, near = proposal.opens, near_of(lesson.student, proposal.opens)
    page = close_page(request.user, lesson, proposal, chosen, near)
    context = {
        "page": page,
        "limits": limits_shown(request.user, lesson.student, opens, proposal.limits, near),
        "error": str(error or ""),
        "tick": error.tick if isinstance(error, AskOnce) else "",
        "note": request.POST.get("note", ""),
    }
    return render(request, "lesson_day/close.html", context, status=400 if error else 200)


@require_POST
@login_required
def throw_away(request: SignedInRequest, lesson_id: UUID) -> HttpResponse:
    """A lesson begun by mistake."""
    lesson = lesson_or_404(request.user, lesson_id, writing=True)
    try:
        services.throw_away(lesson=lesson)
    except Refused as error:
        messages.error(request, str(error))
        return redirect("lessons:note", lesson.pk)
    messages.success(request, f"{lesson.student.name}: the lesson is thrown away.")
    return redirect("lessons:next_up")


@require_POST
@login_required
def write_on(request: SignedInRequest, lesson_id: UUID) -> HttpResponse:
    """Open a closed lesson again to write on in it."""
    lesson = lesson_or_404(request.user, lesson_id, writing=True)
    try:
        services.reopen(lesson=lesson)
    except Refused as error:
        messages.error(request, str(error))
    return redirect("lessons:note", lesson.pk)
