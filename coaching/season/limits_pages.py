"""What a student may not do now, as every page prints it on which something is chosen."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import (
    DateField,
    IntegerChoices,
    IntegerField,
    QuerySet,
    UUIDField,
    Value,
)
from django.db.models.functions import Cast, Concat

from coaching.season.models import Event, GymDay
from coaching.season.read import COMPETITION, gym_line
from practice.care import screening
from practice.care.limits import Limits, Stopped, before_week, most_hard_swings
from practice.care.load import CEILING_UNDER_16
from practice.care.models import Screening
from practice.compliance.limits import limits_of, limits_of_many
from practice.weeks.queries import this_opening
from shared.kit.text import WEEKDAYS, capital, date_words, listed
from shared.people import access
from shared.people.models import Student, User
from shared.site.prepared import Prepared

WEEK = timedelta(weeks=1)


@dataclass(frozen=True, slots=True)
class StopLine:
    """A stop that stands; `id` is what clears it."""

    id: UUID
    what: str


@dataclass(frozen=True, slots=True)
class LimitsShown:
    """What templates/board/_limits.html prints: what is stopped, a line a day, then the rest.

    `cannots` come from a screening, and are for those who teach.
    """

    student: UUID
    name: str
    stops: tuple[StopLine, ...]
    stopped: tuple[str, ...]
    lines: tuple[str, ...]
    cannots: tuple[str, ...]
    rests: bool
    may_clear: bool

    def __bool__(self) -> bool:
        return bool(self.stops or self.lines or self.cannots)

    @property
    def said(self) -> tuple[str, ...]:
        """All of it, for those who teach."""
        return (*self.stopped, *self.lines, *self.cannots)


def limits_shown(
    user: User, student: Student, opens: date | None = None, limits: Limits | None = None
) -> LimitsShown:
    """One student's, beside the week that opens on this day (the present one).

    Three queries, two with `limits` as this page has read them; two more after a screening.
    """
    known = {student.pk: limits} if limits else None
    return limits_of_several(user, [student], {student.pk: opens} if opens else {}, known)[0]


def limits_passed_on(student: Student, opens: date | None = None) -> LimitsShown:
    """The same for a page that may be handed on: what is not to be done, never why.

    Three queries.
    """
    begins, limits = opens or this_opening(student), limits_of(student)
    near = _near([student], {student.pk: begins}, {student.pk: limits})[student.pk]
    return _shown(student, limits, near, may_read=False)


def limits_of_several(
    user: User,
    students: Sequence[Student],
    opens_for: Mapping[UUID, date],
    limits: Mapping[UUID, Limits] | None = None,
) -> list[LimitsShown]:
    """Those of each, in their order. As many queries, however many students."""
    limits = limits_of_many(students) if limits is None else limits
    roles = access.roles_by_studio(user)
    near = _near(students, {s.pk: opens_for.get(s.pk) or this_opening(s) for s in students}, limits)
    found = []
    for student in students:
        here = roles.get(student.studio_id, set())
        may_read = access.reads_pain(user, here, student.pk, student.lead_coach_id)
        found.append(_shown(student, limits[student.pk], near[student.pk], may_read=may_read))
    return found


def _shown(student: Student, limits: Limits, near: "_Near", *, may_read: bool) -> LimitsShown:
    """Where no hard swing is allowed, no line says how many or when they are."""
    is_stopped = any(stop.drill is None for stop in limits.stops)
    some = not (is_stopped or limits.rests)
    return LimitsShown(
        student=student.pk,
        name=student.name,
        stops=tuple(StopLine(stop.id, stop.what) for stop in limits.stops),
        stopped=tuple(_stopped(limits.stops, may_read=may_read)),
        lines=(
            *(_rest_lines(may_read=may_read) if limits.rests and not is_stopped else ()),
            *_event_lines(near, hard_swings=some),
            *(_gym_lines(near) if some else ()),
            # An event's own number is below the one that stands for every week.
            *_young(student, hard_swings=some and near.event is None),
        ),
        cannots=near.cannots,
        rests=limits.rests,
        may_clear=may_read,
    )


def _stopped(stops: Iterable[Stopped], *, may_read: bool) -> list[str]:
    """'No Ladder and no hard swings since Mon 24 Feb: stopped for pain.'"""
    why = ": stopped for pain" if may_read else ", until a coach clears it"
    by_day: dict[date, list[str]] = defaultdict(list)
    for stop in sorted(stops, key=lambda stop: (stop.since, stop.drill is None, stop.name)):
        by_day[stop.since].append(f"no {stop.what}")
    return [f"{capital(listed(w))} since {date_words(day)}{why}." for day, w in by_day.items()]


def _rest_lines(*, may_read: bool) -> list[str]:
    if may_read:
        return ["Pain while hard swings jump: rest from hard swings."]
    return ["Rest from hard swings for now: ask the lead coach."]


def _event_lines(near: "_Near", *, hard_swings: bool) -> list[str]:
    if near.event is None:
        return []
    day, name = near.event
    line = f"Event week: {name}, {date_words(day)}."
    if not hard_swings:
        return [line]
    few = f"At most {near.most_hard} hard swings, none in the last 72 hours."
    hard = few if near.most_hard else "No hard swings before it."
    return [line, hard]


def _gym_lines(near: "_Near") -> list[str]:
    if not near.heavy_legs:
        return []
    days = listed(WEEKDAYS[day.weekday()] for day in near.heavy_legs)
    return [f"Heavy legs on {days}. No hard speed work then or a day later."]


def _young(student: Student, *, hard_swings: bool) -> list[str]:
    if not student.is_under_16:
        return []
    if not hard_swings:
        return ["Under 16: two days of rest a week."]
    return [f"Under 16: at most {CEILING_UNDER_16} hard swings a week, two days of rest."]


# --- what stands near the week -------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Near:
    event: tuple[date, str] | None
    most_hard: int
    heavy_legs: tuple[date, ...]
    cannots: tuple[str, ...] = ()


class _Kind(IntegerChoices):
    EVENT, GYM = 1, 2


class _Dated(NamedTuple):
    """Days with a name, or with gym work: `name` its load and half of the body, `number` whether
    there are jumps."""

    kind: int
    student: UUID
    first: date
    last: date
    number: int
    name: str


@dataclass(frozen=True, slots=True)
class _Around:
    """What was read of all of them, by student."""

    screened: Mapping[UUID, list[Screening]]
    legs: dict[UUID, list[date]] = field(default_factory=lambda: defaultdict(list))
    events: dict[UUID, list[_Dated]] = field(default_factory=lambda: defaultdict(list))

    def add(self, row: "_Dated") -> None:
        if row.kind == _Kind.EVENT:
            self.events[row.student].append(row)
            return
        load, body = row.name.split()
        if gym_line(GymDay(load=load, body=body, jumps=bool(row.number))).is_hard_on_legs:
            self.legs[row.student].append(row.first)


def _dated_rows(students: UUID, first: date, last: date) -> "QuerySet[Any, Any]":
    """Competitions and gym days from `first` to `last`, in one statement."""
    jumps = Cast("jumps", IntegerField())
    events = Event.objects.filter(
        student__in=[students], kind=COMPETITION, first__lte=last, last__gte=first
    )
    gym = GymDay.objects.filter(student__in=[students], day__gte=first, day__lte=last)
    return (
        events.order_by()
        .values_list(Value(_Kind.EVENT), "student", "first", "last", Value(0), "name")
        .union(
            gym.order_by().values_list(
                Value(_Kind.GYM), "student", "day", "day", jumps, Concat("load", Value(" "), "body")
            ),
            all=True,
        )
    )


_dated = Prepared(_dated_rows, students=UUIDField, first=DateField, last=DateField)


def _near(
    students: Sequence[Student], opens: Mapping[UUID, date], limits: Mapping[UUID, Limits]
) -> dict[UUID, _Near]:
    """Two queries, the screening and the rest; after a screening up to two more."""
    if not students:
        return {}
    around = _Around(screened=screening.latest(students))
    rows = _dated(
        students=[student.pk for student in students],
        first=min(opens.values()),
        last=max(opens.values()) + WEEK,
    )
    for row in rows:
        around.add(_Dated(*row))
    return {s.pk: _near_of(s, opens[s.pk], limits[s.pk], around) for s in students}


def _near_of(student: Student, opens: date, limits: Limits, around: _Around) -> _Near:
    pk = student.pk
    closes = opens + WEEK - timedelta(days=1)
    before = before_week(limits.hard_swings, opens)
    return _Near(
        event=_event_in(student, around.events[pk], opens, closes),
        most_hard=most_hard_swings(before, under_16=student.is_under_16),
        heavy_legs=tuple(sorted(day for day in around.legs[pk] if opens <= day <= closes)),
        cannots=tuple(screening.lines(around.screened.get(pk, ()))),
    )


def _event_in(
    student: Student, events: Iterable[_Dated], opens: date, closes: date
) -> tuple[date, str] | None:
    """The first competition of these days, one that only the student's page names with them."""
    days = [(max(event.first, opens), event.name) for event in events if event.last >= opens]
    if student.next_event:
        days.append((student.next_event, student.next_event_name or "Event"))
    return min((found for found in days if opens <= found[0] <= closes), default=None)
