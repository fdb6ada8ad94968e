"""The record behind a student's page: some weeks of it, whole, at a fixed number of reads."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db.models import Min, Prefetch

from practice.care.models import PainNote
from practice.care.queries import told_last
from practice.compliance.models import WeekTally
from practice.log.models import AcceptedSwap, Entry, Line, Result
from practice.weeks.models import Excusal, Week
from shared.kit.weeks import DAYS_IN_WEEK, day_starts_at, practice_day
from shared.people.models import Student, User

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
    def taken_back_at(self) -> datetime | None:
        if any(entry.counts for entry in self.entries):
            return None
        backs = [e for e in self.entries if e.kind == Entry.Kind.TAKE_BACK]
        return backs[-1].at if backs else None


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


def read_record(student: Student, newest: date) -> StudentRecord:
    """Eight weeks, the last of which opens on `newest`. Nine queries, however much is in them.

    1 tallies, 2 weeks, 3 entries, 4 their results, 5 pain, 6 lines, 7 accepted swaps,
    8 names of those who asked, 9 excused days and whether there is an older week.
    """
    first, last = newest - (WEEKS - 1) * WEEK, newest + WEEK - timedelta(days=1)
    tallies = WeekTally.objects.filter(student=student, opens__range=(first, last))
    weeks = Week.objects.filter(
        student=student, opens__range=(first, last), state=Week.State.SENT
    ).select_related("author")
    by_tally = {tally.opens: tally for tally in tallies}
    by_week = {week.opens: week for week in weeks}
    regular = {newest - n * WEEK for n in range(WEEKS)}
    # A studio may have changed its first weekday: weeks stand where they opened.
    opens = sorted(regular | set(by_tally) | set(by_week), reverse=True)
    entries = _entries(student, first, last)
    excused, has_older = _excused(student, first, last, opens)
    return StudentRecord(
        opens=opens,
        tallies=by_tally,
        weeks=by_week,
        chains=_chains(entries[:MOST_ENTRIES], opens),
        pains=_pains(student, first, last),
        lines=_lines(student, first, last, opens),
        swaps=_swaps(student, opens),
        names=_names(by_tally.values()),
        excused=excused,
        has_older=has_older,
        is_cut=len(entries) > MOST_ENTRIES,
    )


def _entries(student: Student, first: date, last: date) -> list[Entry]:
    results = Result.objects.select_related("part__revision", "drill__current")
    return list(
        Entry.objects.filter(student=student, day__range=(first, last), kind__in=CHAINED)
        .select_related("writer")
        .prefetch_related(Prefetch("results", results.order_by("position")))
        .order_by("-day", "-received_at", "pk")[: MOST_ENTRIES + 1]
    )


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
    """The week on the page that the day is in; a day before them all stands with the first."""
    return next((start for start in opens if start <= day), opens[-1])


def _pains(student: Student, first: date, last: date) -> dict[UUID, list[PainNote]]:
    notes = PainNote.objects.filter(student=student, day__range=(first, last), level__gt=0)
    told: dict[UUID, list[PainNote]] = defaultdict(list)
    notes = told_last(notes).select_related("drill__current").order_by("told_at")
    for note in notes[:MOST_ENTRIES]:
        told[note.entry_id].append(note)
    return told


def _lines(student: Student, first: date, last: date, opens: list[date]) -> dict[date, list[Line]]:
    zone = student.time_zone
    begins, ends = day_starts_at(first, zone), day_starts_at(last + timedelta(days=1), zone)
    lines = Line.objects.filter(student=student, at__gte=begins, at__lt=ends)
    weeks: dict[date, list[Line]] = defaultdict(list)
    for line in lines.select_related("author").order_by("-at")[:MOST_LINES]:
        weeks[_week_of(practice_day(line.at, zone), opens)].insert(0, line)
    return weeks


def _swaps(student: Student, opens: list[date]) -> dict[tuple[UUID, str], AcceptedSwap]:
    found = AcceptedSwap.objects.filter(
        student=student, withdrawn_at=None, part__week__opens__in=opens
    )
    return {
        (swap.root, swap.work): swap
        for swap in found.select_related("by", "part__revision").order_by("-at")[:MOST_ENTRIES]
    }


def _names(tallies: Iterable[WeekTally]) -> dict[str, str]:
    who = {part["by"] for tally in tallies for part in tally.parts if part.get("by")}
    return {str(user.pk): str(user) for user in User.objects.filter(pk__in=who)}


def _excused(
    student: Student, first: date, last: date, opens: list[date]
) -> tuple[dict[date, list[date]], bool]:
    """The excused days of each week, and whether there is a week before them all."""
    spans = Excusal.objects.filter(
        student=student, withdrawn_at=None, first__lte=last, last__gte=first
    )
    before = WeekTally.objects.filter(student=student, opens__lt=first).values("student")
    oldest = before.annotate(first=Min("opens"), last=Min("opens"))
    rows = spans.values_list("first", "last").union(oldest.values_list("first", "last"), all=True)
    away: set[date] = set()
    has_older = False
    for start, end in rows:
        has_older |= end < first
        begins, ends = max(start, first), min(end, last)
        away |= {begins + timedelta(days=n) for n in range((ends - begins).days + 1)}
    days = {
        start: sorted(day for day in away if 0 <= (day - start).days < DAYS_IN_WEEK)
        for start in opens
    }
    return days, has_older
