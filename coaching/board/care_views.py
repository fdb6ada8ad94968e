"""Care notes: who must be careful, of whom a coach clears what stopped."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from coaching.board.care import care_notes, care_roster, stops_named
from coaching.board.views import came_from
from coaching.season.limits_pages import limits_shown
from practice.care import earlier, looks
from practice.flows import stop
from shared.people import access, security
from shared.people.access import Recordable
from shared.people.forms import NeedForm
from shared.people.requests import SignedInRequest
from shared.people.today import today_of

LONGEST_WORDS = 300


@require_GET
@login_required
def everybody(request: SignedInRequest) -> HttpResponse:
    """Every limit in the studios the user teaches in."""
    if not access.teaches(request.user):
        raise Http404
    looks.keep_of_list(request.user, "Care notes of all")
    return render(request, "board/care_roster.html", {"care": care_roster(request.user)})


@require_GET
@login_required
def one(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    return _page(request, student, NeedForm())


def _page(request: SignedInRequest, student: Recordable, form: NeedForm) -> HttpResponse:
    notes = care_notes(request.user, student, timezone.now())
    if notes.reads_pain:
        looks.keep(request.user, [student.pk], "Care notes", is_told=bool(notes.places))
    context = {
        "student": student,
        "notes": notes,
        "limits": limits_shown(request.user, student),
        "form": form,
        "hurt_before": earlier.words_of(student) if notes.reads_pain else "",
        "may_plan": access.may_plan_in(request.user, student.studio),
        "is_owner": access.owns(request.user, student.studio),
    }
    return render(request, "board/care.html", context)


@require_POST
@login_required
def need(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """An owner or coach says why they need this student's pain notes; the guardian reads it."""
    student = access.student_planned_or_404(request.user, student_id)
    form = NeedForm(request.POST)
    if not form.is_valid():
        return _page(request, student, form)
    looks.state_need(student=student, user=request.user, why=form.cleaned_data["why"])
    security.note(
        request, security.Kind.PAIN_NEEDED, by=request.user, whom=student.pk,
        studio=student.studio, what=form.cleaned_data["why"],
    )  # fmt: skip
    messages.success(request, "Open to you for 30 days. Your reason is kept and shown.")
    return redirect("board:care", student.pk)


@require_GET
@login_required
def read_by(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """The owner's page: who read of the student's pain, and for what reason."""
    student = access.student_owned_or_404(request.user, student_id)
    context = {
        "student": student,
        "looks": looks.looks_of(student),
        "needs": looks.needs_of(student),
        "back": reverse("board:care", args=[student.pk]),
    }
    return render(request, "care/read_by.html", context)


@require_POST
@login_required
def keep_words(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """Keep what was told of pain in words, or let it fade. For those who may read it."""
    student = access.student_cared_for_or_404(request.user, student_id)
    is_kept = request.POST.get("keep") == "yes"
    stop.keep_words(student=student, is_kept=is_kept)
    messages.success(request, "Kept." if is_kept else "They fade in their time.")
    return redirect("board:care", student.pk)


@require_POST
@login_required
def clear_stops(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """Let the student go on, in words that are kept. For those who may read the pain."""
    student = access.student_cared_for_or_404(request.user, student_id)
    stops = stops_named(student, request.POST.getlist("stop"))
    said = request.POST.get("words", "").strip()
    if not said or len(said) > LONGEST_WORDS:
        messages.error(
            request, f"Say in up to {LONGEST_WORDS} characters why it is right to go on."
        )
    elif not stops:
        messages.error(request, "Tick what to clear. Nothing was changed.")
    else:
        day = today_of(student)
        done = [stop.clear_stop(stop=s, by=request.user, words=said, day=day) for s in stops]
        if any(done):
            messages.success(request, f"Cleared. {student.name} sees it with the week.")
        else:
            messages.info(request, "Somebody cleared it before you.")
    return redirect(came_from(request) or reverse("board:care", args=[student.pk]))
