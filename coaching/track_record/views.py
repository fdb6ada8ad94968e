"""How Wednesday's words came out."""

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from coaching.lessons.taken import taken
from coaching.track_record.queries import score_of, tests_said
from shared.people import access
from shared.people.requests import SignedInRequest


@require_GET
@login_required
def score(request: SignedInRequest) -> HttpResponse:
    if not access.roles_by_studio(request.user):
        raise Http404
    now = timezone.now()
    context = {
        "score": score_of(request.user, now),
        "tests": tests_said(request.user),
        "taken": taken(request.user, now),
    }
    return render(request, "track_record/score.html", context)
