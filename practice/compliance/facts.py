"""What one student-week's tally is made from, read whole: now, or as it was known at an instant."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import DateField, Field, OuterRef, Q, QuerySet, Subquery, UUIDField

from practice.care.models import PainNote, Stop
from practice.drills.models import DrillRevision
from practice.log.models import AcceptedSwap, Entry, Result
from practice.weeks.models import Excusal, Part, Week
from practice.weeks.parts import CHANGING
from shared.kit.weeks import DAYS_IN_WEEK
from shared.people.models import Student
from shared.site.prepared import Prepared

CLOSES = timedelta(days=DAYS_IN_WEEK - 1)
SECONDS_A_BALL = 30  # Common practice, no source.
CHAINED = (Entry.Kind.LOG, Entry.Kind.CHANGE, Entry.Kind.TAKE_BACK)


class ToldEntry(NamedTuple):
    """A counting entry of the week's days: when it was done and written, the pain told with it."""

    day: date
    at: datetime
    # When the first entry of its chain was written.
    first_at: datetime
    utc_offset_minutes: int
    pain: int | None


class DoneBlock(NamedTuple):
    """One block of a counting entry: a result beside what its entry says of it."""

    pk: int
    entry: UUID
    root: UUID
    day: date
    received_at: datetime
    # Minutes of the whole entry.
    whole: float | None
    opens: date
    filed: str
    part: UUID | None
    drill: UUID | None
    what: str
    steps: list[dict[str, Any]]
    minutes: float | None
    balls: int
    hard_swings: int
    as_asked: bool
    stopped: bool
    # What its drill said when the entry came in; read only where no part of the week says it.
    dose: str = ""
    seconds_per_rep: float = SECONDS_A_BALL
    # It was on no list; a coach has accepted it afterwards.
    accepted: bool = False


class WeekPart(NamedTuple):
    """A part of a sent week, with what its week and its drill's wording say."""

    pk: UUID
    drill: UUID
    priority: int
    dose: str
    dose_asked: str
    sessions: int
    sessions_asked: int | None
    by_total: bool
    days: list[int]
    minutes: float
    added_by: UUID
    added_on: date | None
    removed_at: datetime | None
    # What it said before each change.
    before: list[dict[str, Any]]
    # The drills that may be done instead.
    swaps: list[str]
    published_on: date | None
    name: str
    area: str
    seconds_per_rep: float
    needs_ball: bool


class WeekStop(NamedTuple):
    """A stop; without a drill, of all hard work."""

    drill: UUID | None
    since: date
    cleared_on: date | None


_ASKED = (
    *WeekPart._fields[:-5], "week__published_on", "revision__name", "revision__area",
    "revision__seconds_per_rep", "revision__needs_ball",
)  # fmt: skip
_OF_A_WEEK: dict[str, "type[Field[Any, Any]]"] = {"student": UUIDField, "opens": DateField}
_OF_DAYS = _OF_A_WEEK | {"closes": DateField}
_DONE = (
    "pk", "entry", "entry__root", "entry__day", "entry__received_at", "entry__minutes", "opens",
    "filed", "part", "drill", "what", "steps", "minutes", "balls", "hard_swings", "as_asked",
    "stopped",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class WeekFacts:
    """Rows that bear on one student-week; superseded and taken-back entries are not among them.

    `results` are those of the week; `neighbours` holds, per entry, all of its results,
    since minutes may have been given for the whole entry only.
    """

    opens: date
    parts: Sequence[WeekPart]
    results: Sequence[DoneBlock]
    neighbours: dict[UUID, list[DoneBlock]]
    entries: Sequence[ToldEntry]
    excused: frozenset[int]
    stops: Sequence[WeekStop]
    pain: int | None


def read_week(student: Student, opens: date, as_of: datetime | None = None) -> WeekFacts:
    """Five queries, however much was logged; with `as_of` seven.

    1 parts, 2 results, 3 entries of its days with their pain, 4 excusals, 5 stops. With
    `as_of` two find what counted then among results and entries. Where work was not asked
    for, two more: swaps accepted, and what drills said; where an entry was changed, one.
    """
    parts = _parts(student, opens, as_of)
    done = _results(student, opens, as_of)
    results = _worded(_accept_swaps(done, student, parts, opens, as_of), parts)
    entries = _entries(student, opens, as_of)
    return WeekFacts(
        opens=opens,
        parts=parts,
        results=[result for result in results if result.opens == opens],
        neighbours=_by_entry(results),
        entries=entries,
        excused=_excused(student, opens, as_of),
        stops=_stops(student, opens, as_of),
        pain=max((entry.pain for entry in entries if entry.pain is not None), default=None),
    )


def _sent_parts(student: UUID, opens: date) -> QuerySet[Part, Any]:
    sent = {"week__student": student, "week__opens": opens, "week__state": Week.State.SENT}
    parts = Part.objects.filter(**sent).order_by("priority", "added_at", "pk")
    return parts.values_list(*_ASKED)


_parts_now = Prepared(_sent_parts, **_OF_A_WEEK)


def _parts(student: Student, opens: date, as_of: datetime | None) -> list[WeekPart]:
    """Parts of a sent week in priority order. Those taken off are here too."""
    if as_of is None:
        return [WeekPart(*row) for row in _parts_now(student=student.pk, opens=opens)]
    parts = _sent_parts(student.pk, opens).filter(week__sent_at__lte=as_of, added_at__lte=as_of)
    stood = [as_it_stood(WeekPart(*row), as_of) for row in parts]
    return sorted(stood, key=lambda part: part.priority)


def as_it_stood(part: WeekPart, at: datetime) -> WeekPart:
    """The part with the values that it had at that moment."""
    earlier = [was for was in part.before if datetime.fromisoformat(was["until"]) > at]
    values = {name: earlier[0][name] for name in CHANGING} if earlier else {}
    return part._replace(before=part.before[: len(part.before) - len(earlier)], **values)


def _swaps(student: UUID, opens: date) -> QuerySet[AcceptedSwap, Any]:
    parts = Part.objects.filter(week__student=student, week__opens=opens)
    swaps = AcceptedSwap.objects.filter(part__in=parts.values("pk"))
    return swaps.values_list("root", "work", "part")


_swaps_now = Prepared(lambda **week: _swaps(**week).filter(withdrawn_at=None), **_OF_A_WEEK)


def _accepted(
    student: Student, opens: date, as_of: datetime | None
) -> dict[tuple[UUID, str], UUID]:
    """Of each session and work, which part of the week a coach lets it count for."""
    if as_of is None:
        swaps = _swaps_now(student=student.pk, opens=opens)
    else:
        known = Q(withdrawn_at=None) | Q(withdrawn_at__gt=as_of)
        swaps = list(_swaps(student.pk, opens).filter(known, at__lte=as_of))
    return {(root, work): part for root, work, part in swaps}


def work_of(drill: UUID | None, what: str) -> str:
    """What a coach accepts it as: its drill, or its kind."""
    return str(drill or what)


def _accept_swaps(
    results: list[DoneBlock],
    student: Student,
    parts: Sequence[WeekPart],
    week: date,
    as_of: datetime | None,
) -> list[DoneBlock]:
    """Let accepted work count for its part, here in memory; what was logged stays as it was."""
    if not parts or all(result.part for result in results):
        return results
    here = {part.pk for part in parts}
    accepted = _accepted(student, week, as_of)
    return [
        result._replace(part=part, filed=Result.Filed.IN_WEEK, accepted=True)
        if result.part is None
        and (part := accepted.get((result.root, work_of(result.drill, result.what)))) in here
        else result
        for result in results
    ]


def _done(student: UUID, opens: date) -> QuerySet[Result, Any]:
    own = Result.objects.filter(student=student, opens=opens)
    # The entries of this week lead to their results; a student's whole life would too, slowly.
    results = Result.objects.filter(entry__in=own.values("entry"))
    return results.order_by("entry__at", "entry", "position").values_list(*_DONE)


_done_now = Prepared(lambda **week: _done(**week).filter(entry__counts=True), **_OF_A_WEEK)


def _results(student: Student, opens: date, as_of: datetime | None) -> list[DoneBlock]:
    """Results of every counting entry with at least one in this week."""
    if as_of is None:
        return [DoneBlock(*row) for row in _done_now(student=student.pk, opens=opens)]
    own = Result.objects.filter(student=student, opens=opens)
    roots = Entry.objects.filter(pk__in=own.values("entry")).values("root")
    counting = counting_at(student, Q(root__in=roots), as_of)
    return [DoneBlock(*row) for row in _done(student.pk, opens).filter(entry__in=counting)]


def _worded(results: list[DoneBlock], parts: Sequence[WeekPart]) -> list[DoneBlock]:
    """What a drill said when the entry came in, so that editing it rewrites no tally."""
    here = {part.pk for part in parts}
    drills = {result.drill for result in results if result.drill and result.part not in here}
    if not drills:
        return results
    written = DrillRevision.objects.filter(drill__in=drills).order_by("number")
    wordings = defaultdict(list)
    for drill, *wording in written.values_list("drill", "written_at", "dose", "seconds_per_rep"):
        wordings[drill].append(wording)
    return [
        _said(result, wordings[result.drill])
        if result.drill and result.part not in here
        else result
        for result in results
    ]


def _said(result: DoneBlock, wordings: list[list[Any]]) -> DoneBlock:
    """With the last wording of its drill by then; with the first where there was none."""
    then = [wording for wording in wordings if wording[0] <= result.received_at]
    _, dose, pace = then[-1] if then else wordings[0]
    return result._replace(dose=dose or "", seconds_per_rep=pace or SECONDS_A_BALL)


def _of_days(student: UUID, opens: date, closes: date) -> QuerySet[Entry, Any]:
    worst = PainNote.objects.filter(entry=OuterRef("pk")).order_by("-level").values("level")[:1]
    entries = Entry.objects.filter(student=student, day__gte=opens, day__lte=closes)
    told = entries.annotate(pain=Subquery(worst)).order_by("day", "at", "pk")
    return told.values_list("pk", "root", "day", "at", "utc_offset_minutes", "pain")


_of_days_now = Prepared(lambda **days: _of_days(**days).filter(counts=True), **_OF_DAYS)


def _entries(student: Student, opens: date, as_of: datetime | None) -> list[ToldEntry]:
    """Counting entries of the week's days."""
    closes = opens + CLOSES
    if as_of is None:
        rows = _of_days_now(student=student.pk, opens=opens, closes=closes)
    else:
        roots = Entry.objects.filter(student=student, day__gte=opens, day__lte=closes).values(
            "root"
        )
        counting = counting_at(student, Q(root__in=roots), as_of)
        rows = list(_of_days(student.pk, opens, closes).filter(pk__in=counting))
    changed = [root for pk, root, *_ in rows if root != pk]
    begun = dict(Entry.objects.filter(pk__in=changed).values_list("pk", "at")) if changed else {}
    return [
        ToldEntry(day, at, begun.get(root, at), offset, pain)
        for _, root, day, at, offset, pain in rows
    ]


def counting_at(student: Student, chains: Q, as_of: datetime) -> list[UUID]:
    """Of each chain the latest entry received by then, unless that took it back."""
    rows = Entry.objects.filter(
        chains, student=student, kind__in=CHAINED, received_at__lte=as_of
    ).order_by("received_at", "counts", "pk")
    latest = {root: (pk, kind) for pk, root, kind in rows.values_list("pk", "root", "kind")}
    return [pk for pk, kind in latest.values() if kind != Entry.Kind.TAKE_BACK]


def _by_entry(results: Sequence[DoneBlock]) -> dict[UUID, list[DoneBlock]]:
    groups: dict[UUID, list[DoneBlock]] = defaultdict(list)
    for result in results:
        groups[result.entry].append(result)
    return dict(groups)


def _spans(student: UUID, opens: date, closes: date) -> QuerySet[Excusal, Any]:
    spans = Excusal.objects.filter(student=student, first__lte=closes, last__gte=opens)
    return spans.values_list("first", "last")


_spans_now = Prepared(lambda **days: _spans(**days).filter(withdrawn_at=None), **_OF_DAYS)


def _excused(student: Student, opens: date, as_of: datetime | None) -> frozenset[int]:
    closes = opens + CLOSES
    if as_of is None:
        spans = _spans_now(student=student.pk, opens=opens, closes=closes)
    else:
        known = Q(withdrawn_at=None) | Q(withdrawn_at__gt=as_of)
        spans = list(_spans(student.pk, opens, closes).filter(known, told_at__lte=as_of))
    return frozenset(
        offset
        for first, last in spans
        for offset in range(DAYS_IN_WEEK)
        if first <= opens + timedelta(days=offset) <= last
    )


def _bearing(student: UUID, opens: date, closes: date) -> QuerySet[Stop, Any]:
    stops = Stop.objects.filter(
        Q(cleared_on=None) | Q(cleared_on__gte=opens), student=student, since__lte=closes
    )
    found = stops.order_by("since", "pk")
    return found.values_list("drill", "since", "cleared_on", "cleared_at")


_bearing_now = Prepared(_bearing, **_OF_DAYS)


def _stops(student: Student, opens: date, as_of: datetime | None) -> list[WeekStop]:
    """Stops that bear on the week. A clearing that was not yet known has not happened."""
    closes = opens + CLOSES
    if as_of is None:
        rows = _bearing_now(student=student.pk, opens=opens, closes=closes)
        return [WeekStop(*row[:3]) for row in rows]
    known = Q(pain=None) | Q(pain__told_at__lte=as_of)
    return [
        WeekStop(drill, since, None if cleared_at and cleared_at > as_of else cleared_on)
        for drill, since, cleared_on, cleared_at in _bearing(student.pk, opens, closes).filter(
            known
        )
    ]
