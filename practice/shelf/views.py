"""Pages of the drill shelf. Everybody who teaches reads; owners and coaches write."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.forms.models import model_to_dict
from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from practice.drills import dose as doses
from practice.drills import queries, services
from practice.drills import text as words
from practice.shelf import queries as shelf_queries
from practice.shelf.forms import CautionForm, DrillForm, NewDrillForm
from practice.shelf.pages import drill_page
from practice.shelf.queries import PAGE, Search
from shared.kit.refused import Refused
from shared.people import access
from shared.people.models import User
from shared.people.requests import SignedInRequest
from shared.people.undo import Facts, id_of, takes_back, with_undo

MOST_PAGES = 50


@require_GET
@login_required
def shelf(request: SignedInRequest) -> HttpResponse:
    studio = access.studio_or_404(request.user)
    search = _search(request)
    page = _whole(request.GET.get("page"), most=MOST_PAGES)
    rows, more = shelf_queries.shelf(studio, search, start=page * PAGE)
    older = request.GET.copy()
    older["page"] = str(page + 1)
    context = {
        "rows": rows,
        "more": older.urlencode() if more and page < MOST_PAGES else "",
        "page": page,
        "search": search,
        "searched": search != Search(archived=search.archived),
        "may_write": access.may_plan_in(request.user, studio),
    }
    return render(request, "drills/shelf.html", context)


@require_GET
@login_required
def show(request: SignedInRequest, drill_id: UUID) -> HttpResponse:
    drill = queries.drill_or_404(request.user, drill_id)
    number = _whole(request.GET.get("revision"), most=100_000) or None
    context = {
        "drill": drill_page(drill, number),
        "may_write": access.may_plan_in(request.user, drill.studio),
    }
    return render(request, "drills/show.html", context)


@require_http_methods(["GET", "POST"])
@login_required
def new(request: SignedInRequest) -> HttpResponse:
    studio = access.studio_or_404(request.user, access.PLANNING)
    form = NewDrillForm(request.POST or None, studio=studio)
    if request.method == "POST" and form.is_valid():
        drill = services.make_drill(
            studio=studio,
            by=request.user,
            wording=form.wording,
            is_test=form.cleaned_data["is_test"],
            swaps=form.cleaned_data["swaps"].values_list("pk", flat=True),
            tested_by=form.cleaned_data["tested_by"],
        )
        messages.success(request, f"{form.wording['name']} is on the shelf.")
        return redirect("drills:show", drill.pk)
    return render(request, "drills/edit.html", {"form": form, "title": "New drill"})


@require_http_methods(["GET", "POST"])
@login_required
def edit(request: SignedInRequest, drill_id: UUID) -> HttpResponse:
    drill = queries.drill_or_404(request.user, drill_id, access.PLANNING)
    form = DrillForm(
        request.POST or None,
        studio=drill.studio,
        drill_id=drill.pk,
        initial=queries.wording_of(drill),
    )
    if request.method == "POST" and form.is_valid():
        swaps = form.cleaned_data["swaps"].values_list("pk", flat=True)
        services.write_revision(drill=drill, by=request.user, wording=form.wording, swaps=swaps)
        services.set_test(drill=drill, test=form.cleaned_data["tested_by"])
        messages.success(request, "Kept. Weeks already sent keep the words they were sent with.")
        return redirect("drills:show", drill.pk)
    title = f"Change {drill}"
    return render(request, "drills/edit.html", {"form": form, "title": title, "drill": drill})


@require_POST
@login_required
def archive(request: SignedInRequest, drill_id: UUID) -> HttpResponse:
    drill = queries.drill_or_404(request.user, drill_id, access.PLANNING)
    services.archive(drill=drill)
    names = shelf_queries.open_weeks_with(request.user, drill)
    stays = f"It stays in the week of {', '.join(names)}." if names else "No open week asks for it."
    told = f"{drill} is put away. {stays} New weeks, lessons and templates leave it out."
    shelf = reverse("drills:shelf")
    messages.success(request, with_undo(request, told, "put away", back=shelf, drill=drill.pk))
    return redirect(shelf)


@takes_back("put away")
def _on_the_shelf_again(user: User, facts: Facts) -> str:
    drill = queries.drill_or_404(user, id_of(facts, "drill"), access.PLANNING)
    services.bring_back(drill=drill)
    return f"{drill} is back on the shelf."


@require_POST
@login_required
def bring_back(request: SignedInRequest, drill_id: UUID) -> HttpResponse:
    drill = queries.drill_or_404(request.user, drill_id, access.PLANNING)
    services.bring_back(drill=drill)
    messages.success(request, f"{drill} is back on the shelf.")
    return redirect("drills:show", drill.pk)


@require_http_methods(["GET", "POST"])
@login_required
def caution(request: SignedInRequest, drill_id: UUID) -> HttpResponse:
    drill = queries.drill_or_404(request.user, drill_id, access.PLANNING)
    standing = queries.current_cautions([drill.pk]).get(drill.pk)
    initial = model_to_dict(standing[0]) if standing else {}
    form = CautionForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        services.set_caution(drill=drill, by=request.user, **form.cleaned_data)
        messages.success(request, "The caution stands. Each student taps Understood once more.")
        return redirect("drills:show", drill.pk)
    context = {"form": form, "drill": drill, "stands": bool(standing)}
    return render(request, "drills/caution.html", context)


@require_POST
@login_required
def withdraw_caution(request: SignedInRequest, drill_id: UUID) -> HttpResponse:
    drill = queries.drill_or_404(request.user, drill_id, access.PLANNING)
    caution = services.withdraw_caution(drill=drill)
    page = reverse("drills:show", args=[drill.pk])
    said: str = "The caution is withdrawn."
    if caution:
        said = with_undo(request, said, "caution", back=page, drill=drill.pk, caution=caution.pk)
    messages.success(request, said)
    return redirect(page)


@takes_back("caution")
def _stands_again(user: User, facts: Facts) -> str:
    """The same version: whoever understood it is not asked once more."""
    drill = queries.drill_or_404(user, id_of(facts, "drill"), access.PLANNING)
    if not services.caution_stands_again(drill=drill, caution_id=id_of(facts, "caution")):
        raise Refused("A newer caution stands. This one stays withdrawn.")
    return "The caution stands again."


@require_GET
@login_required
def read_dose(request: SignedInRequest) -> JsonResponse:
    """Say a dose back in words while it is typed."""
    access.studio_or_404(request.user)
    pace = _whole(request.GET.get("pace"), most=600) or 30
    try:
        dose = doses.parse(request.GET.get("text", "")[:400])
    except doses.DoseError as error:
        return JsonResponse({"ok": False, "said": error.message})
    said = f"{words.in_words(dose)}. In all {words.totals(dose, pace)}."
    return JsonResponse({"ok": True, "said": said})


def _search(request: SignedInRequest) -> Search:
    """The search as asked for; words too long to be one are cut."""
    words = request.GET.get("words", "").strip()[:80]
    return Search(words, archived=request.GET.get("archived") == "1")


def _whole(text: str | None, *, most: int) -> int:
    """A count from the address; anything that is none reads as 0."""
    text = text or ""
    if not (text.isascii() and text.isdecimal() and len(text) < 9):
        return 0
    return min(int(text), most)
