"""What one student-week's tally is made from, read whole: now, or as it was known at an instant."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db.models import OuterRef, Q, Subquery
from django.db.models.functions import Coalesce

from practice.care.models import PainNote, Stop
from practice.drills.models import DrillRevision
from practice.log.models import AcceptedSwap, Entry, Result
from practice.weeks.models import Excusal, Part, Week
from practice.weeks.parts import as_it_stood
from shared.kit.weeks import DAYS_IN_WEEK
from shared.people.models import Student

CLOSES = timedelta(days=DAYS_IN_WEEK - 1)
SECONDS_A_BALL = 30  # Common practice, no source.
CHAINED = (Entry.Kind.LOG, Entry.Kind.CHANGE, Entry.Kind.TAKE_BACK)


@dataclass(frozen=True, slots=True)
class WeekFacts:
    """Rows that bear on one student-week; superseded and taken-back entries are not among them.

    `results` are those of the week; `neighbours` holds, per entry, all of its results,
    since minutes may have been given for the whole entry only.
    """

    opens: date
    parts: Sequence[Part]
    results: Sequence[Result]
    neighbours: dict[UUID, list[Result]]
    entries: Sequence[Entry]
    excused: frozenset[int]
    stops: Sequence[Stop]
    pain: int | None


def wording_of(result: Result) -> tuple[str, float]:
    """Dose and seconds a rep of the result's drill when the entry came in."""
    read = vars(result)
    return read["worded_dose"] or "", read["worded_pace"] or SECONDS_A_BALL


def first_written(entry: Entry) -> datetime:
    """When the first entry of its chain was written."""
    return vars(entry)["first_at"] or entry.at


def read_week(student: Student, opens: date, as_of: datetime | None = None) -> WeekFacts:
    """Six queries, however much was logged; with `as_of` eight.

    1 parts, 2 results, 3 swaps accepted, 4 entries of its days with their pain,
    5 excusals, 6 stops. With `as_of`, 7 and 8 find what counted then among results
    and entries.
    """
    parts = _parts(student, opens, as_of)
    results = _results(student, opens, as_of)
    _accept_swaps(results, parts, _accepted(student, opens, as_of))
    entries = _entries(student, opens, as_of)
    return WeekFacts(
        opens=opens,
        parts=parts,
        results=[result for result in results if result.opens == opens],
        neighbours=_by_entry(results),
        entries=entries,
        excused=_excused(student, opens, as_of),
        stops=_stops(student, opens, as_of),
        pain=max((told for e in entries if (told := vars(e)["pain"]) is not None), default=None),
    )


def _parts(student: Student, opens: date, as_of: datetime | None) -> list[Part]:
    """Parts of a sent week in priority order. Those taken off are here too."""
    sent = {"week__student": student, "week__opens": opens, "week__state": Week.State.SENT}
    parts = Part.objects.filter(**sent).select_related("revision")
    if as_of:
        parts = parts.filter(week__sent_at__lte=as_of, added_at__lte=as_of)
    found = list(parts.select_related("week").order_by("priority", "added_at", "pk"))
    if as_of:
        found = sorted((as_it_stood(part, as_of) for part in found), key=lambda p: p.priority)
    return found


def _accepted(
    student: Student, opens: date, as_of: datetime | None
) -> dict[tuple[UUID, str], UUID]:
    """Of each session and work, the part that a coach lets it count for."""
    swaps = AcceptedSwap.objects.filter(student=student, part__week__opens=opens)
    if as_of is None:
        swaps = swaps.filter(withdrawn_at=None)
    else:
        swaps = swaps.filter(Q(withdrawn_at=None) | Q(withdrawn_at__gt=as_of), at__lte=as_of)
    return {(root, work): part for root, work, part in swaps.values_list("root", "work", "part")}


def work_of(result: Result) -> str:
    """What a coach accepts it as: its drill, or its kind."""
    return str(result.drill_id or result.what)


def _accept_swaps(
    results: Sequence[Result], parts: Sequence[Part], accepted: dict[tuple[UUID, str], UUID]
) -> None:
    """Let accepted work count for its part, here in memory; what was logged stays as it was."""
    here = {part.pk for part in parts}
    for result in results if accepted else ():
        part = accepted.get((result.entry.root, work_of(result)))
        if result.part_id is None and part in here:
            result.part_id, result.filed = part, Result.Filed.IN_WEEK
            result.accepted = True  # type: ignore[attr-defined]  # No column.


def was_accepted(result: Result) -> bool:
    return bool(vars(result).get("accepted"))


def _results(student: Student, opens: date, as_of: datetime | None) -> list[Result]:
    """Results of every counting entry with at least one in this week."""
    own = Result.objects.filter(student=student, opens=opens)
    # The entries of this week lead to their results; a student's whole life would too, slowly.
    results = Result.objects.filter(entry__in=own.values("entry"))
    if as_of is None:
        results = results.filter(entry__counts=True)
    else:
        roots = Entry.objects.filter(pk__in=own.values("entry")).values("root")
        results = results.filter(entry__in=counting_at(student, Q(root__in=roots), as_of))
    worded = {
        "worded_dose": _wording("dose"),
        "worded_pace": _wording("seconds_per_rep"),
    }
    return list(
        results.annotate(**worded)
        .select_related("entry")
        .order_by("entry__at", "entry", "position")
    )


def _wording(field: str) -> Coalesce:
    """What a drill said when the entry came in, so that editing it rewrites no tally."""
    revisions = DrillRevision.objects.filter(drill=OuterRef("drill"))
    then = revisions.filter(written_at__lte=OuterRef("entry__received_at")).order_by("-number")
    return Coalesce(
        Subquery(then.values(field)[:1]), Subquery(revisions.order_by("number").values(field)[:1])
    )


def _entries(student: Student, opens: date, as_of: datetime | None) -> list[Entry]:
    """Counting entries of the week's days, each with `first_at`, when its chain
    was begun, and `pain`, the highest told with it."""
    days = Q(day__gte=opens, day__lte=opens + CLOSES)
    entries = Entry.objects.filter(days, student=student)
    if as_of is None:
        entries = entries.filter(counts=True)
    else:
        roots = entries.values("root")
        entries = entries.filter(pk__in=counting_at(student, Q(root__in=roots), as_of))
    begun = Entry.objects.filter(pk=OuterRef("root")).values("at")[:1]
    worst = PainNote.objects.filter(entry=OuterRef("pk")).order_by("-level").values("level")[:1]
    told = entries.annotate(first_at=Subquery(begun), pain=Subquery(worst))
    return list(told.order_by("day", "at", "pk"))


def counting_at(student: Student, chains: Q, as_of: datetime) -> list[UUID]:
    """Of each chain the latest entry received by then, unless that took it back."""
    rows = Entry.objects.filter(
        chains, student=student, kind__in=CHAINED, received_at__lte=as_of
    ).order_by("received_at", "counts", "pk")
    latest = {root: (pk, kind) for pk, root, kind in rows.values_list("pk", "root", "kind")}
    return [pk for pk, kind in latest.values() if kind != Entry.Kind.TAKE_BACK]


def _by_entry(results: Sequence[Result]) -> dict[UUID, list[Result]]:
    groups: dict[UUID, list[Result]] = defaultdict(list)
    for result in results:
        groups[result.entry_id].append(result)
    return dict(groups)


def _excused(student: Student, opens: date, as_of: datetime | None) -> frozenset[int]:
    spans = Excusal.objects.filter(student=student, first__lte=opens + CLOSES, last__gte=opens)
    if as_of is None:
        spans = spans.filter(withdrawn_at=None)
    else:
        spans = spans.filter(Q(withdrawn_at=None) | Q(withdrawn_at__gt=as_of), told_at__lte=as_of)
    return frozenset(
        offset
        for first, last in spans.values_list("first", "last")
        for offset in range(DAYS_IN_WEEK)
        if first <= opens + timedelta(days=offset) <= last
    )


def _stops(student: Student, opens: date, as_of: datetime | None) -> list[Stop]:
    """Stops that bear on the week. A clearing that was not yet known has not happened."""
    stops = Stop.objects.filter(
        Q(cleared_on=None) | Q(cleared_on__gte=opens), student=student, since__lte=opens + CLOSES
    )
    if as_of:
        stops = stops.filter(Q(pain=None) | Q(pain__told_at__lte=as_of))
    found = list(stops.order_by("since", "pk"))
    for stop in found:
        if as_of and stop.cleared_at and stop.cleared_at > as_of:
            stop.cleared_on = None
    return found
