"""A week from the season: what its plan asks, and how it fits the student's days."""

from collections import defaultdict
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction
from itertools import count
from typing import Any
from uuid import UUID

from django.db import transaction

from coaching.planning.planner import fit
from coaching.season.line import WEEK
from coaching.season.models import AreaRamp, Event
from coaching.season.read import COMPETITION, is_speed, read_days, read_golf, read_gym, read_season
from coaching.season.sheet_weeks import planned_minutes
from coaching.season.week import Fitted, PlannedBlock, Task, Window, worths
from practice.care.copied import brought_within, parts_from, something_of
from practice.care.hard_swings import Ceiling
from practice.care.limits import DAYS_OF_REST, Limits
from practice.compliance.hurting import hurting
from practice.compliance.limits import limits_of
from practice.drills.hard import is_hard
from practice.drills.models import Area, Drill
from practice.flows import set_week
from practice.weeks import plan, queries
from practice.weeks.places import PLACE_WORDS, DayPlace, places_in
from practice.weeks.plan import PartSpec
from shared.kit.refused import Refused
from shared.kit.text import WEEKDAYS, date_words, listed
from shared.kit.weeks import week_days
from shared.people.access import Recordable
from shared.people.models import Student, User
from shared.people.today import today_of

LEAST, MOST = Fraction(1, 10), Fraction(2)


# --- from the season plan --------------------------------------------------------------------


def weekly_minutes(student: Student, opens: date) -> dict[str, int]:
    """What the season asks of each area in one week; empty without one. At most seven queries."""
    if not AreaRamp.objects.filter(plan__student=student).exists():
        return {}
    return planned_minutes(read_season(student, queries.this_opening(student)), opens)


@transaction.atomic
def start_from_season(*, student: Recordable, opens: date, by: User) -> str:
    """Fill the draft from last week's parts, each area scaled to the plan's minutes.

    Returns a sentence on what came of it. Raises Refused without a plan for that week,
    or without a week to take the parts from.
    """
    wanted = weekly_minutes(student, opens)
    if not any(wanted.values()):
        raise Refused("The season plan has no minutes for this week. Set weekly minutes first.")
    source = queries.sent_week_before(student, opens)
    if source is None:
        raise Refused("There is no week before to take the parts from. Choose a template first.")
    parts, limits = parts_from(source, student.studio), limits_of(student, opens)
    free, held = limits.split(parts.specs, parts.areas)
    hurt = hurting(student, parts.drills, limits)
    scaled = [*scaled_to(free, parts.areas, wanted, hurt), *held]
    found = something_of(brought_within(scaled, limits, parts.areas, parts.names), student)
    week = set_week.start_draft(student=student, opens=opens, by=by)
    set_week.save_parts(week=week, specs=found.specs, by=by)
    return " ".join([_came(wanted, found.specs, parts.areas), *found.lowered])


def scaled_to(
    specs: Sequence[PartSpec],
    areas: Mapping[UUID, str],
    wanted: Mapping[str, int],
    hurting: Set[UUID] = frozenset(),
) -> list[PartSpec]:
    """Each area's parts scaled to its minutes, a tenth to twice of what they were.

    An area the plan does not name stays; one it asks nothing of drops out. A drill with which
    something hurts is never raised.
    """
    before: dict[str, float] = defaultdict(float)
    for spec in specs:
        before[areas[spec.drill]] += spec.week_minutes
    scaled = []
    for spec in specs:
        area = areas[spec.drill]
        if area not in wanted:
            scaled.append(spec)
        elif wanted[area]:
            factor = Fraction(wanted[area]) / Fraction(before[area])
            most = Fraction(1) if spec.drill in hurting else MOST
            scaled.append(plan.scale_part(spec, min(most, max(LEAST, factor))))
    return scaled


def _came(wanted: Mapping[str, int], scaled: Sequence[PartSpec], areas: Mapping[UUID, str]) -> str:
    got: dict[str, float] = defaultdict(float)
    for spec in scaled:
        got[areas[spec.drill]] += spec.week_minutes
    said = [
        f"{Area(area).label} {got[area]:g} of {minutes} min planned"
        for area, minutes in wanted.items()
        if got[area]
    ]
    missing = [
        f"{Area(area).label} ({minutes} min)"
        for area, minutes in wanted.items()
        if minutes and not got[area]
    ]
    words = f"From the season plan: {', '.join(said)}." if said else "From the season plan."
    if missing:
        words += f" Planned, but without a part yet: {listed(missing)}."
    return words


# --- to the student's days ---------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class FittedWeek:
    """The parts with their days, and the plan in words."""

    specs: list[PartSpec]
    lines: list[str]
    says: tuple[str, ...]


def fit_week(student: Student, opens: date, specs: Sequence[PartSpec]) -> FittedWeek:
    """Place the parts on the student's own days. Nine queries, and nothing is written.

    Days that are fixed already stay; parts by total keep no day, and what is not for now takes
    none. Hard swings are lowered to what the week may ask. Raises Refused in words for amounts
    that cannot be planned.
    """
    drills = _drills(specs)
    areas = {pk: row["current__area"] for pk, row in drills.items()}
    names = {pk: row["current__name"] for pk, row in drills.items()}
    limits = limits_of(student, opens)
    lower = _lowered(specs, limits, areas)
    task = task_of(student, opens, [spec for spec in lower if spec], drills)
    fitted = fit(task)
    keys = map(str, count())
    # In the order of the page; what has no day stays as it was typed.
    parts = [
        _placed(low, fitted, next(keys)) if low else spec
        for spec, low in zip(specs, lower, strict=True)
    ]
    blocks = {block.key: block for block in task.blocks}
    says = (*_says(specs, lower, names, limits.ceiling), *fitted.says)
    return FittedWeek(parts, _lines(opens, fitted, blocks), says)


def _lowered(
    specs: Sequence[PartSpec], limits: Limits, areas: Mapping[UUID, str]
) -> list[PartSpec | None]:
    """The parts as the week may ask them, in their order; None for one that takes no day."""
    free, held = limits.split(specs, areas)
    within = iter(limits.within(free, areas))
    return [None if spec in held else next(within) for spec in specs]


def _says(
    specs: Sequence[PartSpec],
    lower: Sequence[PartSpec | None],
    names: Mapping[UUID, str],
    most: Ceiling | None,
) -> list[str]:
    """What the limits made of the parts."""
    pairs = list(zip(specs, lower, strict=True))
    less = list(dict.fromkeys(names[s.drill] for s, low in pairs if low and low != s))
    says = [f"{most.words} Less of {listed(less)}."] if less and most else []
    return says + [
        f"{names[s.drill]} is not for now and has no day." for s, low in pairs if not low
    ]


def _placed(spec: PartSpec, fitted: Fitted, key: str) -> PartSpec:
    """The part on its days, each with its place; by total it keeps none."""
    if spec.by_total:
        return spec
    return replace(spec, days=fitted.days_of(key), places=fitted.places_of(key))


def _drills(specs: Sequence[PartSpec]) -> Mapping[UUID, Mapping[str, Any]]:
    rows = Drill.objects.filter(pk__in={spec.drill for spec in specs}).values(
        "pk", "current__name", "current__places", "current__area"
    )
    return {row["pk"]: row for row in rows}


def task_of(
    student: Student,
    opens: date,
    specs: Sequence[PartSpec],
    drills: Mapping[UUID, Mapping[str, Any]],
) -> Task:
    """The week as the planner takes it. Seven queries."""
    days = week_days(opens)
    offsets = {day: n for n, day in enumerate(days)}
    before, after = opens - timedelta(days=1), opens + WEEK
    gym = read_gym(student, before, days[-1])
    golf = read_golf(student, before, after)
    events = Event.objects.filter(
        student=student, kind=COMPETITION, first__lte=after + timedelta(days=2), last__gte=opens
    )
    worth = worths((n, spec.minutes) for n, spec in enumerate(specs, start=1))
    return Task(
        windows=_windows(student, days),
        blocks=tuple(_block(n, spec, drills[spec.drill], worth[n]) for n, spec in enumerate(specs)),
        heavy_legs=frozenset(
            offsets.get(day, -1) for day, line in gym.items() if line.is_hard_on_legs
        ),
        events=frozenset(
            (event.first + timedelta(days=n) - opens).days
            for event in events[:20]
            for n in range((event.last - event.first).days + 1)
            if 0 <= (event.first + timedelta(days=n) - opens).days <= 9
        ),
        closed=frozenset(
            {offsets[day] for day in queries.excused_days(student, opens)} | _over(student, days)
        ),
        speed_before=any(hard.day == before and hard.is_speed for hard in golf),
        speed_after=any(hard.day == after and hard.is_speed for hard in golf),
        rest_days=DAYS_OF_REST if student.is_under_16 else 0,
        day_names=tuple(WEEKDAYS[day.weekday()] for day in days),
    )


def _over(student: Student, days: Sequence[date]) -> set[int]:
    """Days of the week that are over already."""
    today = today_of(student)
    return {n for n, day in enumerate(days) if day < today}


def _windows(student: Student, days: Sequence[date]) -> tuple[Window, ...]:
    by_weekday: dict[int, list[tuple[DayPlace, int]]] = defaultdict(list)
    for own in read_days(student):
        by_weekday[own.weekday].append((DayPlace(own.place), own.minutes))
    return tuple(
        Window(n, place, minutes)
        for n, day in enumerate(days)
        for place, minutes in by_weekday[day.weekday()]
    )


def _block(
    n: int, spec: PartSpec, drill: Mapping[str, Any], worth: tuple[float, float]
) -> PlannedBlock:
    return PlannedBlock(
        key=str(n),
        name=drill["current__name"],
        minutes=spec.minutes,
        sessions=spec.sessions,
        places=places_in(drill["current__places"]),
        worth=worth[0],
        first_worth=worth[1],
        skill=str(spec.drill),
        is_speed=is_speed(drill["current__area"], str(spec.dose)),
        is_hard=is_hard(spec.dose, drill["current__area"]),
        fixed=spec.days,
    )


def _lines(opens: date, fitted: Fitted, blocks: Mapping[str, PlannedBlock]) -> list[str]:
    """'Mon 24 Feb, net at home: Ladder 15 min, Wall-back turn 10 min', day by day."""
    by_window: dict[tuple[int, DayPlace | None], list[str]] = defaultdict(list)
    for session in fitted.placed:
        block = blocks[session.key]
        by_window[session.day, session.place].append(f"{block.name} {block.minutes:g} min")
    return [
        f"{date_words(opens + timedelta(days=day))}"
        f"{', ' + PLACE_WORDS[place] if place else ''}: {', '.join(names)}"
        for (day, place), names in sorted(by_window.items(), key=lambda item: item[0][0])
    ]
