"""Clubs, and balls that somebody types in beside the student. All figures are SI.

Every command may be repeated: the sitting's id is made with the form that is sent.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, fields
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from practice.log.shot_figures import smash_fault
from practice.shots.limits import LIMITS
from practice.shots.models import LENGTHS, Club, Shot, Sitting
from shared.kit.refused import Refused
from shared.kit.weeks import practice_day
from shared.people.access import Recordable, recordable
from shared.people.models import Student, User
from shared.people.today import today_of

MOST_BALLS = 200
MEMORY_DAYS = 2
OLDEST_DAYS = 366
_UNITS = {"effort": "percent", "launch": "degrees", "spin": "turns a minute"}
_SPEEDS = ("ball_speed", "club_speed")


@dataclass(frozen=True, slots=True)
class ShotInput:
    """One ball as told; None is what was not measured. SI, `side` positive to the right."""

    club: Club | None = None
    length: str = ""
    target: float | None = None
    effort: int | None = None
    carry: float | None = None
    total: float | None = None
    side: float | None = None
    ball_speed: float | None = None
    club_speed: float | None = None
    launch: float | None = None
    spin: float | None = None
    is_clean: bool | None = None


@dataclass(frozen=True, slots=True)
class Setting:
    """Where and with what the balls were hit: figures are never joined across these."""

    device: str = ""
    ball: str = ""
    place: str = ""
    indoors: bool | None = None
    evidence: str = Sitting.Evidence.MEASURED


@dataclass(frozen=True, slots=True)
class ShotSessionInput:
    """A sitting as told by whoever wrote it; `at` is when it was written, if not now."""

    id: UUID
    day: date
    balls: Sequence[ShotInput]
    setting: Setting = field(default_factory=Setting)
    note: str = ""
    at: datetime | None = None


def check(ball: ShotInput, where: str = "") -> None:
    """Raise Refused for a figure that no ball has, or a ball without any figure."""
    if ball.length not in ("", *LENGTHS):
        raise Refused("A swing length is hip, chest or full, or is left out.", where)
    for name, (words, low, high) in LIMITS.items():
        value = getattr(ball, name)
        if value is not None and not low <= value <= high:
            unit = "m/s" if name in _SPEEDS else _UNITS.get(name, "m")
            raise Refused(f"{words} lies between {low:g} and {high:g} {unit}.", where)
    if fault := smash_fault(ball.ball_speed, ball.club_speed):
        raise Refused(fault, where)
    measured = ("carry", "total", "ball_speed", "club_speed", "is_clean")
    if all(getattr(ball, name) is None for name in measured):
        raise Refused("A ball needs a carry, a total, a speed, or whether it was clean.", where)


def check_day(student: Student, day: date) -> None:
    """Raise Refused for a day still to come or more than a year ago."""
    today = today_of(student)
    if day > today:
        raise Refused("That day is still to come.", "day")
    if day < today - timedelta(days=OLDEST_DAYS):
        raise Refused("That day is more than a year ago.", "day")


@transaction.atomic
def add_balls(*, student: Recordable, by: User, told: ShotSessionInput) -> Sitting:
    """Keep a sitting with its balls; the same id again adds nothing.

    Raises Refused with a sentence, and then nothing is kept.
    """
    check_day(student, told.day)
    if not 0 < len(told.balls) <= MOST_BALLS:
        raise Refused(f"Send 1 to {MOST_BALLS} balls at a time.", "balls")
    for number, ball in enumerate(told.balls, start=1):
        check(ball, f"ball {number}")
    sitting, is_new = _sitting(student, by, told)
    if sitting.student_id != student.pk:
        raise Refused("This id is taken. Make a new one and send again.", "id")
    if not is_new:
        return sitting
    Shot.objects.bulk_create(
        Shot(sitting=sitting, student=student, number=number, **_figures(ball))
        for number, ball in enumerate(told.balls, start=1)
    )
    return sitting


def _figures(ball: ShotInput) -> dict[str, Any]:
    return {each.name: getattr(ball, each.name) for each in fields(ball)}


def _sitting(student: Recordable, by: User, told: ShotSessionInput) -> tuple[Sitting, bool]:
    """The sitting of this id, and whether it is new; of two who send it at once, one makes it."""
    at = told.at or timezone.now()
    written_on = practice_day(at, student.time_zone)
    values = {
        "student": student,
        "day": told.day,
        "at": at,
        "device": told.setting.device,
        "ball": told.setting.ball,
        "place": told.setting.place,
        "indoors": told.setting.indoors,
        "evidence": told.setting.evidence,
        "from_memory": (written_on - told.day).days > MEMORY_DAYS,
        "note": told.note,
        "written_by": by,
    }
    return Sitting.objects.get_or_create(pk=told.id, defaults=values)


def take_back(*, sitting: Sitting) -> None:
    """Let a sitting count no more. It is kept."""
    Sitting.objects.filter(pk=sitting.pk).update(counts=False)


def add_club(
    *, student: Recordable, name: str, loft: float | None = None, changed_on: date | None = None
) -> Club:
    """A club of this student; the same name again is the club that is there."""
    club, _ = Club.objects.get_or_create(
        student=student, name=name, defaults={"loft": loft, "changed_on": changed_on}
    )
    return club


def change_club(*, club: Club, name: str, loft: float | None, changed_on: date | None) -> None:
    """A new name, loft or date; a loft that differs counts as changed on its day or today."""
    recordable(club.student)
    if club.loft is not None and loft != club.loft and changed_on == club.changed_on:
        changed_on = today_of(club.student)
    values = {"name": name, "loft": loft, "changed_on": changed_on}
    Club.objects.filter(pk=club.pk).update(**values, touched_at=timezone.now())


def retire_club(*, club: Club) -> None:
    """Take a club out of the bag; its balls are kept."""
    recordable(club.student)
    day = today_of(club.student)
    Club.objects.filter(pk=club.pk, retired_on=None).update(
        retired_on=day, touched_at=timezone.now()
    )


def bring_back_club(*, club: Club) -> None:
    recordable(club.student)
    Club.objects.filter(pk=club.pk).update(retired_on=None, touched_at=timezone.now())
