"""Words: what students wrote with their sessions, and what was answered."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from coaching.forecast.interventions import take_back_tried
from coaching.messages import queries, services
from practice.log.models import Entry, Line
from practice.log.services import mark_read, take_back_line, ticks_for
from shared.kit.refused import Refused
from shared.people import access
from shared.people.events import tell_looked_at
from shared.people.models import Student, User
from shared.people.requests import SignedInRequest, followed_or_404, moment_of
from shared.people.undo import Facts, id_of, takes_back, with_undo


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
                line = services.answer(entry=entry, by=request.user, text=text)
                said = f"Answered: {entry.student.name} finds it with the week."
                _tell(request, said, "line", entry, line=line.pk)
            case "keep":
                was_seen = services.is_ticked(entry)
                kept = services.keep_words(entry=entry, by=request.user, text=text or entry.note)
                said = f"Kept as a cue of {entry.student.name}."
                _tell(request, said, "kept words", entry, kept=kept.pk, seen=int(was_seen))
            case "seen":
                services.tick(entry=entry, by=request.user)
                _tell(request, f"Seen: {entry.student.name} reads that.", "seen", entry)
            case _:
                raise Http404
    except Refused as error:
        messages.error(request, f"{entry.student.name}: {error}")
    return redirect(_back(request, entry))


def _back(request: SignedInRequest, entry: Entry) -> str:
    if request.POST.get("from") == "student":
        return reverse("words:of_student", args=[entry.student_id])
    return reverse("words:waiting")


def _tell(request: SignedInRequest, said: str, name: str, entry: Entry, **facts: object) -> None:
    back = _back(request, entry)
    words = with_undo(request, said, name, back=back, entry=entry.pk, **facts)
    messages.success(request, words)


@takes_back("seen")
def _unseen(user: User, facts: Facts) -> str:
    entry = queries.note_or_404(user, id_of(facts, "entry"))
    services.untick(entry=entry)
    return f"The note of {entry.student.name} waits again."


@takes_back("line")
def _line_back(user: User, facts: Facts) -> str:
    """Of one's own, and only while nobody has read it."""
    line = get_object_or_404(Line.objects.select_related("student"), pk=facts["line"], author=user)
    access.student_taught_or_404(user, line.student_id)
    if not take_back_line(line=line):
        raise Refused(f"{line.student.name} has read it already. Write another one.")
    if "tried" in facts:
        take_back_tried(tried=id_of(facts, "tried"), by=user)
    return f"Taken back. {line.student.name} has it no more."


@takes_back("kept words")
def _words_off(user: User, facts: Facts) -> str:
    entry = queries.note_or_404(user, id_of(facts, "entry"))
    services.drop_words(entry=entry, kept_id=id_of(facts, "kept"), untick_too=facts["seen"] == "0")
    return f"It is no cue of {entry.student.name} any more."


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
    student = followed_or_404(request, student_id)
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
