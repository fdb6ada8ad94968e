"""The timetable: lessons that come back, their exceptions, and the studio's holidays."""

from datetime import date
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from coaching.timetable import following, queries, recurrence, services
from coaching.timetable.forms import EndForm, HolidayForm, MoveForm, SeriesForm
from coaching.timetable.models import Holiday
from shared.kit.refused import Refused
from shared.people import access
from shared.people.models import User
from shared.people.requests import SignedInRequest
from shared.people.today import today_of
from shared.people.undo import Facts, takes_back, with_undo


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def timetable(request: SignedInRequest) -> HttpResponse:
    """The week as it comes back; sending the form adds a lesson to it."""
    studio = access.studio_or_404(request.user, access.PLANNING)
    today = today_of(studio)
    form = SeriesForm(
        request.POST or None, user=request.user, studio=studio, initial={"first": today}
    )
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        student = access.student_planned_or_404(request.user, said["student"].pk)
        first = recurrence.first_on(said["weekday"], said["first"])
        rule = recurrence.weekly(said["weekday"], said["every"])
        try:
            services.add_series(
                student=student, coach=said["coach"], first=first, at=said["at"], rule=rule,
                minutes=said["minutes"],
            )  # fmt: skip
        except Refused as error:
            form.add_error(None, str(error))
        else:
            words = recurrence.words(rule, said["at"])
            messages.success(
                request, f"{student.name}: {words}, from {first:%a} {first.day} {first:%b}."
            )
            return redirect("timetable:timetable")
    return _page(request, {"form": form})


def _page(request: SignedInRequest, more: dict[str, Any]) -> HttpResponse:
    studio = access.studio_or_404(request.user, access.PLANNING)
    today = today_of(studio)
    context = {
        "studio": studio,
        "days": queries.by_weekday(request.user, today),
        "followed": following.followed_by(request.user, studio),
        "holidays": queries.holidays_of(studio, today),
        "form": SeriesForm(user=request.user, studio=studio, initial={"first": today}),
        "holiday_form": HolidayForm(prefix="holiday"),
    }
    return render(request, "timetable/timetable.html", context | more)


@require_POST
@login_required
def holiday_new(request: SignedInRequest) -> HttpResponse:
    studio = access.studio_or_404(request.user, access.PLANNING)
    form = HolidayForm(request.POST, prefix="holiday")
    if not form.is_valid():
        return _page(request, {"holiday_form": form})
    services.add_holiday(studio=studio, **form.cleaned_data)
    messages.success(request, "Kept. Lessons that come back do not take place on these days.")
    return redirect("timetable:timetable")


@require_POST
@login_required
def holiday_remove(request: SignedInRequest, holiday_id: UUID) -> HttpResponse:
    studios = access.studios_of(request.user, access.PLANNING)
    holiday = get_object_or_404(Holiday, pk=holiday_id, studio__in=studios)
    was = {"studio": holiday.studio_id, "first": holiday.first, "last": holiday.last}
    services.remove_holiday(holiday=holiday)
    page = reverse("timetable:timetable")
    words = "The holiday is taken out. The lessons are noted again."
    messages.success(
        request, with_undo(request, words, "holiday", back=page, name=holiday.name, **was)
    )
    return redirect(page)


@takes_back("holiday")
def _holiday_again(user: User, facts: Facts) -> str:
    studios = access.studios_of(user, access.PLANNING)
    studio = get_object_or_404(studios, pk=facts["studio"])
    first, last = (date.fromisoformat(facts[name]) for name in ("first", "last"))
    if not studio.holidays.filter(first=first, last=last, name=facts["name"]).exists():
        services.add_holiday(studio=studio, first=first, last=last, name=facts["name"])
    return "The holiday is kept again. Its lessons do not take place."


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def series(request: SignedInRequest, series_id: UUID) -> HttpResponse:
    """One lesson that comes back, day by day; sending the form ends it."""
    found = queries.series_or_404(request.user, series_id)
    form = EndForm(request.POST or None, initial={"last": today_of(found.student.studio)})
    if request.method == "POST" and form.is_valid():
        services.end_series(series=found, last=form.cleaned_data["last"])
        messages.success(request, f"{found.student.name}: the lesson ends on that day.")
        return redirect("timetable:timetable")
    return _series_page(request, found, {"form": form})


def _series_page(request: SignedInRequest, found: Any, more: dict[str, Any]) -> HttpResponse:
    context = {
        "series": found,
        "words": recurrence.words(found.rule, found.at),
        "days": queries.coming_days(found),
        "form": EndForm(initial={"last": today_of(found.student.studio)}),
    }
    return render(request, "timetable/series.html", context | more)


@require_POST
@login_required
def change_day(request: SignedInRequest, series_id: UUID, day: str, how: str) -> HttpResponse:
    """Take one day off, put it back, or move it."""
    found = queries.series_or_404(request.user, series_id)
    on = _day_of(found, day)
    try:
        if how == "off":
            services.take_off(series=found, day=on)
        elif how == "back":
            services.put_back(series=found, day=on)
        else:
            form = MoveForm(request.POST)
            if not form.is_valid():
                return _series_page(request, found, {"move_form": form, "moving": on})
            to, at = form.moment()
            moment = recurrence.instant(to, at, found.time_zone)
            services.move(series=found, day=on, at=moment)
    except Refused as error:
        messages.error(request, str(error))
    else:
        messages.success(request, "Kept.")
    return redirect("timetable:series", found.pk)


def _day_of(found: Any, text: str) -> date:
    """A day of this series, as its page names it."""
    try:
        on = date.fromisoformat(text)
    except ValueError:
        raise Http404 from None
    is_due = on in recurrence.days(found.rule, found.first, on, on)
    if not is_due and not found.occurrences.filter(day=on).exists():
        raise Http404
    return on
