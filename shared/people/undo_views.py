"""The one address of every *Undo*."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from shared.kit.refused import Refused
from shared.people.requests import SignedInRequest
from shared.people.undo import take_back


@require_POST
@login_required
def undo(request: SignedInRequest) -> HttpResponse:
    try:
        words, back = take_back(request, request.user)
    except Refused as error:
        messages.error(request, str(error))
        return redirect("home")
    messages.success(request, words)
    return redirect(back)
