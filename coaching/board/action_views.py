"""What a coach does from Who needs me: the call list, what was tried, and the studio's lines."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coaching.board.calls import call_list
from coaching.board.thresholds_forms import BordersForm
from coaching.board.views import came_from
from coaching.forecast.interventions import write_tried
from coaching.forecast.models import StudioThresholds
from coaching.forecast.services import change_thresholds
from practice.care import looks
from shared.kit.refused import Refused
from shared.people import access
from shared.people.requests import SignedInRequest


@require_GET
@login_required
def calls(request: SignedInRequest) -> HttpResponse:
    """Whom to call this week, to be printed or tapped off."""
    if not access.teaches(request.user):
        raise Http404
    looks.keep_of_list(request.user, "Whom to call")
    return render(request, "board/calls.html", {"calls": call_list(request.user, timezone.now())})


@require_POST
@login_required
def tried(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    what, note = request.POST.get("what", ""), request.POST.get("note", "")
    try:
        write_tried(student=student, by=request.user, what=what, note=note)
    except Refused as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"Written down for {student.name}.")
    return redirect(came_from(request) or "board:calls")


@require_http_methods(["GET", "POST"])
@login_required
def borders(request: SignedInRequest) -> HttpResponse:
    """Where the studio's words begin; every line with its reason."""
    studio = access.studio_or_404(request.user, access.PLANNING)
    if request.POST.get("do") == "defaults":
        change_thresholds(studio=studio, by=request.user, changed=BordersForm.defaults())
        messages.success(request, "The words are used as at the start.")
        return redirect("board:borders")
    row = StudioThresholds.objects.filter(studio=studio).first() or StudioThresholds()
    form = BordersForm(request.POST or None, instance=row)
    if request.method == "POST" and form.is_valid():
        try:
            change_thresholds(studio=studio, by=request.user, changed=form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, "Saved. Who needs me uses them now.")
            return redirect("board:borders")
    status = 400 if form.errors else 200
    return render(request, "board/borders.html", {"form": form, "studio": studio}, status=status)
