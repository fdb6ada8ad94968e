"""This week and Log it where scripts do not run."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse, HttpResponseRedirect, QueryDict
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from practice.care.rules import advice
from practice.flows.take_entry import Receipt, Sender, receive_one
from practice.log.document import LATEST
from practice.phone import queries, reading
from practice.phone.forms import AwayForm, OtherForm, PartForm, SessionForm
from practice.shots.queries import usual_figures
from shared.people.access import Recordable
from shared.people.models import Student
from shared.people.requests import SignedInRequest

SentForm = SessionForm | AwayForm


@dataclass(frozen=True, slots=True)
class Section:
    """One part with its form; no form while it has stopped."""

    part: dict[str, Any]
    form: PartForm | None
    cautions: list[dict[str, Any]]


@never_cache
@login_required
@require_http_methods(["GET", "POST"])
def form(request: SignedInRequest) -> HttpResponse:
    students = queries.logged_by(request.user)
    student = queries.the_one_of(students, request.GET.get("child"))
    if request.method == "POST":
        return _take(request, student)
    return _page(request, student, students=students)


def _take(request: SignedInRequest, student: Recordable) -> HttpResponse:
    """Whatever button was pressed, as an entry; back to the page with what came of it."""
    action = request.POST.get("do", "")
    if action in {"back", "read", "here"}:
        return _done(request, student, _small_entry(request.POST, student, action))
    sent = _sent_form(student, request)
    if sent is None:
        messages.error(request, "This part is not on the list any more. Nothing was saved.")
        return _home(student)
    if not sent.is_valid():
        return _page(request, student, sent)
    return _done(request, student, sent.document(student.pk), sent)


def _done(
    request: SignedInRequest,
    student: Recordable,
    entry: dict[str, Any],
    sent: SentForm | None = None,
) -> HttpResponse:
    receipt = receive_one(entry, sender=Sender(student, request.user))
    if receipt.sentence and sent is not None:
        sent.add_error(None, receipt.sentence)
        return _page(request, student, sent)
    _say(request, receipt, entry)
    _say_what_to_do(request, student, entry)
    return _home(student)


def _say(request: SignedInRequest, receipt: Receipt, entry: dict[str, Any]) -> None:
    if receipt.sentence:
        messages.error(request, receipt.sentence)
    else:
        words = {
            "back": "Taken back.",
            "read": "Thank you.",
            "away": "Taken back." if entry.get("off") else "Kept. Nothing is asked on these days.",
        }
        messages.success(request, words.get(entry["k"], "Saved. Your coach has it."))


def _say_what_to_do(request: SignedInRequest, student: Student, entry: dict[str, Any]) -> None:
    if pain := entry.get("pain"):
        coach = student.lead_coach.get_short_name()
        if words := advice(pain["lvl"], pain["signs"], coach):
            messages.warning(request, str(words))


def _home(student: Student) -> HttpResponseRedirect:
    return HttpResponseRedirect(f"{reverse('log:plain')}?child={student.pk}")


def _small_entry(data: QueryDict, student: Student, action: str) -> dict[str, Any]:
    """A take-back, an 'Understood' or days away taken back."""
    target = data.get("target", "")
    first, _, last = target.partition(" ")
    said: dict[str, dict[str, Any]] = {
        "back": {"k": "back", "target": target},
        "read": {"k": "read", "caution": target},
        "here": {"k": "away", "first": first, "last": last, "off": True},
    }
    return {
        "id": data.get("entry", "") or str(uuid4()),
        "v": LATEST,
        "who": str(student.pk),
        "day": str(timezone.localdate(timezone.now())),
        "at": data.get("at", ""),
        **said[action],
    }


def _sent_form(student: Student, request: SignedInRequest) -> SentForm | None:
    weeks, data = queries.weeks_to_log(student), request.POST
    common: dict[str, Any] = {"data": data, "today": weeks.today, "now": timezone.now()}
    if data.get("do") == "other":
        return OtherForm(prefix="other", **common)
    if data.get("do") == "away":
        return AwayForm(prefix="away", **common)
    for week in filter(None, (weeks.this, weeks.last)):
        for part in week.parts:
            if part["id"] == data.get("do") and not part["stopped"]:
                return PartForm(
                    prefix=part["id"],
                    part=part,
                    week=week,
                    reader=request.user,
                    usual=usual_figures(student) if part["measures"] else (),
                    **common,
                )
    return None


def _page(
    request: SignedInRequest,
    student: Recordable,
    sent: SentForm | None = None,
    students: Sequence[Recordable] | None = None,
) -> HttpResponse:
    students = queries.logged_by(request.user) if students is None else students
    weeks, now = queries.weeks_to_log(student), timezone.now()
    common: dict[str, Any] = {"today": weeks.today, "now": now}

    def section(part: dict[str, Any], week: queries.PlainWeek) -> Section:
        form: PartForm | None = None
        if not part["stopped"]:
            form = PartForm(prefix=part["id"], part=part, week=week, reader=request.user, **common)
            if isinstance(sent, PartForm) and sent.prefix == part["id"]:
                form = sent
        shown = [weeks.cautions[pk] | {"id": pk} for pk in part["cautions"]]
        return Section(part, form, shown)

    context = {
        "student": student,
        "others": [each for each in students if each.pk != student.pk],
        "weeks": [
            (week, [section(part, week) for part in week.parts])
            for week in (weeks.this, weeks.last)
            if week
        ],
        "other": sent if isinstance(sent, OtherForm) else OtherForm(prefix="other", **common),
        "away": sent if isinstance(sent, AwayForm) else AwayForm(prefix="away", **common),
        "days_away": queries.days_away(student, weeks.today),
        "entries": reading.entries_of(student)[0][:10],
        "fresh": str(uuid4()),
        "at": now.isoformat(timespec="seconds"),
        "is_wrong": sent is not None,
    }
    return render(request, "phone/plain.html", context, status=422 if sent else 200)
