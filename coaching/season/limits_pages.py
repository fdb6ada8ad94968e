"""What a student may not do now, as every page prints it on which something is chosen."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from uuid import UUID

from coaching.season.line import WEEK
from coaching.season.models import Event
from coaching.season.near import Near, near_of, read_near
from coaching.season.read import COMPETITION
from practice.care import screening
from practice.care.hard_swings import Ceiling
from practice.care.limits import Limits
from practice.care.models import Screening
from practice.care.work import Stopped
from practice.compliance.hurting import left_alone
from practice.compliance.limits import limits_of_many
from practice.weeks.queries import this_opening
from shared.kit.text import WEEKDAYS, capital, date_words, listed
from shared.people import access
from shared.people.models import Student, User


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
    # Drills that a *cannot* of a screening puts a caution on.
    cautioned: frozenset[UUID]
    rests: bool
    has_event: bool
    # Hard swings that the week may ask, where some are allowed and something limits them.
    most: Ceiling | None
    may_clear: bool

    def __bool__(self) -> bool:
        return bool(self.stops or self.lines or self.cannots)

    @property
    def said(self) -> tuple[str, ...]:
        """All of it, for those who teach."""
        return (*self.stopped, *self.lines, *self.cannots)


def limits_shown(
    user: User,
    student: Student,
    opens: date | None = None,
    limits: Limits | None = None,
    near: Near | None = None,
) -> LimitsShown:
    """One student's, beside the week that opens on this day (the present one).

    Two queries, one less for each of `limits` and `near` that this page has read; up to three
    more where a screening found something, and two after a pain.
    """
    return _all_shown(
        [student],
        {student.pk: near or near_of(student, opens or this_opening(student))},
        limits_of_many([student]) if limits is None else {student.pk: limits},
        user,
    )[0]


def limits_passed_on(
    student: Student, opens: date | None = None, limits: Limits | None = None
) -> LimitsShown:
    """The same for a page that may be handed on: what is not to be done, never why.

    As many queries.
    """
    near = near_of(student, opens or this_opening(student))
    read = limits_of_many([student]) if limits is None else {student.pk: limits}
    return _all_shown([student], {student.pk: near}, read)[0]


def limits_of_several(
    user: User,
    students: Sequence[Student],
    opens_for: Mapping[UUID, date],
    limits: Mapping[UUID, Limits] | None = None,
) -> list[LimitsShown]:
    """Those of each, in their order. As many queries, however many students."""
    opens = {s.pk: opens_for.get(s.pk) or this_opening(s) for s in students}
    limits = limits_of_many(students) if limits is None else limits
    return _all_shown(students, read_near(students, opens), limits, user)


def _all_shown(
    students: Sequence[Student],
    near: Mapping[UUID, Near],
    limits: Mapping[UUID, Limits],
    reader: User | None = None,
) -> list[LimitsShown]:
    """Without a reader as anybody may read it."""
    screened = screening.latest([s for s in students if near[s.pk].is_limited])
    roles = access.roles_by_studio(reader) if reader else {}
    alone = left_alone(students, limits)
    found = []
    for student in students:
        pk, here = student.pk, roles.get(student.studio_id, set())
        may_read = reader is not None and access.reads_pain(reader, here, pk, student.lead_coach_id)
        stands = _near_of(student, near[pk], screened.get(pk, ()))
        own = replace(limits[pk], asks_first=limits[pk].asks_first or pk in alone)
        found.append(_shown(student, own, stands, may_read=may_read))
    return found


def _shown(student: Student, limits: Limits, near: "_Near", *, may_read: bool) -> LimitsShown:
    """Where no hard swing is allowed, no line says how many or when they are."""
    is_stopped = any(stop.drill is None for stop in limits.stops)
    most = None if is_stopped or limits.rests else limits.in_week(near.opens).ceiling
    return LimitsShown(
        student=student.pk,
        name=student.name,
        stops=tuple(StopLine(stop.id, stop.what) for stop in limits.stops),
        stopped=tuple(_stopped(limits.stops, may_read=may_read)),
        lines=(
            *([] if is_stopped else _rest_lines(limits, may_read=may_read)),
            *_event_lines(near, most),
            *([] if is_stopped or limits.rests else _gym_lines(near)),
            # An event's own number is below the one that stands for every week.
            *_young(student, most),
        ),
        cannots=near.cannots,
        cautioned=near.cautioned,
        rests=limits.rests,
        has_event=near.event is not None,
        most=most,
        may_clear=may_read,
    )


def _stopped(stops: Iterable[Stopped], *, may_read: bool) -> list[str]:
    """'No Ladder and no hard swings since Mon 24 Feb: stopped for pain.'"""
    why = ": stopped for pain" if may_read else ", until a coach clears it"
    by_day: dict[date, list[str]] = defaultdict(list)
    for stop in sorted(stops, key=lambda stop: (stop.since, stop.drill is None, stop.name)):
        by_day[stop.since].append(f"no {stop.what}")
    return [f"{capital(listed(w))} since {date_words(day)}{why}." for day, w in by_day.items()]


def _rest_lines(limits: Limits, *, may_read: bool) -> list[str]:
    if limits.rests and may_read:
        return ["No hard swings for now: something hurts, after many more than usual."]
    if limits.rests:
        return ["Rest from hard swings for now: ask the lead coach."]
    if limits.asks_first and may_read:
        return ["Ask how it feels before any hard swings: see Care notes."]
    return ["Ask the lead coach before any hard swings."] if limits.asks_first else []


def _event_lines(near: "_Near", most: Ceiling | None) -> list[str]:
    if near.event is None:
        return []
    day, name = near.event
    line = f"Event week: {name}, {date_words(day)}."
    if most is None:
        return [line]
    few = f"At most {most.swings} hard swings, none in the last 72 hours."
    return [line, few if most.swings else "No hard swings before it."]


def _gym_lines(near: "_Near") -> list[str]:
    if not near.heavy_legs:
        return []
    days = listed(WEEKDAYS[day.weekday()] for day in near.heavy_legs)
    return [f"Heavy legs on {days}. No hard speed work then or a day later."]


def _young(student: Student, most: Ceiling | None) -> list[str]:
    if not student.is_under_16:
        return []
    if most is None or most.is_event:
        return ["Under 16: two days of rest a week."]
    return [f"Under 16: at most {most.swings} hard swings a week, two days of rest."]


# --- what stands near the week -------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Near:
    opens: date
    event: tuple[date, str] | None
    heavy_legs: tuple[date, ...]
    cannots: tuple[str, ...] = ()
    cautioned: frozenset[UUID] = frozenset()


def _near_of(student: Student, near: Near, screened: Iterable[Screening]) -> _Near:
    opens, closes = near.opens, near.opens + WEEK - timedelta(days=1)
    screened = list(screened)
    legs = (day for day, line in near.gym.items() if line.is_hard_on_legs)
    return _Near(
        opens=opens,
        event=_event_in(student, near.events, opens, closes),
        heavy_legs=tuple(sorted(day for day in legs if opens <= day <= closes)),
        cannots=tuple(screening.lines(screened)),
        cautioned=frozenset(screening.cautioned(screened)),
    )


def _event_in(
    student: Student, events: Iterable[Event], opens: date, closes: date
) -> tuple[date, str] | None:
    """The first competition of these days, one that only the student's page names with them."""
    here = [event for event in events if event.kind == COMPETITION and event.last >= opens]
    days = [(max(event.first, opens), event.name) for event in here]
    if student.next_event:
        days.append((student.next_event, student.next_event_name or "Event"))
    return min((found for found in days if opens <= found[0] <= closes), default=None)
