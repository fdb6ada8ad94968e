"""What the pages of a season stand on, read at a fixed number of queries."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.db.models import DateField, FilteredRelation, Q, QuerySet, UUIDField

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
from shared.site.prepared import Prepared, columns_of, made_of
from shared.site.together import Question, Rows, together

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
    """All of it in one query, however long the season."""
    return season_asked(student, today).answer


def season_asked(student: Student, today: date) -> Question[Season]:
    """The same, to be asked with others: plan with phases, priorities, ramps, events, away."""
    own = {"student": student.pk}
    since = weeks.this_opening(student) - 26 * WEEK
    return Question(
        lambda *rows: _season(student, today, *rows),
        Rows(_plans, **own),
        Rows(_priorities, **own),
        Rows(_ramps, **own),
        Rows(_events, **own, since=since),
        Rows(_spans, **own, since=since),
    )


def _season(student: Student, today: date, plans: list[Any], *rows: list[Any]) -> Season:
    priorities, ramps, events, spans = rows
    made = [tuple(made_of(row, SeasonPlan, Phase)) for row in plans]
    noted = _noted(student, today, events)
    return Season(
        student=student,
        today=today,
        opens=weeks.this_opening(student),
        plan=made[0][0] if made else None,
        phases=[phase for _, phase in made if phase.pk is not None],
        priorities=priorities,
        ramps=[ramp_row(row) for row in ramps],
        events=sorted([*events, noted], key=lambda e: e.first) if noted else events,
        excusals=spans,
        noted=noted,
    )


# The foreign keys are named so that a student without a plan costs the same.
_OWN: dict[str, Any] = {"student": UUIDField}
_plans = Prepared(
    lambda student: (
        SeasonPlan.objects.filter(student=student)
        .order_by("phases__first")
        .values_list(*columns_of(("", SeasonPlan), ("phases__", Phase)))[:MOST_PHASES]
    ),
    **_OWN,
)
_priorities = Prepared(
    lambda student: (
        Priority.objects.filter(plan__student=student)
        .select_related("drill__current")
        .order_by("place")
    ),
    **_OWN,
)
_ramps = Prepared(
    lambda student: AreaRamp.objects.filter(plan__student=student).order_by("-opens")[:MOST_RAMPS],
    **_OWN,
)
_events = Prepared(
    lambda student, since: Event.objects.filter(student=student, last__gte=since).order_by(
        "first", "name"
    )[:MOST_EVENTS],
    **_OWN,
    since=DateField,
)
_spans = Prepared(
    lambda student, since: Excusal.objects.filter(
        student=student, withdrawn_at=None, last__gte=since
    ).order_by("first")[:MOST_EXCUSALS],
    **_OWN,
    since=DateField,
)


def stands_now(student: Student, today: date) -> tuple[Phase | None, list[Priority]]:
    """The phase of that day, and what the season is about, in order. One query."""
    return stands_asked(student, today).answer


def stands_asked(student: Student, today: date) -> Question[tuple[Phase | None, list[Priority]]]:
    """The same, to be asked with others."""
    return Question(_stands_from, Rows(_stands, student=student.pk, today=today))


def _stands_of(student: UUID, today: date) -> QuerySet[SeasonPlan, Any]:
    is_now = Q(phases__first__lte=today, phases__last__gte=today)
    return (
        SeasonPlan.objects.filter(student=student)
        .annotate(now=FilteredRelation("phases", condition=is_now))
        .order_by("now__pk", "priorities__place")
        .values_list(*columns_of(("now__", Phase), ("priorities__", Priority)))[:MOST_PHASES]
    )


_stands = Prepared(_stands_of, student=UUIDField, today=DateField)


def _stands_from(rows: Iterable[Sequence[Any]]) -> tuple[Phase | None, list[Priority]]:
    made = [tuple(made_of(row, Phase, Priority)) for row in rows]
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


def tallies_asked(student: Student, opens: date) -> Question[dict[date, WeekTally]]:
    """This week and those before it, by opening day, to be asked with others."""
    since = opens - WEEKS_BACK * WEEK
    return Question(
        lambda rows: {row.opens: row for row in rows},
        Rows(_tallies, student=student.pk, since=since, opens=opens),
    )


_tallies = Prepared(
    lambda student, since, opens: WeekTally.objects.filter(
        student=student, opens__range=(since, opens)
    ),
    **_OWN,
    since=DateField,
    opens=DateField,
)


# --- gym, and hard golf beside it ---------------------------------------------------------


def read_gym(student: Student, first: date, last: date) -> dict[date, GymLine]:
    """The gym strip of these days. One query."""
    return gym_asked(student, first, last).answer


def gym_asked(student: Student, first: date, last: date) -> Question[dict[date, GymLine]]:
    """The same, to be asked with others."""
    return Question(
        lambda rows: {row.day: gym_line(row) for row in rows},
        Rows(_gym, student=student.pk, first=first, last=last),
    )


_gym = Prepared(
    lambda student, first, last: GymDay.objects.filter(student=student, day__range=(first, last)),
    **_OWN,
    first=DateField,
    last=DateField,
)


def gym_line(row: GymDay) -> GymLine:
    return GymLine(GymLoad(row.load), Body(row.body), row.jumps)


def read_golf(student: Student, first: date, last: date) -> list[HardGolf]:
    """Days fixed for speed work in sent weeks, test days and competitions. One query."""
    return golf_of([student], first, last).get(student.pk, [])


def golf_of(students: Iterable[Student], first: date, last: date) -> dict[Any, list[HardGolf]]:
    """`read_golf` of many, by student id. One query."""
    ids = [student.pk for student in students]
    if not ids:
        return {}
    parts = parts_asked(ids, first, last)
    events = Rows(_golf_events, students=ids, first=first, last=last)
    together(parts, events)
    return golf_from(parts.answer, events.answer, first, last)


def parts_asked(students: Iterable[UUID], first: date, last: date) -> Rows:
    """The parts of `golf_from`, to be asked with others."""
    since = first - timedelta(days=6)
    return Rows(_golf_parts, students=list(students), since=since, last=last)


_golf_parts = Prepared(
    lambda students, since, last: Part.objects.filter(
        week__student__in=[students],
        week__state=Week.State.SENT,
        week__opens__range=(since, last),
        removed_at=None,
    ).select_related("week", "revision")[:4000],
    students=UUIDField,
    since=DateField,
    last=DateField,
)
_golf_events = Prepared(
    lambda students, first, last: Event.objects.filter(
        student__in=[students], first__lte=last, last__gte=first
    ).order_by("first")[:1000],
    students=UUIDField,
    first=DateField,
    last=DateField,
)


def golf_from(
    parts: Iterable[Part], events: Iterable[Event], first: date, last: date
) -> dict[Any, list[HardGolf]]:
    """By student id."""
    found: dict[Any, list[HardGolf]] = defaultdict(list)
    for part in parts:
        for offset in part.days if is_speed(part.revision.area, part.dose) else ():
            day = part.week.opens + timedelta(days=offset)
            if first <= day <= last:
                found[part.week.student_id].append(HardGolf(day, part.revision.name))
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
    return days_asked(student).answer


def days_asked(student: Student) -> Rows:
    """The same, to be asked with others."""
    return Rows(_own_days, student=student.pk)


_own_days = Prepared(
    lambda student: PracticeDay.objects.filter(student=student).order_by("weekday", "place"),
    **_OWN,
)


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
