"""What was asked and done of each part, and what its tests said: rows read, nothing judged."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from practice.coach_counts.models import CheckedCount
from practice.compliance.dates import first_week_of
from practice.compliance.hurting import hurting
from practice.compliance.limits import limits_of
from practice.compliance.models import WeekTally
from practice.drills.models import Area, Drill
from practice.log.models import Result
from practice.measures.usual import UsualPrior
from practice.numbers.speed.queries import SpeedFacts, read_speeds
from practice.shots.models import Shot
from practice.shots.studio_days import usual_days
from shared.people.models import Student

WEEKS = 26
LATELY = 4  # Open weeks that the done share looks at (house rule: three at least).
MOST = 4000


@dataclass(frozen=True, slots=True)
class AskedWeek:
    """One closed week in which the part was asked and open: minutes asked, and credited."""

    opens: date
    asked: float
    credited: float


@dataclass(frozen=True, slots=True)
class DayCount:
    """Clean (or made) of tries on one day; `step` tells tries that may be compared."""

    day: date
    step: str
    clean: int
    tries: int
    is_checked: bool


@dataclass(frozen=True, slots=True)
class DayMiss:
    """Metres off the called distance, ball by ball, on one day."""

    day: date
    misses: tuple[float, ...]
    is_seen: bool
    places: frozenset[str] = frozenset()


@dataclass(slots=True)
class AskedDrill:
    """One drill that was asked lately, with its weeks (oldest first) and its test."""

    drill_id: UUID
    name: str
    priority: int
    weeks: list[AskedWeek]
    test_id: UUID | None
    test_name: str
    test_is_speed: bool
    this_week: AskedWeek | None = None  # Open now, and in no share yet.
    minutes: dict[date, float] = field(default_factory=dict)
    from_memory: int = 0
    entries: int = 0
    counts: list[DayCount] = field(default_factory=list)
    misses: list[DayMiss] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class MovedFacts:
    parts: tuple[AskedDrill, ...]
    speeds: SpeedFacts | None
    usual: UsualPrior
    # The drills with which something hurt on both of the last days, or that are stopped.
    hurting: frozenset[UUID] = frozenset()


def read_moved(student: Student, today: date) -> MovedFacts:
    """The parts of the last four open weeks, and half a year of their tests.

    At most fourteen queries, however long the history: 1 tallies, 2 drills with their tests,
    3 results, 4 coach's counts, 5 test balls, 6 how much days here differ, 7 limits and after a
    pain 8 its days, and 9 to 14 the speed tests where one of them is a part's test.
    """
    since = today - timedelta(weeks=WEEKS)
    parts = _parts(*_asked(student, since, today))
    _add_results(parts, student, since, today)
    _add_checks(parts, student, since, today)
    _add_misses(parts, student, since, today)
    speeds = read_speeds(student, today) if any(p.test_is_speed for p in parts) else None
    return MovedFacts(tuple(parts), speeds, usual_days(student), _not_now(student, parts))


def _not_now(student: Student, parts: list[AskedDrill]) -> frozenset[UUID]:
    if not parts:
        return frozenset()
    limits, asked = limits_of(student), [part.drill_id for part in parts]
    stopped = {stop.drill for stop in limits.stops if stop.drill}
    return frozenset(hurting(student, asked, limits)) | stopped.intersection(asked)


def read_trial(
    student: Student, drill: Drill, test: Drill, since: date, until: date
) -> tuple[AskedDrill, SpeedFacts | None]:
    """One drill, asked or not, and one test, which need not be its own. At most nine queries."""
    area = test.current.area if test.current else ""
    part = AskedDrill(drill.pk, str(drill), 1, [], test.pk, str(test), area == Area.SPEED)
    _add_results([part], student, since, until)
    _add_checks([part], student, since, until)
    _add_misses([part], student, since, until)
    return part, read_speeds(student, until) if part.test_is_speed else None


def _asked(
    student: Student, since: date, today: date
) -> tuple[dict[UUID, tuple[int, list[AskedWeek]]], dict[UUID, AskedWeek]]:
    """Per drill asked in the last four open weeks: its latest priority, and its weeks; and what
    is asked and credited in the week that has not closed."""
    rows = WeekTally.objects.filter(
        student=student, has_plan=True, opens__gte=since, opens__lte=today
    )
    this_week: dict[UUID, AskedWeek] = {}
    weeks: dict[UUID, list[AskedWeek]] = defaultdict(list)
    priority: dict[UUID, int] = {}
    open_weeks = []
    for opens, parts in rows.order_by("opens").values_list("opens", "parts"):
        shared_out = _by_drill(parts)
        if opens > today - timedelta(weeks=1):
            for drill_id, (_, asked, credited) in shared_out.items():
                this_week[drill_id] = AskedWeek(opens, asked, credited)
            continue
        if shared_out:
            open_weeks.append(opens)
        for drill_id, (rank, asked, credited) in shared_out.items():
            weeks[drill_id].append(AskedWeek(opens, asked, credited))
            priority[drill_id] = rank
    lately = set(open_weeks[-LATELY:])
    told = {
        drill_id: (priority[drill_id], found)
        for drill_id, found in weeks.items()
        if found[-1].opens in lately
    }
    return told, this_week


def _by_drill(parts: Iterable[dict[str, Any]]) -> dict[UUID, tuple[int, float, float]]:
    """Priority, asked and credited minutes of each drill of a week; excused parts left out."""
    found: dict[UUID, tuple[int, float, float]] = {}
    for part in parts:
        if part["credit"] is None or part["removed"] or not part["asked_minutes"]:
            continue
        drill_id = UUID(part["drill"])
        rank, asked, credited = found.get(drill_id, (part["priority"], 0.0, 0.0))
        found[drill_id] = (
            min(rank, part["priority"]),
            asked + part["asked_minutes"],
            credited + part["asked_minutes"] * part["credit"],
        )
    return found


def _parts(
    asked: dict[UUID, tuple[int, list[AskedWeek]]], this_week: dict[UUID, AskedWeek]
) -> list[AskedDrill]:
    drills = Drill.objects.filter(pk__in=list(asked), is_test=False).values_list(
        "pk",
        "current__name",
        "tested_by",
        "tested_by__current__name",
        "tested_by__current__area",
    )
    parts = [
        AskedDrill(
            pk,
            name or "a drill",
            *asked[pk],
            test,
            test_name or "",
            area == Area.SPEED,
            this_week.get(pk),
        )
        for pk, name, test, test_name, area in drills
    ]
    return sorted(parts, key=lambda part: (part.priority, part.name, str(part.drill_id)))


def _add_results(parts: list[AskedDrill], student: Student, since: date, today: date) -> None:
    """Minutes of each part by day, and what the student counted in its test."""
    by_drill = {part.drill_id: part for part in parts}
    by_test = _by_test(parts)
    rows = Result.objects.filter(
        student=student,
        opens__gte=first_week_of(since),
        entry__counts=True,
        entry__day__gte=since,
        entry__day__lte=today,
    ).order_by("-entry__day", "pk")
    values = rows.values_list(
        "entry__day",
        "entry__from_memory",
        "drill",
        "part__drill",
        "part__revision__seconds_per_rep",
        "minutes",
        "steps",
    )
    for day, from_memory, drill, asked, pace, minutes, steps in values[:MOST]:
        done = drill or asked
        if (part := by_drill.get(done)) is not None:
            part.entries += 1
            part.from_memory += from_memory
            spent = _minutes(minutes, steps, pace or 30)
            part.minutes[day] = part.minutes.get(day, 0.0) + spent
        if not from_memory:
            for part in by_test.get(done, ()):
                part.counts += _counts(day, steps)


def _by_test(parts: list[AskedDrill]) -> dict[UUID, list[AskedDrill]]:
    found: dict[UUID, list[AskedDrill]] = defaultdict(list)
    for part in parts:
        if part.test_id is not None:
            found[part.test_id].append(part)
    return found


def _minutes(minutes: float | None, steps: list[dict[str, Any]], pace: float) -> float:
    if minutes is not None:
        return minutes
    return sum(step.get("n") or 0 for step in steps) * pace / 60


def _counts(day: date, steps: list[dict[str, Any]]) -> list[DayCount]:
    counts = []
    for index, step in enumerate(steps):
        tries, clean = step.get("n") or 0, step.get("clean")
        if tries and clean is not None:
            label = str(step.get("effort") or f"step {index + 1}")
            counts.append(DayCount(day, label, min(clean, tries), tries, is_checked=False))
    return counts


def _add_checks(parts: list[AskedDrill], student: Student, since: date, today: date) -> None:
    """What a coach counted: of the test, or of the part itself where no test is named."""
    by_checked: dict[UUID, list[AskedDrill]] = defaultdict(list)
    for part in parts:
        by_checked[part.test_id or part.drill_id].append(part)
    rows = CheckedCount.objects.filter(
        student=student,
        counts=True,
        drill__in=list(by_checked),
        day__gte=since,
        day__lte=today,
    ).order_by("-day", "pk")
    values = rows.values_list("drill", "day", "effort", "clean_reps", "reps")
    for drill, day, effort, clean, reps in values[:MOST]:
        for part in by_checked[drill]:
            part.counts.append(DayCount(day, str(effort), clean, reps, is_checked=True))


def _add_misses(parts: list[AskedDrill], student: Student, since: date, today: date) -> None:
    """How far each test ball of a called distance ended from it."""
    by_test = _by_test(parts)
    rows = Shot.objects.filter(
        student=student,
        carry__isnull=False,
        target__isnull=False,
        sitting__counts=True,
        sitting__from_memory=False,
        sitting__drill__in=[part.test_id for part in parts if part.test_id is not None],
        sitting__day__gte=since,
        sitting__day__lte=today,
    ).order_by("-sitting__day", "pk")
    found: dict[tuple[UUID, date], list[float]] = defaultdict(list)
    seen: set[tuple[UUID, date]] = set()
    places: dict[tuple[UUID, date], set[str]] = defaultdict(set)
    values = rows.values_list(
        "sitting__drill", "sitting__day", "sitting__evidence", "sitting__place", "carry", "target"
    )
    for drill, day, evidence, place, carry, target in values[:MOST]:
        if drill is None or carry is None or target is None:
            continue
        found[drill, day].append(abs(carry - target))
        if place:
            places[drill, day].add(place)
        if evidence == "seen":
            seen.add((drill, day))
    for (drill, day), misses in found.items():
        for part in by_test[drill]:
            where = frozenset(places[drill, day])
            part.misses.append(DayMiss(day, tuple(misses), (drill, day) in seen, where))
