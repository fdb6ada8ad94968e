"""Words: what students wrote with their sessions, and what was answered."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from coaching.messages import queries, services
from practice.log.services import LineError, mark_read, ticks_for
from shared.people import access
from shared.people.events import tell_looked_at
from shared.people.models import Student
from shared.people.requests import SignedInRequest, moment_of


@require_safe
@login_required
def waiting(request: SignedInRequest) -> HttpResponse:
    """Everything still to be answered or ticked, of all students."""
    if not access.teaches(request.user):
        raise Http404
    now = timezone.now()
    notes = queries.unanswered(request.user, now)
    context = {
        "notes": notes,
        "questions": sum(note.is_question for note in notes),
        "answered": queries.answered_words(request.user, now),
    }
    return render(request, "messages/waiting.html", context)


@require_POST
@login_required
def act(request: SignedInRequest, entry_id: UUID) -> HttpResponse:
    """Answer, tick, or keep the words of one note."""
    entry = queries.note_or_404(request.user, entry_id)
    text = request.POST.get("text", "")
    try:
        match request.POST.get("do"):
            case "answer":
                services.answer(entry=entry, by=request.user, text=text)
            case "keep":
                services.keep_words(entry=entry, by=request.user, text=text or entry.note)
                messages.success(request, f"Kept as a cue of {entry.student.name}.")
            case "seen":
                services.tick(entry=entry, by=request.user)
            case _:
                raise Http404
    except LineError as error:
        messages.error(request, f"{entry.student.name}: {error}")
    if request.POST.get("from") == "student":
        return redirect("words:of_student", entry.student_id)
    return redirect("words:waiting")


@require_safe
@login_required
def of_student(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """One student's notes with their answers, for whoever reads them."""
    student = access.student_cared_for_or_404(request.user, student_id)
    return _page(request, "messages/of_student.html", student)


@require_safe
@login_required
def own(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """The same for the student and the guardians, with every line written to the student."""
    student = access.student_followed_or_404(request.user, student_id)
    new = queries.unseen_lines(student)
    tell_looked_at(request.user, student)
    more = {"new": new, "ticks": ticks_for(student, request.user)}
    return _page(request, "messages/own.html", student, **more)


@require_POST
@login_required
def read(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """Whoever logs for the student has read the lines."""
    student = access.student_logged_or_404(request.user, student_id)
    mark_read(student=student, by=request.user)
    return redirect("words:own", student.pk)


def _page(
    request: SignedInRequest, template: str, student: Student, **more: object
) -> HttpResponse:
    notes = queries.of_student(request.user, student, moment_of(request.GET.get("until", "")))
    older = notes[queries.PAGE - 1].at if len(notes) > queries.PAGE else None
    context = {
        "student": student,
        "notes": notes[: queries.PAGE],
        "older": older,
        "cues": queries.cues_of(student),
        "days": queries.REPLY_DAYS,
    }
    return render(request, template, context | more)
