"""Care notes: who must be careful, of whom a coach clears what stopped."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from coaching.board.care import care_notes, care_roster, stop_or_404
from practice.care import commands
from shared.people import access
from shared.people.requests import SignedInRequest
from shared.people.today import today_of

LONGEST_WORDS = 300


@require_GET
@login_required
def everybody(request: SignedInRequest) -> HttpResponse:
    """Every limit in the studios the user teaches in."""
    if not access.teaches(request.user):
        raise Http404
    return render(request, "board/care_roster.html", {"care": care_roster(request.user)})


@require_GET
@login_required
def one(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    notes = care_notes(request.user, student, timezone.now())
    return render(request, "board/care.html", {"student": student, "notes": notes})


@require_POST
@login_required
def clear_stop(request: SignedInRequest, stop_id: UUID) -> HttpResponse:
    """Let the student go on, in words that are kept. For those who may read the pain."""
    stop = stop_or_404(request.user, stop_id)
    said = request.POST.get("words", "").strip()
    if not said or len(said) > LONGEST_WORDS:
        messages.error(
            request, f"Say in up to {LONGEST_WORDS} characters why it is right to go on."
        )
    else:
        today = today_of(stop.student)
        if commands.clear_stop(stop=stop, by=request.user, words=said, day=today):
            messages.success(request, f"Cleared. {stop.student.name} sees it with the week.")
        else:
            messages.info(request, "Somebody cleared it before you.")
    return redirect("board:care", stop.student_id)
