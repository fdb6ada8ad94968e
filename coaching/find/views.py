"""Find: one field on every page of those who teach."""

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from coaching.find.queries import find
from shared.people import access
from shared.people.requests import SignedInRequest


@require_GET
@login_required
def find_page(request: SignedInRequest) -> HttpResponse:
    """The answers as a page; with `?part=1` the list alone, for find.js; one answer is gone to."""
    if not access.teaches(request.user):
        raise Http404
    typed = request.GET.get("q", "")
    found = find(request.user, typed)
    context = {"found": found, "typed": typed.strip()}
    if "part" in request.GET:
        return render(request, "find/_found.html", context)
    if len(found) == 1:
        return redirect(found[0].url)
    return render(request, "find/find.html", context)
