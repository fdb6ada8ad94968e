"""Groups: who is in one, its sessions, and a week for all of them."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coaching.groups import queries, services
from coaching.groups.forms import GroupForm, NameForm, SessionForm
from coaching.groups.models import Group
from coaching.season.limits_pages import limits_of_several
from shared.kit.refused import Refused
from shared.people import access
from shared.people.access import Recordable
from shared.people.requests import SignedInRequest
from shared.people.today import today_of


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def all_groups(request: SignedInRequest) -> HttpResponse:
    """The groups; sending the form makes one."""
    if not access.teaches(request.user):
        raise Http404
    may_plan = access.studios_of(request.user, access.PLANNING).exists()
    form = NameForm(request.POST or None, label_suffix="")
    if request.method == "POST":
        studio = access.studio_or_404(request.user, access.PLANNING)
        if form.is_valid():
            try:
                made = services.make_group(
                    studio=studio, by=request.user, name=form.cleaned_data["name"]
                )
            except Refused as error:
                form.add_error("name", str(error))
            else:
                return redirect("groups:change", made.pk)
    groups = queries.groups_with_counts(request.user)
    context = {"groups": groups, "form": form, "may_plan": may_plan}
    return render(request, "groups/groups.html", context, status=400 if form.errors else 200)


@require_safe
@login_required
def show(request: SignedInRequest, group_id: UUID) -> HttpResponse:
    group = queries.group_or_404(request.user, group_id)
    members = queries.members_of(group)
    return _page(request, group, members, _session_form(group, members))


@require_POST
@login_required
def hold(request: SignedInRequest, group_id: UUID) -> HttpResponse:
    """Who was there; each has it in their own log."""
    group = queries.group_or_404(request.user, group_id)
    members = queries.members_of(group)
    form = _session_form(group, members, request)
    if not form.is_valid():
        return _page(request, group, members, form)
    try:
        told = services.hold_session(
            group=group,
            by=request.user,
            told=form.told(),
            students=form.present(),
            at=timezone.now(),
        )
    except Refused as error:
        form.add_error(None, str(error))
        return _page(request, group, members, form)
    _tell(request, told)
    return redirect("groups:show", group.pk)


def _session_form(
    group: Group, members: list[Recordable], request: SignedInRequest | None = None
) -> SessionForm:
    today = today_of(group.studio)
    last = group.sessions.filter(taken_back_at=None).order_by("-day", "-at").first()
    data = request.POST if request else None
    return SessionForm(data, members=members, today=today, last=last)


def _tell(request: SignedInRequest, told: services.SessionTold) -> None:
    if told.present:
        names = ", ".join(student.name for student in told.present)
        messages.success(request, f"Kept. It is in the log of {names}.")
    for problem in told.problems:
        messages.warning(request, problem)


def _page(
    request: SignedInRequest, group: Group, members: list[Recordable], form: SessionForm
) -> HttpResponse:
    context = {
        "group": group,
        "page": queries.group_page(group, members),
        "limited": [each for each in limits_of_several(request.user, members, {}) if each],
        "form": form,
        "may_plan": access.may_plan_in(request.user, group.studio),
    }
    return render(request, "groups/group.html", context, status=400 if form.errors else 200)


@require_POST
@login_required
def take_back(request: SignedInRequest, group_id: UUID, session_id: UUID) -> HttpResponse:
    group = queries.group_or_404(request.user, group_id)
    session = queries.session_or_404(group, session_id)
    try:
        services.take_session_back(session=session, by=request.user)
    except Refused as error:
        messages.error(request, str(error))
    else:
        messages.success(request, "Taken back. It is in nobody’s log any more.")
    return redirect("groups:show", group.pk)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def change(request: SignedInRequest, group_id: UUID) -> HttpResponse:
    """The name and the students, or the end of the group."""
    group = queries.group_or_404(request.user, group_id, access.PLANNING)
    if request.POST.get("do") == "end":
        services.end_group(group=group)
        messages.success(request, f"{group.name} is over. What was done in it stays.")
        return redirect("groups:all")
    among = access.students_planned_by(request.user).filter(studio=group.studio_id).order_by("name")
    first = {"name": group.name, "students": queries.members_of(group)}
    form = GroupForm(request.POST or None, among=among, initial=first, label_suffix="")
    if request.method == "POST" and form.is_valid():
        try:
            services.change_group(group=group, **form.cleaned_data)
        except Refused as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Kept.")
            return redirect("groups:show", group.pk)
    context = {"group": group, "form": form}
    return render(request, "groups/change.html", context, status=400 if form.errors else 200)
