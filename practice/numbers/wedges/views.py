"""The wedge card: for those who teach, for the student and guardians, and for the bag."""

from typing import Any
from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from practice.numbers.kit import asked
from practice.numbers.wedges.air import STANDARD, card_in
from practice.numbers.wedges.bag import bag_of, leaned_of
from practice.numbers.wedges.bag_text import bag_view, leaned_view
from practice.numbers.wedges.card import WITHIN, WedgeCard, wedge_card, what_to_hit
from practice.numbers.wedges.pages import AirRow, Reader, air_rows, print_page, wedge_page
from practice.numbers.wedges.queries import read_wedges
from practice.numbers.wedges.worth import worth_of
from practice.numbers.wedges.worth_text import worth_view
from shared.kit.units import DISTANCE, SPEED
from shared.people import access
from shared.people.models import Student
from shared.people.requests import SignedInRequest, followed_or_404
from shared.people.today import today_of

# Name in the address, label, and what the formulas are for, in SI.
AIR = (
    ("celsius", "Temperature, °C", -20, 50),
    ("altitude", "Altitude, m", -400, 5000),
    ("humidity", "Humidity, %", 0, 100),
    ("wind", "Wind, {speed}", 0, 25),
)
USUAL = (*STANDARD, 0.0)
# Where it comes from: its words, and how much of it blows along and to the right.
BLOWS = {
    "against": ("against you", -1, 0),
    "behind": ("from behind", 1, 0),
    "left": ("from the left", 0, 1),
    "right": ("from the right", 0, -1),
}


@require_safe
@login_required
def wedges(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_taught_or_404(request.user, student_id)
    return render(request, "numbers/wedges.html", _context(request, student, is_own=False))


@require_safe
@login_required
def own_wedges(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = followed_or_404(request, student_id)
    return render(request, "numbers/wedges.html", _context(request, student, is_own=True))


def _context(request: SignedInRequest, student: Student, *, is_own: bool) -> dict[str, Any]:
    unit = request.user.distance_unit
    facts = read_wedges(student, asked.place(request.GET, "series"))
    within = asked.number(request.GET, "within", 0.5, 20, DISTANCE[unit])
    at = asked.number(request.GET, "at", 1, 200, DISTANCE[unit])
    card = wedge_card(facts, today_of(student), within.value or WITHIN)
    found = None if at.value is None else what_to_hit(facts, card, at.value)
    is_child = is_own and student.user_id != request.user.pk
    return {
        "student": student,
        "is_own": is_own,
        "is_child": is_child,
        "page": wedge_page(card, found, Reader(unit, is_own=is_own and not is_child)),
        "at": at,
        "within": within,
        "others": facts.others if len(facts.others) > 1 else (),
        "chosen": facts.series,
        "chosen_place": asked.place(request.GET, "series"),
        "is_cut": facts.is_cut,
        "air": _air(request, card),
        "leaned": leaned_view(leaned_of(facts), unit),
        "bag": bag_view(bag_of(facts), unit),
        "worth": None if is_own else worth_view(worth_of(facts, DISTANCE[unit].to_si(10)), unit),
    }


def _air(request: SignedInRequest, card: WedgeCard) -> dict[str, Any]:
    """The readings as asked, and the card in that air once all of them can be."""
    user, blows = request.user, request.GET.get("blows", "")
    speed = SPEED[user.speed_unit]
    units = {"wind": speed}
    readings = [
        asked.number(request.GET, name, low, high, units.get(name, asked.SI))
        for name, _, low, high in AIR
    ]
    is_asked = any(reading.typed for reading in readings)
    rows: tuple[AirRow, ...] = ()
    if is_asked and not any(reading.fault for reading in readings):
        *air, wind = (
            usual if reading.value is None else reading.value
            for reading, usual in zip(readings, USUAL, strict=True)
        )
        _, along, across = BLOWS.get(blows, BLOWS["against"])
        found = card_in(card, *air, along=wind * along, across=wind * across)
        rows = air_rows(found, user.distance_unit)
    fields = [
        {
            "name": name,
            "label": label.format(speed=speed.sign),
            "asked": reading,
            "shown": reading.typed or f"{usual:g}",
        }
        for (name, label, _, _), reading, usual in zip(AIR, readings, USUAL, strict=True)
    ]
    ways = [(name, words, name == blows) for name, (words, _, _) in BLOWS.items()]
    return {"is_asked": is_asked, "rows": rows, "fields": fields, "ways": ways}


@require_safe
@login_required
def print_card(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """One small page for the bag, in metres and yards."""
    student = access.student_read_or_404(request.user, student_id)
    facts = read_wedges(student, asked.place(request.GET, "series"))
    today = today_of(student)
    page = print_page(wedge_card(facts, today), today)
    return render(request, "numbers/print_card.html", {"student": student, "page": page})
