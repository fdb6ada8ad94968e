"""What the pages of a season stand on, read at a fixed number of queries."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.db.models import FilteredRelation, Q, QuerySet

from coaching.season.clashes import Body, GymLine, GymLoad, HardGolf
from coaching.season.line import WEEK, RampRow, ShareOf, share_of_week
from coaching.season.models import (
    AreaRamp,
    Event,
    GymDay,
    Phase,
    PracticeDay,
    Priority,
    SeasonPlan,
)
from practice.care.hard_swings import EVENT_SHARE
from practice.compliance.models import WeekTally
from practice.compliance.parts import dose_of
from practice.drills.models import Area
from practice.weeks import queries as weeks
from practice.weeks.models import Excusal, Part, Week
from shared.people.models import Student
from shared.site.prepared import columns_of, made_of

WEEKS_BACK = 6
MOST_PHASES = 30
MOST_RAMPS = 200
MOST_EVENTS = 120
MOST_EXCUSALS = 100
COMPETITION = Event.Kind.COMPETITION


@dataclass(frozen=True, slots=True)
class Season:
    """All rows of one student's season."""

    student: Student
    today: date
    opens: date
    plan: SeasonPlan | None
    phases: list[Phase]
    priorities: list[Priority]
    ramps: list[RampRow]
    events: list[Event]
    excusals: list[Excusal]
    # Of the events one that stands on the student's own page only.
    noted: Event | None

    @property
    def away(self) -> set[date]:
        """Excused days from half a year back to the end of what is planned."""
        return {
            span.first + timedelta(days=n)
            for span in self.excusals
            for n in range((span.last - span.first).days + 1)
        }

    def share_of(self) -> ShareOf:
        away = self.away
        events = {day for event in self.events if event.kind == COMPETITION for day in _days(event)}
        return lambda opens: share_of_week(opens, away, events, EVENT_SHARE)


def _days(span: Event) -> list[date]:
    return [span.first + timedelta(days=n) for n in range((span.last - span.first).days + 1)]


def read_season(student: Student, today: date) -> Season:
    """Five queries, however long the season: plan with phases, priorities, ramps, events, away."""
    opens = weeks.this_opening(student)
    plan, phases = _plan_and_phases(student)
    since = opens - 26 * WEEK
    # The foreign keys are named so that a student without a plan costs the same.
    mine = {"plan__student": student}
    ramps = AreaRamp.objects.filter(**mine).order_by("-opens")
    spans = Excusal.objects.filter(student=student, withdrawn_at=None, last__gte=since)
    events = list(
        Event.objects.filter(student=student, last__gte=since).order_by("first", "name")[
            :MOST_EVENTS
        ]
    )
    noted = _noted(student, today, events)
    return Season(
        student=student,
        today=today,
        opens=opens,
        plan=plan,
        phases=phases,
        priorities=list(
            Priority.objects.filter(**mine).select_related("drill__current").order_by("place")
        ),
        ramps=[ramp_row(row) for row in ramps[:MOST_RAMPS]],
        events=sorted([*events, noted], key=lambda e: e.first) if noted else events,
        excusals=list(spans.order_by("first")[:MOST_EXCUSALS]),
        noted=noted,
    )


def _plan_and_phases(student: Student) -> tuple[SeasonPlan | None, list[Phase]]:
    rows = SeasonPlan.objects.filter(student=student).order_by("phases__first")
    both = columns_of(("", SeasonPlan), ("phases__", Phase))
    made = [tuple(made_of(row, SeasonPlan, Phase)) for row in rows.values_list(*both)[:MOST_PHASES]]
    if not made:
        return None, []
    return made[0][0], [phase for _, phase in made if phase.pk is not None]


def stands_now(student: Student, today: date) -> tuple[Phase | None, list[Priority]]:
    """The phase of that day, and what the season is about, in order. One query."""
    is_now = Q(phases__first__lte=today, phases__last__gte=today)
    rows = (
        SeasonPlan.objects.filter(student=student)
        .annotate(now=FilteredRelation("phases", condition=is_now))
        .order_by("now__pk", "priorities__place")
        .values_list(*columns_of(("now__", Phase), ("priorities__", Priority)))
    )
    made = [tuple(made_of(row, Phase, Priority)) for row in rows[:MOST_PHASES]]
    if not made:
        return None, []
    phase = made[0][0] if made[0][0].pk is not None else None
    first = made[0][0].pk
    return phase, [about for at, about in made if about.pk is not None and at.pk == first]


def _noted(student: Student, today: date, events: Sequence[Event]) -> Event | None:
    """The next event written on the student's page before there were seasons."""
    day = student.next_event
    if day is None or day < today or any(event.first == day for event in events):
        return None
    name = student.next_event_name or "Event"
    return Event(student=student, kind=COMPETITION, name=name, first=day, last=day)


def ramp_row(row: AreaRamp) -> RampRow:
    return RampRow(
        area=row.area,
        opens=row.opens,
        start=row.start_minutes,
        target=row.target_minutes,
        due=row.due,
        cap=row.cap_percent,
        lighter_every=row.lighter_every,
        lighter=row.lighter_percent,
    )


def read_tallies(student: Student, opens: date) -> dict[date, WeekTally]:
    """This week and those before it, by opening day. One query."""
    since = opens - WEEKS_BACK * WEEK
    rows = WeekTally.objects.filter(student=student, opens__range=(since, opens))
    return {row.opens: row for row in rows}


# --- gym, and hard golf beside it ---------------------------------------------------------


def read_gym(student: Student, first: date, last: date) -> dict[date, GymLine]:
    """The gym strip of these days. One query."""
    rows = GymDay.objects.filter(student=student, day__range=(first, last))
    return {row.day: gym_line(row) for row in rows}


def gym_line(row: GymDay) -> GymLine:
    return GymLine(GymLoad(row.load), Body(row.body), row.jumps)


def read_golf(
    student: Student, first: date, last: date, events: Iterable[Event] | None = None
) -> list[HardGolf]:
    """Days fixed for speed work in sent weeks, test days and competitions. Two queries, one with
    the `events` as this page has read them."""
    return golf_of([student], first, last, events).get(student.pk, [])


def golf_of(
    students: Iterable[Student], first: date, last: date, events: Iterable[Event] | None = None
) -> dict[Any, list[HardGolf]]:
    """`read_golf` of many, by student id. As many queries."""
    ids = [student.pk for student in students]
    found: dict[Any, list[HardGolf]] = {pk: [] for pk in ids}
    parts = Part.objects.filter(
        week__student__in=ids,
        week__state=Week.State.SENT,
        week__opens__range=(first - timedelta(days=6), last),
        removed_at=None,
    ).select_related("week", "revision")
    for part in parts[:4000]:
        for offset in part.days if is_speed(part.revision.area, part.dose) else ():
            day = part.week.opens + timedelta(days=offset)
            if first <= day <= last:
                found[part.week.student_id].append(HardGolf(day, part.revision.name))
    if events is None:
        near = Event.objects.filter(student__in=ids, first__lte=last, last__gte=first)
        events = near.order_by("first")[:1000]
    for event in events:
        is_test = event.kind == Event.Kind.TEST
        found[event.student_id] += [
            HardGolf(day, event.name, is_speed=is_test)
            for day in _days(event)
            if first <= day <= last
        ]
    return found


def is_speed(area: str, dose: str) -> bool:
    """Whether a part is hard speed work: of the area speed, or swung as hard as one can."""
    read = dose_of(dose)
    return area == Area.SPEED or bool(read and any(s.as_hard_as_you_can for s in read.steps))


def read_days(student: Student) -> list[PracticeDay]:
    """The student's own days, from Monday. One query."""
    return list(PracticeDay.objects.filter(student=student).order_by("weekday", "place"))


def competitions_between(students: UUID, first: date, last: date) -> QuerySet[Event]:
    """Those that the limits of a week ask about; in no order, to stand beside other rows."""
    near = Event.objects.filter(student__in=[students], first__lte=last, last__gte=first)
    return near.filter(kind=COMPETITION).order_by()


def competition_in(events: Sequence[Event], opens: date) -> Event | None:
    """The first competition of a week."""
    closes = opens + WEEK - timedelta(days=1)
    return next(
        (e for e in events if e.kind == COMPETITION and e.first <= closes and e.last >= opens), None
    )
