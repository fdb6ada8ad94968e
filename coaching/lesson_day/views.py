"""Today’s lessons: today's lessons in order, weeks still to be sent first."""

from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from coaching.lesson_day.next_up import next_up_of
from coaching.lessons import services
from coaching.lessons.models import Lesson
from coaching.lessons.queries import lesson_or_404
from coaching.timetable import services as timetable
from practice.care import looks
from shared.kit.refused import Refused
from shared.people import access
from shared.people.models import User
from shared.people.requests import SignedInRequest
from shared.people.undo import Facts, id_of, takes_back, with_undo


@require_safe
@login_required
def next_up(request: SignedInRequest) -> HttpResponse:
    return _page(request)


def _page(request: SignedInRequest, fault: str = "") -> HttpResponse:
    """The page, and where a lesson cannot be noted what was typed, with why."""
    page = next_up_of(request.user, timezone.now())
    looks.keep_of_list(request.user, "Today’s lessons")
    context = {
        "page": page,
        "typed": request.POST,
        "fault": fault,
    }
    return render(request, "lesson_day/next_up.html", context, status=400 if fault else 200)


@require_POST
@login_required
def plan(request: SignedInRequest) -> HttpResponse:
    """Note when a student's next lesson is, on the coach's own clock."""
    if not request.POST.get("student"):
        return _page(request, "Choose whose lesson it is.")
    student = access.student_planned_or_404(request.user, _id(request.POST["student"]))
    at = read_moment(request.POST.get("at", ""), request.user.time_zone)
    if at is None:
        return _page(request, "Give the day and the time of the lesson.")
    try:
        services.plan_lesson(
            student=student, coach=request.user, at=at, place=request.POST.get("place", "")[:60]
        )
    except Refused as error:
        return _page(request, str(error))
    messages.success(request, f"{student.name}: the lesson is noted.")
    return redirect("lessons:next_up")


@require_POST
@login_required
def cancel(request: SignedInRequest, lesson_id: UUID) -> HttpResponse:
    lesson = lesson_or_404(request.user, lesson_id, writing=True)
    if lesson.state != Lesson.State.PLANNED:
        messages.error(request, "That lesson has begun already. It stays.")
        return redirect("lessons:next_up")
    day = timetable.day_of(lesson)
    services.cancel_lesson(lesson=lesson)
    timetable.is_off(day)
    said = with_undo(
        request, f"{lesson.student.name}: the lesson is taken off.", "lesson",
        back=reverse("lessons:next_up"), student=lesson.student_id, coach=lesson.coach_id,
        at=lesson.at.isoformat(), place=lesson.place, day=day,
    )  # fmt: skip
    messages.success(request, said)
    return redirect("lessons:next_up")


@takes_back("lesson")
def _note_again(user: User, facts: Facts) -> str:
    """At its time, with its coach; of a timetable, as that day's lesson again."""
    student = access.student_planned_or_404(user, id_of(facts, "student"))
    coach = get_object_or_404(User, pk=facts["coach"])
    lesson = services.plan_lesson(
        student=student,
        coach=coach,
        at=datetime.fromisoformat(facts["at"]),
        place=facts["place"],
    )
    timetable.is_on_again(facts["day"], lesson)
    return f"{student.name}: the lesson is noted again."


@require_POST
@login_required
def open_one(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """Begin a lesson, or go on with the one that is open."""
    student = access.student_planned_or_404(request.user, student_id)
    try:
        lesson = services.open_lesson(student=student, by=request.user)
    except Refused as error:
        messages.error(request, str(error))
        return redirect("board:student", student.pk)
    return redirect("lessons:note", lesson.pk)


def read_moment(text: str, zone: str) -> datetime | None:
    """A local day and time as a browser sends it; None for anything else."""
    try:
        return datetime.fromisoformat(text.strip()).replace(tzinfo=ZoneInfo(zone))
    except ValueError:
        return None


def _id(text: str) -> UUID:
    """The id; one that nobody has for whatever is none."""
    try:
        return UUID(text)
    except ValueError:
        return UUID(int=0)
