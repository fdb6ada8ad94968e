"""Everything that writes a season: plans, events, gym days, own days. Atomic, may be repeated."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from coaching.season import ramp as ramps
from coaching.season.clashes import GymLine
from coaching.season.line import WEEK, RampRow
from coaching.season.models import (
    AreaRamp,
    Event,
    GymDay,
    Phase,
    PracticeDay,
    Priority,
    SeasonPlan,
)
from coaching.season.read import MOST_PHASES, gym_line, ramp_row
from coaching.season.week import MOST_MINUTES
from practice.compliance.models import WeekTally
from practice.weeks import queries as weeks
from practice.weeks.places import DayPlace
from shared.jobs.sweep import sweep
from shared.kit.refused import Refused
from shared.kit.text import in_minutes
from shared.kit.weeks import week_start
from shared.people import access
from shared.people.access import Recordable
from shared.people.history import remember
from shared.people.models import Student, User
from shared.people.today import today_of

LONGEST = timedelta(days=3 * 366)
HALF_A_WEEK = timedelta(days=3)
LONGEST_EVENT = timedelta(days=13)
MOST_EVENTS = 60
MOST_GYM_WEEKS = 12


# --- the plan --------------------------------------------------------------------------


@transaction.atomic
def save_plan(
    *,
    student: Recordable,
    by: User,
    first: date,
    last: date,
    note: str = "",
    phases: Sequence[Mapping[str, Any]] = (),
    priorities: Sequence[Mapping[str, Any]] = (),
) -> SeasonPlan:
    """Make the plan exactly this; its weekly minutes stay. Raises Refused."""
    if not first < last <= first + LONGEST:
        raise Refused("A season ends after it starts, and takes three years at most.")
    _check_phases(phases, first, last)
    plan, _ = SeasonPlan.objects.update_or_create(
        student=student,
        defaults={"first": first, "last": last, "note": note, "changed_at": timezone.now()},
        create_defaults={"first": first, "last": last, "note": note, "made_by": by},
    )
    plan.phases.all().delete()
    Phase.objects.bulk_create(Phase(plan=plan, **phase) for phase in phases)
    plan.priorities.all().delete()
    Priority.objects.bulk_create(
        Priority(plan=plan, place=place, **priority)
        for place, priority in enumerate(priorities, start=1)
    )
    return plan


def _check_phases(phases: Sequence[Mapping[str, Any]], first: date, last: date) -> None:
    if len(phases) > MOST_PHASES:
        raise Refused(f"A season has {MOST_PHASES} phases at most.")
    before = None
    for phase in sorted(phases, key=lambda phase: phase["first"]):
        name = phase["name"]
        if phase["last"] < phase["first"]:
            raise Refused(f"“{name}” ends before it starts.")
        if phase["first"] < first or phase["last"] > last:
            raise Refused(f"“{name}” reaches beyond the season.")
        if before is not None and phase["first"] <= before["last"]:
            raise Refused(f"“{name}” starts before “{before['name']}” is over.")
        before = phase


# --- weekly minutes ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class WantedRamp:
    """Weekly minutes of one area as a coach wants them from a week on."""

    area: str
    start: int
    target: int
    due: date
    cap: int = ramps.CAP_PERCENT
    lighter_every: int = ramps.LIGHTER_EVERY
    lighter: int = ramps.LIGHTER_PERCENT

    def row(self, opens: date) -> RampRow:
        return RampRow(
            self.area,
            opens,
            self.start,
            self.target,
            self.due,
            self.cap,
            self.lighter_every,
            self.lighter,
        )


@transaction.atomic
def save_ramps(
    *, plan: SeasonPlan, by: User, opens: date, wanted: Sequence[WantedRamp]
) -> list[AreaRamp]:
    """Weekly minutes from the week of `opens` on. Weeks before keep the line they had.

    What stands already as wanted is left alone. Raises Refused.
    """
    access.recordable(plan.student)
    standing = {row.area: row for row in current_ramps(plan)}
    made = []
    for each in wanted:
        row = standing.get(each.area)
        if row is None or ramp_row(row) != each.row(row.opens):
            _check_ramp(each, opens)
            made.append(_write(plan, by, opens, each, is_from_reality=False))
    return made


def _check_ramp(wanted: WantedRamp, opens: date) -> None:
    if wanted.due < opens:
        raise Refused("The week of the target is over already.")
    wanted.row(opens).ramp([])  # Refused if it cannot be.


def _write(
    plan: SeasonPlan, by: User, opens: date, wanted: WantedRamp, *, is_from_reality: bool
) -> AreaRamp:
    # A ramp that was to begin later gives way to one that begins now.
    AreaRamp.objects.filter(plan=plan, area=wanted.area, opens__gte=opens).delete()
    return AreaRamp.objects.create(
        plan=plan,
        area=wanted.area,
        opens=opens,
        start_minutes=wanted.start,
        target_minutes=wanted.target,
        due=wanted.due,
        cap_percent=wanted.cap,
        lighter_every=wanted.lighter_every,
        lighter_percent=wanted.lighter,
        is_from_reality=is_from_reality,
        made_by=by,
    )


def current_ramps(plan: SeasonPlan) -> list[AreaRamp]:
    """The latest ramp of each area. One query."""
    latest = {row.area: row for row in plan.ramps.order_by("opens")}
    return [latest[area] for area in sorted(latest)]


@transaction.atomic
def re_ramp(*, plan: SeasonPlan, by: User) -> list[AreaRamp]:
    """Begin every area's ramp anew from what was really done, towards the same target.

    From this week on; the base is the mean of the four weeks before it, weeks off
    counted as what they were. A target whose week is over gets the end of the season, or
    four weeks. Raises Refused without weekly minutes.
    """
    access.recordable(plan.student)
    opens = weeks.this_opening(plan.student)
    # What was taken off, no minutes from and to, is not asked again.
    standing = [row for row in current_ramps(plan) if row.start_minutes or row.target_minutes]
    if not standing:
        raise Refused("There are no weekly minutes yet to begin anew.")
    done = minutes_done(plan.student, opens)
    later = max(week_start(plan.last, plan.student.studio.first_weekday), opens + 3 * WEEK)
    return [
        _write(
            plan,
            by,
            opens,
            WantedRamp(
                area=row.area,
                start=in_minutes(ramps.base_of(done.get(row.area, []))),
                target=row.target_minutes,
                due=row.due if row.due > opens else later,
                cap=row.cap_percent,
                lighter_every=row.lighter_every,
                lighter=row.lighter_percent,
            ),
            is_from_reality=True,
        )
        for row in standing
    ]


def minutes_done(student: Student, before: date) -> dict[str, list[float]]:
    """Minutes logged in each area in the four weeks before, oldest first. One query.

    A week without a row is a week of nothing; before the first known week there is none. A week
    that opened on another weekday, before the studio moved it, is the one it shares most days with.
    """
    latest = WeekTally.objects.filter(student=student, opens__lt=before).order_by("-opens")
    done: dict[int, list[dict[str, Any]]] = defaultdict(list)
    # Two more than the weeks have: one that says whether anything was known before them, and one
    # that a studio's move of its weeks may add.
    for opens, parts in latest.values_list("opens", "parts")[: ramps.BASE_WEEKS + 2]:
        done[(before - opens + HALF_A_WEEK) // WEEK] += parts
    known = [ago for ago in range(ramps.BASE_WEEKS, 0, -1) if max(done, default=0) >= ago]
    areas = {part["area"] for ago in known for part in done.get(ago, ())}
    return {
        area: [
            sum(part["done_minutes"] for part in done.get(ago, ()) if part["area"] == area)
            for ago in known
        ]
        for area in areas
    }


# --- events ------------------------------------------------------------------------------------


@transaction.atomic
def add_event(
    *, student: Recordable, kind: str, name: str, first: date, last: date | None = None
) -> Event:
    """A competition or test day. The same again changes nothing. Raises Refused."""
    last = last or first
    if last < first:
        raise Refused("The last day cannot be before the first.")
    if last - first > LONGEST_EVENT:
        raise Refused(f"An event takes {LONGEST_EVENT.days + 1} days at most.")
    today = today_of(student)
    if not today - timedelta(days=366) <= first <= today + LONGEST:
        raise Refused("Events lie between a year back and three years ahead.")
    if Event.objects.filter(student=student, last__gte=today).count() >= MOST_EVENTS:
        raise Refused(f"At most {MOST_EVENTS} events ahead. Take one off first.")
    event, _ = Event.objects.get_or_create(
        student=student, kind=kind, name=name.strip(), first=first, last=last
    )
    follow_events(student)
    return event


@transaction.atomic
def remove_event(*, event: Event) -> None:
    """Take an event off. Twice is the same as once."""
    student = event.student
    was_next = (student.next_event, student.next_event_name) == (event.first, event.name)
    Event.objects.filter(pk=event.pk).delete()
    if was_next:
        _set_next(student, None, "")
    follow_events(student)


def follow_events(student: Student) -> None:
    """Let the student's next event be the nearest competition that is not over, if there is one."""
    nearest = (
        Event.objects.filter(
            student=student, kind=Event.Kind.COMPETITION, last__gte=today_of(student)
        )
        .order_by("first", "name")
        .first()
    )
    if nearest is not None:
        _set_next(student, nearest.first, nearest.name)


def _set_next(student: Student, day: date | None, name: str) -> None:
    """Change the student's next event, and keep what it was; the same again changes nothing."""
    row = Student.objects.filter(pk=student.pk)
    others = row.exclude(next_event=day, next_event_name=name)
    if day is None:
        others = row.exclude(next_event=None)
    if others.exists():
        remember(others)
        others.update(next_event=day, next_event_name=name)


def take_over_next_event(student: Recordable) -> None:
    """What was written on the student's own page becomes a competition of the season.

    A competition on that day takes the name; one of that name ahead moves to that day.
    """
    day, name = student.next_event, student.next_event_name or "Event"
    if day is not None and day >= today_of(student):
        ahead = Event.objects.filter(
            student=student, kind=Event.Kind.COMPETITION, last__gte=today_of(student)
        )
        same = ahead.filter(first=day).first() or ahead.filter(name=name).first()
        if same is None:
            Event.objects.create(
                student=student, kind=Event.Kind.COMPETITION, name=name, first=day, last=day
            )
        elif (same.first, same.name) != (day, name):
            moved = day - same.first
            Event.objects.filter(pk=same.pk).update(first=day, last=same.last + moved, name=name)
    follow_events(student)


def follow_all() -> int:
    """Let the next event of everybody whose last one is over follow. Returns how many were."""
    yesterday = timezone.now().date() - timedelta(days=1)
    over = Student.objects.filter(
        left_on=None,
        next_event__lt=yesterday,
        events__kind=Event.Kind.COMPETITION,
        events__last__gte=yesterday,
    ).distinct()
    return len(sweep("next events", lambda: over, follow_events, most=500))


# --- gym days and own days -----------------------------------------------------------------------


@transaction.atomic
def mark_gym(
    *, student: Recordable, by: User, lines: Mapping[date, GymLine | None], times: int = 1
) -> None:
    """Mark these days of the gym strip, and the same days of the weeks after, `times` weeks in all.

    None takes a mark off. Raises Refused.
    """
    if not 1 <= times <= MOST_GYM_WEEKS:
        raise Refused(f"Mark from 1 to {MOST_GYM_WEEKS} weeks at once.")
    all_lines = {day + n * WEEK: line for day, line in lines.items() for n in range(times)}
    standing = {
        row.day: row for row in GymDay.objects.filter(student=student, day__in=list(all_lines))
    }
    gone, fresh = [], []
    for day, line in all_lines.items():
        row = standing.get(day)
        if row is not None and line is not None and gym_line(row) == line:
            continue
        if row is not None:
            gone.append(row.pk)
        if line is not None:
            fresh.append(
                GymDay(
                    student=student,
                    day=day,
                    load=line.load.value,
                    body=line.body.value,
                    jumps=line.jumps,
                    marked_by=by,
                )
            )
    GymDay.objects.filter(pk__in=gone).delete()
    GymDay.objects.bulk_create(fresh)


@transaction.atomic
def set_days(*, student: Recordable, times: Sequence[tuple[int, DayPlace, int]]) -> None:
    """When and where the student has time: (weekday, place, minutes). Raises Refused."""
    if len({(weekday, place) for weekday, place, _ in times}) < len(times):
        raise Refused("The same place stands twice on one day. Add the minutes up instead.")
    if any(
        not (0 <= weekday <= 6 and 1 <= minutes <= MOST_MINUTES) for weekday, _, minutes in times
    ):
        raise Refused(f"A day of the week has from 1 to {MOST_MINUTES:g} minutes.")
    PracticeDay.objects.filter(student=student).delete()
    PracticeDay.objects.bulk_create(
        PracticeDay(student=student, weekday=weekday, place=place.value, minutes=minutes)
        for weekday, place, minutes in times
    )
