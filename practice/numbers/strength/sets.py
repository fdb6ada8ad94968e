"""Strength of one adult who agreed, as an answer. Kilograms. It describes, no more."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from practice.strength.models import Lift
from shared.people.models import Student

BODY_MASS_HOLDS = timedelta(days=60)
MOST = 200


@dataclass(frozen=True, slots=True)
class Estimated:
    """The heaviest single lift by Epley's formula, and the range of the three formulas."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Set:
    """One set. `times_body_mass` is None without a body mass of the last 60 days."""

    id: UUID
    day: date
    name: str
    mass: float
    reps: int
    heaviest: Estimated
    times_body_mass: float | None
    body_mass: float | None
    body_mass_on: date | None


@dataclass(frozen=True, slots=True)
class Strength:
    """What an adult who agreed has written down, the newest first."""

    sets: tuple[Set, ...]


def sets_of(student: Student) -> tuple[Set, ...]:
    """The newest 200 sets. One query."""
    lifts = list(Lift.objects.filter(student=student).order_by("-day", "-at")[:MOST])
    return tuple(_set(lift, lifts) for lift in lifts)


def _set(lift: Lift, lifts: Sequence[Lift]) -> Set:
    from practice.measures.strength import Formula, one_rep_maximum, relative_strength

    by_formula = {each: one_rep_maximum(lift.mass, lift.reps, each) for each in Formula}
    heaviest = Estimated(
        by_formula[Formula.EPLEY], min(by_formula.values()), max(by_formula.values())
    )
    weighed = _weighed(lift, lifts)
    ratio = None
    if weighed is not None and weighed.body_mass is not None:
        ratio = relative_strength(heaviest.value, weighed.body_mass)
    return Set(
        id=lift.pk,
        day=lift.day,
        name=lift.name,
        mass=lift.mass,
        reps=lift.reps,
        heaviest=heaviest,
        times_body_mass=ratio,
        body_mass=weighed.body_mass if weighed else None,
        body_mass_on=weighed.day if weighed else None,
    )


def _weighed(lift: Lift, lifts: Sequence[Lift]) -> Lift | None:
    """The newest set up to this one's day that has a body mass, if it is fresh enough."""
    told = (
        each
        for each in lifts
        if each.body_mass is not None and lift.day - BODY_MASS_HOLDS <= each.day <= lift.day
    )
    return max(told, key=lambda each: each.day, default=None)
