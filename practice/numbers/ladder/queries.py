"""Scored reps of one student by drill and effort: logged, coach-checked, and shot by shot."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import DateField, UUIDField

from practice.coach_counts.models import CheckedCount
from practice.compliance.parts import dose_of
from practice.log.models import Result
from practice.measures.usual import DaySpread, UsualPrior
from practice.numbers.ladder.steps import Count
from practice.shots.models import Shot
from practice.shots.studio_days import usual_days
from shared.people.models import Student
from shared.site.prepared import Prepared

DAYS = timedelta(days=21)
GAP_DAYS = timedelta(days=84)
NEAR = 10  # Points: a rep this close to the effort asked counts for that step.
MOST = 4000


@dataclass(slots=True)
class DrillFacts:
    """What is known of one drill. `pairs`: student's clean, coach's clean, reps of a count;
    `sittings`: clean or not, ball by ball, newest sitting first."""

    drill_id: UUID
    name: str
    clean_line: int
    own: list[Count] = field(default_factory=list)
    checked: list[Count] = field(default_factory=list)
    pairs: list[tuple[int, int, int]] = field(default_factory=list)
    sittings: list[list[bool]] = field(default_factory=list)
    as_asked: int = 0
    from_memory: int = 0


@dataclass(frozen=True, slots=True)
class LadderFacts:
    """The drills by name, and how much days of reps differ in the studio."""

    drills: tuple[DrillFacts, ...]
    usual: DaySpread


def read_ladders(student: Student, today: date, usual: UsualPrior | None = None) -> LadderFacts:
    """Drills with scored reps in the last 21 days. Four queries; with `usual` three."""
    since = {"student": student.pk, "since": today - GAP_DAYS}
    results = _results(student=student.pk, since=today - DAYS, until=today)
    checks = _checks(**since, until=today)
    sittings = _sittings(_scored(**since))
    drills: dict[UUID, DrillFacts] = {}
    for row in (dict(zip(RESULT, each, strict=True)) for each in results):
        of = "drill" if row["drill"] else "part__drill"
        if pk := row[of]:
            name, line = row[f"{of}__current__name"], row[f"{of}__current__clean_line"]
            _add(_facts(drills, pk, name, line), row)
    for pk, name, line, *check in checks:
        _add_check(_facts(drills, pk, name, line), _Check(*check), today)
    for drill_id, scored in sittings.items():
        if drill_id in drills:
            drills[drill_id].sittings = scored
    told = (each for each in drills.values() if each.own or each.checked)
    found = sorted(told, key=lambda each: (each.name, str(each.drill_id)))
    return LadderFacts(tuple(found), (usual or usual_days(student)).reps)


def _facts(
    drills: dict[UUID, DrillFacts], pk: UUID, name: str | None, line: int | None
) -> DrillFacts:
    return drills.setdefault(pk, DrillFacts(pk, name or "a drill", line or 80))


RESULT = (
    "drill",
    "part__drill",
    "part__dose",
    "steps",
    "as_asked",
    "entry__day",
    "entry__from_memory",
    "drill__current__name",
    "drill__current__clean_line",
    "part__drill__current__name",
    "part__drill__current__clean_line",
)
_results = Prepared(
    lambda student, since, until: (
        Result.objects.filter(
            student=student, entry__counts=True, entry__day__gt=since, entry__day__lte=until
        )
        .order_by("-entry__day", "entry", "position")
        .values_list(*RESULT)[:MOST]
    ),
    student=UUIDField,
    since=DateField,
    until=DateField,
)


def _add(facts: DrillFacts, row: Any) -> None:
    """Take the scored steps of one result; those from memory or as asked are only counted."""
    counts = list(_counts(row))
    if not counts:
        return
    if row["entry__from_memory"]:
        facts.from_memory += sum(count.reps for count in counts)
    elif row["as_asked"]:
        facts.as_asked += sum(count.reps for count in counts)
    else:
        facts.own += counts


def _counts(row: Any) -> Iterable[Count]:
    dose = dose_of(row["part__dose"] or "")
    asked = dose.steps if dose else ()
    for index, step in enumerate(row["steps"]):
        reps, clean = step.get("n") or 0, step.get("clean")
        meant = asked[index].effort if index < len(asked) else None
        effort = _effort(step.get("effort"), meant)
        if reps and clean is not None and effort is not None:
            yield Count(effort, min(clean, reps), reps, row["entry__day"])


def _effort(felt: int | None, asked: int | None) -> int | None:
    """The step that a rep counts for: the one asked if it was near, else what was felt."""
    if felt is None or (asked is not None and abs(felt - asked) <= NEAR):
        return asked
    return 5 * round(felt / 5)


class _Check(NamedTuple):
    effort: int
    clean_reps: int
    reps: int
    day: date
    own_clean_reps: int | None


_checks = Prepared(
    lambda student, since, until: (
        CheckedCount.objects.filter(student=student, counts=True, day__gt=since, day__lte=until)
        .order_by("-day", "-at")
        .values_list(
            "drill", "drill__current__name", "drill__current__clean_line", *_Check._fields
        )[:MOST]
    ),
    student=UUIDField,
    since=DateField,
    until=DateField,
)


def _add_check(facts: DrillFacts, check: _Check, today: date) -> None:
    if check.day > today - DAYS:
        facts.checked.append(Count(check.effort, check.clean_reps, check.reps, check.day))
    if check.own_clean_reps is not None:
        facts.pairs.append((check.own_clean_reps, check.clean_reps, check.reps))


_scored = Prepared(
    lambda student, since: (
        Shot.objects.filter(
            student=student,
            is_clean__isnull=False,
            sitting__counts=True,
            sitting__from_memory=False,
            sitting__drill__isnull=False,
            sitting__day__gt=since,
        )
        .order_by("-sitting__day", "-sitting__at", "sitting", "number")
        .values_list("sitting__drill", "sitting", "is_clean")[:MOST]
    ),
    student=UUIDField,
    since=DateField,
)


def _sittings(scored: Iterable[tuple[Any, ...]]) -> dict[UUID, list[list[bool]]]:
    """Clean or not of each ball in order, by drill and sitting, newest sitting first."""
    by_sitting: dict[tuple[UUID, UUID], list[bool]] = defaultdict(list)
    for drill_id, sitting_id, is_clean in scored:
        by_sitting[drill_id, sitting_id].append(bool(is_clean))
    by_drill: dict[UUID, list[list[bool]]] = defaultdict(list)
    for (drill_id, _), balls in by_sitting.items():
        by_drill[drill_id].append(balls)
    return by_drill
