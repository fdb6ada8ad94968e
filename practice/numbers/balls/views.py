"""Typing balls in beside the student, and the clubs they are hit with."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from practice.numbers.balls.forms import BallsForm, ClubForm, first_values
from practice.numbers.kit import text as said
from practice.shots import services
from practice.shots.models import Club, Sitting
from shared.kit.refused import Refused
from shared.people import access
from shared.people.models import Student
from shared.people.requests import SignedInRequest
from shared.people.today import today_of

LATELY = 12


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def balls(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    lately = list(
        Sitting.objects.filter(student=student, counts=True).order_by("-day", "-at")[:LATELY]
    )
    last = next((sitting for sitting in lately if sitting.written_by_id == request.user.pk), None)
    form = BallsForm(
        request.POST or None,
        student=student,
        unit=request.user.distance_unit,
        initial=first_values(last, today_of(student)),
    )
    if request.method == "POST" and form.is_valid() and _kept(request, student, form):
        return redirect("progress:wedges", student.pk)
    return render(
        request,
        "numbers/balls.html",
        {"student": student, "form": form, "lately": lately, "has_clubs": _has_clubs(student)},
    )


def _has_clubs(student: Student) -> bool:
    return Club.objects.filter(student=student, retired_on=None).exists()


def _kept(request: SignedInRequest, student: access.Recordable, form: BallsForm) -> bool:
    told = form.told()
    try:
        services.add_balls(student=student, by=request.user, told=told)
    except Refused as refusal:
        form.add_error("day" if refusal.field == "day" else None, refusal.sentence)
        return False
    messages.success(request, f"{said.many(len(told.balls), 'ball')} kept.")
    return True


@require_POST
@login_required
def take_back(request: SignedInRequest, student_id: UUID, sitting_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    # What came from the phone is taken back there, with its entry.
    sitting = get_object_or_404(Sitting, pk=sitting_id, student=student, entry=None)
    services.take_back(sitting=sitting)
    messages.success(request, "Taken back. Those balls count no more.")
    return redirect("progress:balls", student.pk)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def clubs(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    form = ClubForm(request.POST or None, student=student)
    if request.method == "POST" and form.is_valid():
        club = services.add_club(student=student, **form.cleaned_data)
        messages.success(request, f"{club.name} is in the bag.")
        return redirect("progress:clubs", student.pk)
    found = Club.objects.filter(student=student).order_by("retired_on", "-loft", "name")[:60]
    return render(request, "numbers/clubs.html", {"student": student, "form": form, "clubs": found})


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def club(request: SignedInRequest, student_id: UUID, club_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    kept = get_object_or_404(Club, pk=club_id, student=student)
    # The form writes its values on the club it is given; the command needs the kept one.
    form = ClubForm(request.POST or None, student=student, instance=Club.objects.get(pk=kept.pk))
    if request.method == "POST" and form.is_valid():
        services.change_club(club=kept, **form.cleaned_data)
        messages.success(request, "Kept.")
        return redirect("progress:clubs", student.pk)
    return render(request, "numbers/club.html", {"student": student, "form": form, "club": kept})


@require_POST
@login_required
def retire_club(request: SignedInRequest, student_id: UUID, club_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    kept = get_object_or_404(Club, pk=club_id, student=student)
    if kept.retired_on is None:
        services.retire_club(club=kept)
        messages.success(request, f"{kept.name} is out of the bag. Its balls are kept.")
    else:
        services.bring_back_club(club=kept)
        messages.success(request, f"{kept.name} is in the bag again.")
    return redirect("progress:clubs", student.pk)
