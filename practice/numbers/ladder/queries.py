"""Scored reps of one student by drill and effort: logged, coach-checked, and shot by shot."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import (
    Case,
    DateField,
    F,
    IntegerChoices,
    IntegerField,
    JSONField,
    QuerySet,
    UUIDField,
    Value,
    When,
)
from django.db.models.functions import Cast, Coalesce

from practice.coach_counts.models import CheckedCount
from practice.compliance.dates import first_week_of
from practice.compliance.parts import dose_of
from practice.log.models import Result
from practice.measures.usual import DaySpread, UsualPrior
from practice.numbers.ladder.steps import Count
from practice.shots.models import Shot
from practice.shots.studio_days import usual_asked
from shared.people.models import Student
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

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
    is_test: bool = False


@dataclass(frozen=True, slots=True)
class LadderFacts:
    """The drills by name, and how much days of reps differ in the studio."""

    drills: tuple[DrillFacts, ...]
    usual: DaySpread


def read_ladders(student: Student, today: date) -> LadderFacts:
    """Drills with scored reps in the last 21 days. One query."""
    return ladders_asked(student, today).answer


def ladders_asked(
    student: Student, today: date, usual: Question[UsualPrior] | None = None
) -> Question[LadderFacts]:
    """The same, to be asked with others."""
    lately, since = today - DAYS, today - GAP_DAYS
    of = {"student": student.pk, "lately": lately, "weeks": first_week_of(lately)}
    rows = Rows(_read, **of, since=since, until=today)
    return Question(
        lambda rows, usual: _read_from(rows, today, usual), rows, usual or usual_asked(student)
    )


def _read_from(rows: Iterable[Iterable[Any]], today: date, usual: UsualPrior) -> LadderFacts:
    drills: dict[UUID, DrillFacts] = {}
    balls = []
    for row in map(_Scored._make, rows):
        if row.kind == _ToldBy.BALL:
            balls.append((row.drill, row.of, row.clean))
        elif row.drill:
            facts = _facts(drills, row.drill, row.name, row.line)
            facts.is_test = bool(row.is_test)
            _add(facts, row) if row.kind == _ToldBy.LOGGED else _add_check(facts, row, today)
    for drill_id, scored in _sittings(balls).items():
        if drill_id in drills:
            drills[drill_id].sittings = scored
    told = (each for each in drills.values() if each.own or each.checked)
    found = sorted(told, key=lambda each: (each.name, str(each.drill_id)))
    return LadderFacts(tuple(found), usual.reps)


def _facts(
    drills: dict[UUID, DrillFacts], pk: UUID, name: str | None, line: int | None
) -> DrillFacts:
    return drills.setdefault(pk, DrillFacts(pk, name or "a drill", line or 80))


class _ToldBy(IntegerChoices):
    LOGGED, CHECKED, BALL = 1, 2, 3


class _Scored(NamedTuple):
    """One result, one count of a coach or one ball, of its drill and day."""

    kind: int
    drill: UUID | None
    day: date
    # Its entry or sitting, when that was, and which of it this is.
    of: UUID
    at: datetime
    place: int
    name: str | None
    line: int | None
    is_test: int | None
    # Of a result.
    dose: str | None
    steps: list[dict[str, Any]] | None
    as_asked: int
    from_memory: int
    # Of a count: its effort, reps, and what the student counted; a ball is clean or not.
    effort: int
    clean: int
    reps: int
    own: int | None


def _rows(
    student: UUID, lately: date, weeks: date, since: date, until: date
) -> "QuerySet[Any, Any]":
    """What was logged `lately`, in `weeks` from one on, and what coaches counted and balls
    showed `since` then."""
    nobody, unsaid = Cast(Value(None), UUIDField()), Cast(Value(None), IntegerField())
    empty, nothing = Value(""), Cast(Value(None), JSONField())
    logged = Result.objects.filter(
        student=student,
        opens__gte=weeks,
        entry__counts=True,
        entry__day__gt=lately,
        entry__day__lte=until,
    )
    checked = CheckedCount.objects.filter(
        student=student, counts=True, day__gt=since, day__lte=until
    )
    balls = Shot.objects.filter(
        sitting__student=student,
        is_clean__isnull=False,
        sitting__counts=True,
        sitting__from_memory=False,
        sitting__drill__isnull=False,
        sitting__day__gt=since,
    )
    columns: dict[_ToldBy, tuple[Any, ...]] = {
        _ToldBy.LOGGED: (
            Coalesce("drill", "part__drill"), "entry__day", "entry", "entry__at",
            "position", _of_drill("name"), _whole(_of_drill("clean_line")),
            _whole(Coalesce("drill__is_test", "part__drill__is_test")), F("part__dose"),
            "steps", _whole("as_asked"), _whole("entry__from_memory"),
            Value(0), Value(0), Value(0), unsaid,
        ),
        _ToldBy.CHECKED: (
            "drill", "day", nobody, "at", Value(0), F("drill__current__name"),
            _whole("drill__current__clean_line"), _whole("drill__is_test"), empty, nothing,
            Value(0), Value(0), _whole("effort"), _whole("clean_reps"), _whole("reps"),
            _whole("own_clean_reps"),
        ),
        _ToldBy.BALL: (
            "sitting__drill", "sitting__day", "sitting", "sitting__at", "number", empty,
            unsaid, unsaid, empty, nothing, Value(0), Value(0), Value(0), _whole("is_clean"),
            Value(1), unsaid,
        ),
    }  # fmt: skip
    found = [
        rows.order_by().values_list(Value(kind), *columns[kind])
        for kind, rows in zip(_ToldBy, (logged, checked, balls), strict=True)
    ]
    every = found[0].union(*found[1:], all=True)
    return every.order_by("-entry__day", "-entry__at", "entry", "position")[: 3 * MOST]


def _whole(of: Any) -> Cast:
    return Cast(of, IntegerField())


def _of_drill(column: str) -> Case:
    """Of the drill that was named, else of the part's."""
    return Case(
        When(drill__isnull=False, then=F(f"drill__current__{column}")),
        default=F(f"part__drill__current__{column}"),
    )


_read = Prepared(
    _rows, student=UUIDField, lately=DateField, weeks=DateField, since=DateField, until=DateField
)


def _add(facts: DrillFacts, row: _Scored) -> None:
    """Take the scored steps of one result; those from memory or as asked are only counted."""
    counts = list(_counts(row))
    if not counts:
        return
    if row.from_memory:
        facts.from_memory += sum(count.reps for count in counts)
    elif row.as_asked:
        facts.as_asked += sum(count.reps for count in counts)
    else:
        facts.own += counts


def _counts(row: _Scored) -> Iterable[Count]:
    dose = dose_of(row.dose or "")
    asked = dose.steps if dose else ()
    for index, step in enumerate(row.steps or ()):
        reps, clean = step.get("n") or 0, step.get("clean")
        meant = asked[index].effort if index < len(asked) else None
        effort = _effort(step.get("effort"), meant)
        if reps and clean is not None and effort is not None:
            yield Count(effort, min(clean, reps), reps, row.day)


def _effort(felt: int | None, asked: int | None) -> int | None:
    """The step that a rep counts for: the one asked if it was near, else what was felt."""
    if felt is None or (asked is not None and abs(felt - asked) <= NEAR):
        return asked
    return 5 * round(felt / 5)


def _add_check(facts: DrillFacts, row: _Scored, today: date) -> None:
    if row.day > today - DAYS:
        facts.checked.append(Count(row.effort, row.clean, row.reps, row.day))
    if row.own is not None:
        facts.pairs.append((row.own, row.clean, row.reps))


def _sittings(scored: Iterable[tuple[Any, ...]]) -> dict[UUID, list[list[bool]]]:
    """Clean or not of each ball in order, by drill and sitting, newest sitting first."""
    by_sitting: dict[tuple[UUID, UUID], list[bool]] = defaultdict(list)
    for drill_id, sitting_id, is_clean in scored:
        by_sitting[drill_id, sitting_id].append(bool(is_clean))
    by_drill: dict[UUID, list[list[bool]]] = defaultdict(list)
    for (drill_id, _), balls in by_sitting.items():
        by_drill[drill_id].append(balls)
    return by_drill
