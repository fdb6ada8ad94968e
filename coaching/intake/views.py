"""The first questions for students and guardians; the coach's look at them, and the screening."""

from datetime import timedelta
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from coaching.intake import services
from coaching.intake.forms import AnswersForm, ReviewForm, ScreeningForm
from coaching.intake.models import MEASURES, Intake
from coaching.season.forms import DayForm, day_forms
from coaching.season.read import read_days
from practice.care import earlier, looks, screening
from practice.care.limits import HURT_DAYS
from practice.care.models import PainNote
from practice.care.queries import told_last
from practice.care.rules import advice
from practice.weeks.places import place_words
from shared.kit.refused import Refused
from shared.kit.weeks import DAY_NAMES
from shared.people import access
from shared.people.access import Recordable
from shared.people.models import Student
from shared.people.requests import SignedInRequest
from shared.people.today import today_of


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def own(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """Six questions. What hurts is asked of adults: a child's guardian answers it."""
    student = access.student_logged_or_404(request.user, student_id)
    posted = request.POST if request.method == "POST" else None
    asks_health = not student.is_minor or services.is_guardian(request.user, student)
    known = Intake.objects.filter(student=student).first()
    initial = {"aim": known.aim, "measures": known.measures} if known else {}
    is_own = student.user_id == request.user.pk
    form = AnswersForm(
        posted,
        initial=initial,
        asks_health=asks_health,
        child="" if is_own else student.name,
        label_suffix="",
    )
    told = read_days(student)
    days = day_forms(told, student.studio.first_weekday, posted)
    fault = ""
    if posted is not None and all(row.is_valid() for row in (form, *days)):
        try:
            _keep(request, student, form, days)
        except Refused as problem:
            fault = str(problem)
        else:
            messages.success(request, "Thank you. Your coach looks at it before your first week.")
            return redirect("intake:own", student.pk)
    shown = {
        "student": student, "form": form, "days": days, "fault": fault, "known": known,
        "is_own": is_own, "asks_health": asks_health,
        "is_wrong": posted is not None, "has_days": bool(told),
    }  # fmt: skip
    return render(request, "intake/own.html", shown, status=422 if posted is not None else 200)


def _keep(
    request: SignedInRequest, student: Recordable, form: AnswersForm, days: list[DayForm]
) -> None:
    said: dict[str, Any] = form.cleaned_data
    services.answer(
        student=student,
        by=request.user,
        times=[each for row in days for each in row.times()],
        measures=said["measures"],
        aim=said["aim"],
        # Left empty it leaves what was told: nobody is asked to write it twice.
        hurt_before=said.get("hurt_before") or None,
    )
    if said.get("level"):
        services.tell_pain(
            student=student, by=request.user, where=said["where"], level=said["level"]
        )
        if words := advice(said["level"], [], student.lead_coach.get_short_name()):
            messages.warning(request, str(words))


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def review(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """The coach's: what was answered, made into the aim, days and cautions."""
    student = access.student_planned_or_404(request.user, student_id)
    known = Intake.objects.filter(student=student).select_related("answered_by").first()
    aim = (known.aim if known else "") or student.goal
    form = ReviewForm(request.POST or None, initial={"aim": aim}, label_suffix="")
    if request.method == "POST" and form.is_valid():
        services.review(student=student, by=request.user, aim=form.cleaned_data["aim"])
        messages.success(request, "Kept. The week is set from these days and this aim.")
        return redirect("plans:choose_week", student.pk)
    roles = access.roles_by_studio(request.user).get(student.studio_id, set())
    reads = access.reads_pain(request.user, roles, student.pk, student.lead_coach_id)
    if reads:
        looks.keep(request.user, [student.pk], "First questions")
    shown = {
        "student": student,
        "known": known,
        "form": form,
        "days": [
            f"{DAY_NAMES[day.weekday]}: {day.minutes} minutes, {place_words(day.place)}"
            for day in read_days(student)
        ],
        "measures": [MEASURES[key] for key in (known.measures if known else ()) if key in MEASURES],
        "reads_pain": reads,
        "hurt_before": earlier.words_of(student) if reads else "",
        "hurts": _hurts(student) if reads else None,
        "screened": screening.rows(student, timezone.now()),
    }
    return render(request, "intake/review.html", shown, status=422 if form.errors else 200)


def _hurts(student: Student) -> PainNote | None:
    """What was told last of what hurts, as long as it bears on a week."""
    since = today_of(student) - timedelta(days=HURT_DAYS)
    notes = PainNote.objects.filter(student=student, day__gte=since, level__gt=0)
    return told_last(notes).order_by("-told_at").first()


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def screen(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """What the body can do, seen by a coach; what it cannot puts a caution on the drills."""
    student = access.student_planned_or_404(request.user, student_id)
    form = ScreeningForm(request.POST or None, studio=student.studio, label_suffix="")
    if request.method == "POST" and form.is_valid():
        screening.note(student=student, by=request.user, **form.cleaned_data)
        messages.success(request, "Kept. It stands until you look at this movement again.")
        return redirect("intake:screen", student.pk)
    shown = {
        "student": student,
        "form": form,
        "screened": screening.rows(student, timezone.now()),
        "again_after": screening.AGAIN_AFTER.days,
    }
    return render(request, "intake/screen.html", shown, status=422 if form.errors else 200)
