"""What a week adds up to, and what it becomes when scaled or shortened. Pure."""

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil, floor
from typing import Any
from uuid import UUID

from practice.drills.dose import MOST, Dose, DoseUnit, Step
from practice.drills.hard import hard_minutes, hard_swings
from shared.kit.refused import Refused

MOST_PARTS = 12
MOST_SESSIONS = 14
MOST_MINUTES = 600.0
LEAST_PERCENT, MOST_PERCENT = -90, 100
# A shorter week: 70 percent of what it was, and no more than a tenth above the usual (our choice).
SHORTER_SHARE = 0.7
SHORTER_OF_USUAL = 1.1
# Only weighs reps against timed minutes when one dose has both (common practice).
SECONDS_PER_REP = 30


@dataclass(frozen=True, slots=True)
class PartSpec:
    """One line of a week as values. `minutes` is of one session; `id` names a part that exists.

    `places` are pairs of a fixed day and the key of a place, in the order of the days.
    """

    drill: UUID
    dose: Dose
    sessions: int
    minutes: float
    by_total: bool = False
    days: tuple[int, ...] = ()
    places: tuple[tuple[int, str], ...] = ()
    cue: str = ""
    note: str = ""
    id: UUID | None = None

    @property
    def week_minutes(self) -> float:
        return self.sessions * self.minutes


@dataclass(frozen=True, slots=True)
class Totals:
    """A week's amounts side by side; never added to one another."""

    sessions: int = 0
    reps: int = 0
    balls: int = 0
    minutes: float = 0
    hard_swings: int = 0
    # By the clock; they are among the swings.
    hard_minutes: int = 0

    def __add__(self, other: "Totals") -> "Totals":
        return Totals(
            self.sessions + other.sessions,
            self.reps + other.reps,
            self.balls + other.balls,
            self.minutes + other.minutes,
            self.hard_swings + other.hard_swings,
            self.hard_minutes + other.hard_minutes,
        )


def part_totals(spec: PartSpec, *, area: str, needs_ball: bool = True) -> Totals:
    """What one part asks in the week. Reps of a drill without a ball are no balls.

    `area` of practice: in one of them every swing is hard.
    """
    balls = spec.dose.reps if needs_ball else _balls_named(spec.dose)
    return Totals(
        sessions=spec.sessions,
        reps=spec.sessions * spec.dose.reps,
        balls=spec.sessions * balls,
        minutes=spec.week_minutes,
        hard_swings=spec.sessions * hard_swings(spec.dose, area),
        hard_minutes=spec.sessions * hard_minutes(spec.dose, area),
    )


def week_totals(parts: Iterable[Totals]) -> Totals:
    return sum(parts, Totals())


def _balls_named(dose: Dose) -> int:
    return dose.rounds * sum(step.total for step in dose.steps if step.unit is DoseUnit.BALLS)


# --- more, or less -------------------------------------------------------------


def scale(specs: Iterable[PartSpec], percent: int) -> list[PartSpec]:
    """The same week with `percent` more (or, negative, less) in every session.

    Sessions, days, steps and efforts stay; the amounts of the steps change. Each
    is rounded to a whole number, halves up, and never below one. What rounding
    gains or loses is carried to the next step of the same unit, so that a session
    as a whole comes out right to within half a step's sets. Hard steps take no
    carry and, when the week grows, are rounded down: rounding never adds hard swings.

    Raises ValueError outside −90 to +100 percent.
    """
    if not LEAST_PERCENT <= percent <= MOST_PERCENT:
        raise ValueError(f"Change a week by {LEAST_PERCENT} to +{MOST_PERCENT} percent.")
    return [scale_part(spec, Fraction(100 + percent, 100)) for spec in specs]


def read_percent(text: str) -> int:
    """Whole percent as a person writes it: 10, +10 %, −20; nothing is 0. Raises Refused."""
    bare = text.strip().replace("−", "-").rstrip("% ")
    try:
        percent = int(bare[:8] or "0")
    except ValueError:
        raise Refused(f"“{text[:20]}” is not a whole percent, such as 10 or -20.") from None
    if not LEAST_PERCENT <= percent <= MOST_PERCENT:
        raise Refused(
            f"Change a week by {LEAST_PERCENT} to +{MOST_PERCENT} percent, not {percent}."
        )
    return percent


def scale_part(spec: PartSpec, factor: Fraction) -> PartSpec:
    """One part with `factor` times the amounts in every session, by the rule of `scale`."""
    return with_dose(spec, scale_dose(spec.dose, factor))


def with_dose(spec: PartSpec, dose: Dose) -> PartSpec:
    """The same part with another dose; its minutes follow the work."""
    minutes = spec.minutes * _work(dose) / _work(spec.dose)
    return replace(spec, dose=dose, minutes=_half_minutes(minutes))


def scale_dose(dose: Dose, factor: Fraction) -> Dose:
    """Every amount times `factor`, in whole numbers, by the rule of `scale`."""
    if factor == 1:
        return dose
    carry: dict[DoseUnit, Fraction] = {}
    steps = []
    for step in dose.steps:
        exact = step.amount * factor
        if step.is_hard:
            wanted = floor(exact) if factor > 1 else _half_up(exact)
            amount = _whole(wanted, step)
        else:
            exact += carry.get(step.unit, Fraction(0)) / step.sets
            amount = _whole(_half_up(exact), step)
            carry[step.unit] = (exact - amount) * step.sets
        steps.append(replace(step, amount=amount))
    return replace(dose, steps=tuple(steps))


def _whole(amount: int, step: Step) -> int:
    return min(max(1, amount), MOST // step.sets)


def _half_up(number: Fraction) -> int:
    return floor(number + Fraction(1, 2))


def _half_minutes(minutes: float) -> float:
    return min(max(0.5, floor(minutes * 2 + 0.5) / 2), MOST_MINUTES)


def _work(dose: Dose) -> float:
    return dose.timed_minutes * 60 + dose.reps * SECONDS_PER_REP


# --- a shorter week -------------------------------------------------------------


def shorter_target(minutes: float, usual: float | None) -> float:
    """How many minutes a shorter week may ask."""
    target = minutes * SHORTER_SHARE
    return target if usual is None else min(target, usual * SHORTER_OF_USUAL)


def shorten(
    specs: Sequence[PartSpec],
    *,
    usual: float | None,
    done: Mapping[UUID, float] | None = None,
    hurting: Set[UUID] = frozenset(),
) -> list[PartSpec]:
    """The week cut to fit, in priority order; nothing in it is ever raised.

    What hurts (`hurting`: drills) goes before anything else, whole. Then sessions go, from
    the last part upwards, one left of each; then whole parts, from the last upwards; the
    first part that is left is cut only when nothing else is left to cut, and never goes. No
    part is cut below what is already done of it (`done`: sessions by part id).
    """
    if not specs:
        return []
    target = shorter_target(sum(spec.week_minutes for spec in specs), usual)
    kept = [ceil((done or {}).get(spec.id, 0)) if spec.id else 0 for spec in specs]
    sessions = [spec.sessions for spec in specs]
    hurt = [n for n, spec in enumerate(specs) if spec.drill in hurting]
    if len(hurt) == len(specs):
        hurt = []
    first, *others = [n for n in range(len(specs)) if n not in hurt]
    cuts = ((hurt[::-1], 1), (hurt[::-1], 0), (others[::-1], 1), (others[::-1], 0), ([first], 1))
    for rows, least in cuts:
        for row in rows:
            over = sum(n * s.minutes for n, s in zip(sessions, specs, strict=True)) - target
            cut = ceil(max(0, over) / specs[row].minutes)
            floor_here = min(max(least, kept[row]), sessions[row])
            sessions[row] = max(sessions[row] - cut, floor_here)
    return [fewer(spec, n) for spec, n in zip(specs, sessions, strict=True) if n]


def fewer(spec: PartSpec, sessions: int) -> PartSpec:
    """The part so many times, fixed to no more days than that."""
    return on_days(replace(spec, sessions=sessions), spec.days[:sessions])


def on_days(spec: PartSpec, days: tuple[int, ...]) -> PartSpec:
    """The part fixed to these days; a place goes with its day."""
    return replace(spec, days=days, places=tuple(p for p in spec.places if p[0] in days))


# --- a week already sent ----------------------------------------------------------


def same_structure(old: Dose, new: Dose) -> bool:
    """Whether results logged by the steps of one dose fit those of the other."""
    return old.rounds == new.rounds and _shape(old) == _shape(new)


def _shape(dose: Dose) -> list[tuple[Any, ...]]:
    return [(s.unit, s.effort, s.as_hard_as_you_can, s.is_return) for s in dose.steps]


def smaller(old: Dose, new: Dose) -> Dose:
    """Step by step the smaller of two doses of the same structure.

    A cut counts at once and a raise is a gift, not a debt.
    """
    if not same_structure(old, new):
        raise ValueError("Only doses of the same steps can be compared.")
    steps = (
        min(pair, key=lambda step: step.total) for pair in zip(old.steps, new.steps, strict=True)
    )
    return Dose(tuple(steps), old.rounds)
