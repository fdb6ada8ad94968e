"""The first page, the first run, and one's own settings."""

from allauth.account.utils import perform_login
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from shared.people import access, coming_of_age, events, first_run, limits, places, services
from shared.people.forms import FirstStudioForm, SettingsForm
from shared.people.requests import SignedInRequest
from shared.site import errors


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """Lead everybody to where their work is."""
    if not request.user.is_authenticated:
        return _front_door(request)
    found = places.places_of(request.user)
    if len(found) == 1:
        return redirect(found[0].url)
    is_over = not found and access.has_grown_children(request.user)
    return render(request, "people/places.html", {"places": found, "is_over": is_over})


def _front_door(request: HttpRequest) -> HttpResponse:
    if first_run.is_first_run():
        return redirect("welcome")
    walk_ins = events.offers(events.walk_ins)
    if walk_ins:
        return render(request, "people/walk_in.html", {"walk_ins": walk_ins})
    return redirect("account_login")


@require_http_methods(["GET", "HEAD", "POST"])
def welcome(request: HttpRequest) -> HttpResponse:
    """Make the studio, or load what else is offered; only while there is no studio."""
    if not first_run.is_first_run():
        return redirect("home")
    if request.method == "POST" and not limits.may(request, "first_run"):
        return errors.too_many(request)
    form = FirstStudioForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        return _make_studio(request, form)
    offers = events.offers(events.first_run_offers)
    return render(request, "people/welcome.html", {"form": form, "offers": offers})


def _make_studio(request: HttpRequest, form: FirstStudioForm) -> HttpResponse:
    try:
        owner = first_run.make_studio(**form.cleaned_data)
    except first_run.AlreadyMade:
        messages.warning(request, "Somebody made the studio a moment ago. Sign in to it.")
        return redirect("account_login")
    messages.success(request, "The studio is made, and its drill shelf is filled.")
    answer: HttpResponse = perform_login(request, owner, redirect_url=reverse("students"))
    return answer


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def own_settings(request: SignedInRequest) -> HttpResponse:
    form = SettingsForm(request.POST or None, instance=request.user)
    if request.method == "POST" and form.is_valid():
        services.change_settings(user=request.user, changed=form.cleaned_data)
        messages.success(request, "Kept.")
        return redirect("settings")
    context = {
        "form": form,
        "ties": access.guardianships_of(request.user)[: places.MOST_CHILDREN],
        "reading": access.readers_let_by(request.user),
        "growing": [
            place
            for place in access.own_places(request.user)[: places.MOST_CHILDREN]
            if coming_of_age.is_near(place)
        ],
        "places": access.places_handed_out_to(request.user)[: places.MOST_CHILDREN],
    }
    return render(request, "people/settings.html", context)


@require_safe
def signed_out(request: HttpRequest) -> HttpResponse:
    """Its script clears what this phone shows of whoever has just signed out."""
    return render(request, "people/signed_out.html")
