"""The guardian's page of consents: change them, withdraw them, give them again."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from shared.people import access, consent
from shared.people.forms import ChangeConsentForm
from shared.people.requests import SignedInRequest

MOST_CHANGES = 30


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def consents(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    guardianship = access.guardianship_or_404(request.user, student_id)
    now = {
        "record": guardianship.withdrawn_at is None,
        "messages": guardianship.consents_to_messages,
        "clips": guardianship.consents_to_clips,
    }
    # All ticks taken away is an empty answer, and an answer all the same.
    data = request.POST if request.method == "POST" else None
    form = ChangeConsentForm(data, initial=now)
    if request.method == "POST" and form.is_valid():
        consent.change(guardianship, **form.cleaned_data)
        messages.success(request, "Kept. It holds from now on.")
        return redirect("consents", student_id)
    context = {
        "student": guardianship.student,
        "form": form,
        "purposes": [(purpose, form[purpose.field]) for purpose in consent.PURPOSES],
        "stands": now["record"],
        "changes": guardianship.changes.order_by("-at")[:MOST_CHANGES],
    }
    return render(request, "people/consents.html", context)
