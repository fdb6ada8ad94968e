"""The record behind a student's page: some weeks of it, whole, at a fixed number of reads."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import DateField, DateTimeField, Min, QuerySet, UUIDField

from practice.care.models import PainNote
from practice.care.queries import told_last
from practice.compliance.models import WeekTally
from practice.log.models import AcceptedSwap, Entry, Line, Result
from practice.weeks.models import Excusal, Week
from shared.kit.weeks import DAYS_IN_WEEK, day_starts_at, practice_day
from shared.people.models import Student, User
from shared.site.prepared import Prepared, stand_behind
from shared.site.together import Question, Rows

WEEKS = 8
MOST_ENTRIES = 400
MOST_LINES = 100
WEEK = timedelta(weeks=1)
CHAINED = (Entry.Kind.LOG, Entry.Kind.CHANGE, Entry.Kind.TAKE_BACK)


@dataclass(frozen=True, slots=True)
class Chain:
    """A session with its whole history: all entries of one root, the first received first."""

    entries: list[Entry]

    @property
    def now(self) -> Entry:
        """What counts; of a session that was taken back, what it last said."""
        said = [entry for entry in self.entries if entry.kind != Entry.Kind.TAKE_BACK]
        counting = [entry for entry in said if entry.counts]
        return (counting or said or self.entries)[-1]

    @property
    def before(self) -> list[Entry]:
        """What it said before, oldest first."""
        return [
            entry
            for entry in self.entries
            if entry.kind != Entry.Kind.TAKE_BACK and entry.pk != self.now.pk
        ]

    @property
    def is_taken_back(self) -> bool:
        kinds = {entry.kind for entry in self.entries}
        return Entry.Kind.TAKE_BACK in kinds and not any(e.counts for e in self.entries)


@dataclass(frozen=True, slots=True)
class StudentRecord:
    """Weeks newest first, and what belongs to each; keys are opening days."""

    opens: list[date]
    tallies: dict[date, WeekTally]
    weeks: dict[date, Week]
    chains: dict[date, list[Chain]]
    pains: dict[UUID, list[PainNote]]
    lines: dict[date, list[Line]]
    # Of each session (by root) and work, the swap that a coach accepted.
    swaps: dict[tuple[UUID, str], AcceptedSwap]
    # Names of those who put parts on weeks, by id.
    names: dict[str, str]
    excused: dict[date, list[date]]
    has_older: bool
    is_cut: bool


def record_asked(student: Student, newest: date) -> Question[StudentRecord]:
    """Eight weeks, the last of which opens on `newest`, to be asked with others; two queries
    more, however much is in them: the results, and names of those who asked."""
    first, last = newest - (WEEKS - 1) * WEEK, newest + WEEK - timedelta(days=1)
    of, zone = {"student": student.pk, "first": first, "last": last}, student.time_zone
    begins, ends = day_starts_at(first, zone), day_starts_at(last + timedelta(days=1), zone)
    return Question(
        lambda *rows: _record(student, newest, _Rows(*rows)),
        *(Rows(each, **of) for each in (_tallies, _weeks, _entries, _pains, _swaps, _spans)),
        Rows(_lines, student=student.pk, begins=begins, ends=ends),
    )


class _Rows(NamedTuple):
    tallies: list[WeekTally]
    weeks: list[Week]
    entries: list[Entry]
    pains: list[PainNote]
    swaps: list[AcceptedSwap]
    spans: list[tuple[date, date]]
    lines: list[Line]


def _record(student: Student, newest: date, rows: _Rows) -> StudentRecord:
    first = newest - (WEEKS - 1) * WEEK
    by_tally = {tally.opens: tally for tally in rows.tallies}
    by_week = {week.opens: week for week in rows.weeks}
    regular = {newest - n * WEEK for n in range(WEEKS)}
    # A studio may have changed its first weekday: weeks stand where they opened.
    opens = sorted(regular | set(by_tally) | set(by_week), reverse=True)
    return StudentRecord(
        opens=opens,
        tallies=by_tally,
        weeks=by_week,
        chains=_chains(_with_results(rows.entries[:MOST_ENTRIES]), opens),
        pains=_by_entry(rows.pains),
        lines=_by_week(rows.lines, student, opens),
        swaps={(swap.root, swap.work): swap for swap in rows.swaps},
        names=_names(by_tally.values()),
        excused={each: _excused(each, rows.spans) for each in opens},
        has_older=any(ends < first for _, ends in rows.spans),
        is_cut=len(rows.entries) > MOST_ENTRIES,
    )


_DAYS = {"student": UUIDField, "first": DateField, "last": DateField}
_tallies = Prepared(
    lambda student, first, last: WeekTally.objects.filter(
        student=student, opens__range=(first, last)
    ),
    **_DAYS,
)
_weeks = Prepared(
    lambda student, first, last: Week.objects.filter(
        student=student, opens__range=(first, last), state=Week.State.SENT
    ).select_related("author"),
    **_DAYS,
)
_entries = Prepared(
    lambda student, first, last: (
        Entry.objects.filter(student=student, day__range=(first, last), kind__in=CHAINED)
        .select_related("writer")
        .order_by("-day", "-received_at", "pk")[: MOST_ENTRIES + 1]
    ),
    **_DAYS,
)


_results = Prepared(
    lambda entries: (
        Result.objects.filter(entry__in=[entries])
        .select_related("part__revision", "drill__current")
        .order_by("position")
    ),
    entries=UUIDField,
)


def _with_results(entries: list[Entry]) -> list[Entry]:
    """As a prefetch, whose query the ORM words anew each time."""
    found: dict[UUID, list[Result]] = defaultdict(list)
    for result in _results(entries=[entry.pk for entry in entries]) if entries else ():
        found[result.entry_id].append(result)
    for entry in entries:
        stand_behind(entry, results=found[entry.pk])
    return entries


def _chains(entries: list[Entry], opens: list[date]) -> dict[date, list[Chain]]:
    by_root: dict[UUID, list[Entry]] = defaultdict(list)
    for entry in sorted(entries, key=lambda entry: (entry.received_at, entry.counts)):
        by_root[entry.root].append(entry)
    chains = [Chain(entries) for entries in by_root.values()]
    weeks: dict[date, list[Chain]] = defaultdict(list)
    for chain in sorted(chains, key=lambda chain: (chain.now.day, chain.now.at)):
        weeks[_week_of(chain.now.day, opens)].append(chain)
    return weeks


def _week_of(day: date, opens: list[date]) -> date:
    """The week on the page that the day is in; a day before them all stands with the first.

    Where a clock is put back over the turn of the day, one moment has the day before.
    """
    return next((start for start in opens if start <= day), opens[-1])


_pains = Prepared(
    lambda student, first, last: (
        told_last(PainNote.objects.filter(student=student, day__range=(first, last), level__gt=0))
        .select_related("drill__current")
        .order_by("told_at")[:MOST_ENTRIES]
    ),
    **_DAYS,
)


def _by_entry(notes: Iterable[PainNote]) -> dict[UUID, list[PainNote]]:
    told: dict[UUID, list[PainNote]] = defaultdict(list)
    for note in notes:
        told[note.entry_id].append(note)
    return told


_lines = Prepared(
    lambda student, begins, ends: (
        Line.objects.filter(student=student, at__gte=begins, at__lt=ends)
        .select_related("author")
        .order_by("-at")[:MOST_LINES]
    ),
    student=UUIDField,
    begins=DateTimeField,
    ends=DateTimeField,
)


def _by_week(lines: Iterable[Line], student: Student, opens: list[date]) -> dict[date, list[Line]]:
    weeks: dict[date, list[Line]] = defaultdict(list)
    for line in lines:
        weeks[_week_of(practice_day(line.at, student.time_zone), opens)].insert(0, line)
    return weeks


_swaps = Prepared(
    lambda student, first, last: (
        AcceptedSwap.objects.filter(
            student=student, withdrawn_at=None, part__week__opens__range=(first, last)
        )
        .select_related("by", "part__revision")
        .order_by("-at")[:MOST_ENTRIES]
    ),
    **_DAYS,
)


def _names(tallies: Iterable[WeekTally]) -> dict[str, str]:
    who = {part["by"] for tally in tallies for part in tally.parts if part.get("by")}
    return {str(user.pk): str(user) for user in User.objects.filter(pk__in=who)}


def _spans_of(student: UUID, first: date, last: date) -> QuerySet[Excusal, Any]:
    """Days excused, and the oldest week where one is before them all."""
    spans = Excusal.objects.filter(
        student=student, withdrawn_at=None, first__lte=last, last__gte=first
    )
    before = WeekTally.objects.filter(student=student, opens__lt=first).values("student")
    oldest = before.annotate(first=Min("opens"), last=Min("opens"))
    return spans.values_list("first", "last").union(oldest.values_list("first", "last"))


_spans = Prepared(_spans_of, **_DAYS)


def _excused(opens: date, spans: list[tuple[date, date]]) -> list[date]:
    """The excused days of the week that opens then."""
    days = (opens + timedelta(days=n) for n in range(DAYS_IN_WEEK))
    return [day for day in days if any(begins <= day <= ends for begins, ends in spans)]
