"""Who needs me, how it was worked out, and the lines a coach writes from there."""

from datetime import date, datetime
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.middleware.csrf import get_token
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.dateparse import parse_datetime
from django.utils.html import format_html
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.safestring import SafeString
from django.utils.timezone import is_aware
from django.views.decorators.http import require_GET, require_POST

from coaching.board.addresses import addresses
from coaching.board.figures import worked_out_of
from coaching.board.kept import standings
from coaching.board.looks import keep_look, last_look, news_since, take_back_look
from coaching.board.queries import MOST_STUDENTS, BoardAsked, board, one_student, students_of
from coaching.board.rows import row_of
from coaching.forecast.interventions import write_tried
from coaching.forecast.models import Tried
from coaching.intake.queries import unread_asked
from practice.care import looks
from practice.log.services import write_line as keep_line
from shared.kit.refused import Refused
from shared.people import access
from shared.people.models import User
from shared.people.requests import SignedInRequest
from shared.people.undo import with_undo


@require_GET
@login_required
def who(request: SignedInRequest) -> HttpResponse:
    """`?open=` shows one line opened, `&write=1` with its note begun, `?all=1` all as lines."""
    asked = BoardAsked(
        lesson_day(request),
        open=request.GET.get("open", ""),
        is_writing="write" in request.GET,
        is_all="all" in request.GET,
    )
    user, now = request.user, timezone.now()
    told, unread = looks.told_asked(user, now), unread_asked(user, now)
    shown = board(user, now, asked=asked, beside=(told, unread))
    looks.keep_told(user, told, "Who needs me")
    return render(request, "board/who.html", {"board": shown, "unread": unread.answer})


@require_GET
@login_required
def row(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """What a line holds when it is opened: a part of a page, fetched by board.js."""
    student = access.student_taught_or_404(request.user, student_id)
    judged, raw, viewer = one_student(request.user, student, timezone.now())
    if viewer.reads_pain:
        looks.keep(request.user, [student.pk], "Who needs me", is_told=bool(raw.pains))
    shown = row_of(judged, raw, viewer, addresses())
    return render(request, "board/_row.html", {"row": shown})


def _taken_back_words(user: User) -> str:
    """What the page then shows; where nothing is marked it does not say so."""
    if not take_back_look(user=user):
        return "There is nothing to bring back."
    standing = standings(students_of(user)[:MOST_STUDENTS], timezone.now())
    marked = any(news_since(last_look(user), standing).values())
    return "What was new is marked again." if marked else "Nothing was new then either."


@require_POST
@login_required
def seen(request: SignedInRequest) -> HttpResponse:
    """Looking clears what is new; `do=back` lets it stand again."""
    if not access.teaches(request.user):
        raise Http404
    if request.POST.get("do") == "back":
        messages.success(request, _taken_back_words(request.user))
        return redirect("board:who")
    now = timezone.now()
    standing = standings(students_of(request.user)[:MOST_STUDENTS], now)
    keep_look(user=request.user, at=_seen_at(request, now), standing=standing)
    if request.POST.get("do") == "quietly":
        return HttpResponse(status=204)
    messages.success(request, _seen_words(request))
    return redirect("board:who")


def _seen_at(request: HttpRequest, now: datetime) -> datetime:
    """When the page that was seen was made; now for whatever is no such instant."""
    at = parse_datetime(request.POST.get("at", "")[:40])
    return min(at, now) if at and is_aware(at) else now


def _seen_words(request: HttpRequest) -> SafeString:
    back = format_html(
        '<form method="post" action="{}"><input type="hidden" name="csrfmiddlewaretoken" '
        'value="{}"><button class="link" name="do" value="back">Undo</button></form>',
        reverse("board:seen"),
        get_token(request),
    )
    return format_html("Nothing is marked as new now. {}", back)


def lesson_day(request: HttpRequest) -> date | None:
    """The lesson day asked for; all days for whatever is not one."""
    try:
        return date.fromisoformat(request.GET.get("lesson", ""))
    except ValueError:
        return None


@require_GET
@login_required
def worked_out(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """How every figure of one row came about."""
    student = access.student_taught_or_404(request.user, student_id)
    judged, raw, viewer = one_student(request.user, student, timezone.now())
    if viewer.reads_pain:
        looks.keep(request.user, [student.pk], "How it was worked out", is_told=bool(raw.pains))
    context = {"student": student, "figures": worked_out_of(judged, raw, viewer)}
    return render(request, "board/worked_out.html", context)


@require_POST
@login_required
def write_line(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    back = came_from(request) or f"/who/#row-{student.pk}"
    try:
        line = keep_line(student=student, author=request.user, text=request.POST.get("text", ""))
    except Refused as error:
        messages.error(request, f"{student.name}: {error}")
    else:
        tried = write_tried(student=student, by=request.user, what=Tried.What.LINE)
        readers = ", and every guardian can read it" if student.is_minor else ""
        said = f"{student.name} finds your line with the week{readers}."
        words = with_undo(request, said, "line", back=back, line=line.pk, tried=tried.pk)
        messages.success(request, words)
    return redirect(back)


def came_from(request: HttpRequest) -> str:
    """The page of this site that a form names to go back to, or nothing."""
    address = request.POST.get("next", "")
    is_ours = url_has_allowed_host_and_scheme(
        address, allowed_hosts=None, require_https=request.is_secure()
    )
    return address if is_ours and address.startswith("/") else ""
