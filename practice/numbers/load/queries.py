"""Sessions of one student with how hard they felt, and hard swings by week."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.db.models import DateField, Exists, Min, OuterRef, Q, QuerySet, Sum, UUIDField

from practice.coach_counts.models import CheckedCount
from practice.compliance.dates import first_week_of
from practice.compliance.models import WeekTally
from practice.log.models import Entry, Result
from shared.kit.weeks import week_start
from shared.people.access import recordable_students
from shared.people.models import Student
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

WEEK = timedelta(weeks=1)
WEEKS = 12  # The present week and those before it.
MOST = 3000
CHECKED_DAYS = timedelta(days=365)  # How long a checked visit tells of somebody's minutes.
Pair = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Session:
    """One logged session; None for what was not told.

    `timed`: minutes of the parts that a clock has measured; `untimed` those of the others.
    """

    day: date
    minutes: float | None
    felt: int | None
    timed: float = 0.0
    untimed: float = 0.0


@dataclass(frozen=True, slots=True)
class Checks:
    """Said and checked of the same visits and sets: the student's, and each other's here."""

    own: tuple[Pair, ...]
    others: tuple[tuple[Pair, ...], ...]


@dataclass(frozen=True, slots=True)
class LoadFacts:
    """`first` is the first day ever logged; `hard` the hard swings of each week with a tally."""

    today: date
    opens: date
    sessions: tuple[Session, ...]
    first: date | None
    hard: dict[date, int]
    under_16: bool
    checks: Checks


def read_load(student: Student, today: date) -> LoadFacts:
    """Twelve weeks, the present one among them. Five queries.

    A question or a word about pain is an entry too, and no visit.
    """
    opens = week_start(today, student.studio.first_weekday)
    since = opens - (WEEKS - 1) * WEEK
    did = (
        Exists(Result.objects.filter(entry=OuterRef("pk")))
        | Q(minutes__gt=0)
        | Q(felt__isnull=False)
    )
    entries = Entry.objects.filter(did, student=student, counts=True)
    rows = (
        entries.filter(day__gte=since, day__lte=today)
        .annotate(
            of_blocks=Sum("results__minutes"),
            timed=Sum("results__timed_minutes"),
            beside=Sum("results__minutes", filter=Q(results__timed_minutes__gt=0)),
        )
        .order_by("day", "at")
        .values_list("day", "minutes", "of_blocks", "felt", "timed", "beside")[:MOST]
    )
    tallies = WeekTally.objects.filter(student=student, opens__gte=since, opens__lte=opens)
    return LoadFacts(
        today=today,
        opens=opens,
        sessions=tuple(
            _session(day, minutes or of_blocks, felt, timed or 0.0, beside or 0.0)
            for day, minutes, of_blocks, felt, timed, beside in rows
        ),
        first=entries.aggregate(first=Min("day"))["first"],
        hard=dict(tallies.values_list("opens", "hard_swings")),
        under_16=student.is_under_16,
        checks=read_checks(student, today),
    )


def _session(
    day: date, minutes: float | None, felt: int | None, timed: float, beside: float
) -> Session:
    """`beside`: what was written of the parts that were timed."""
    return Session(day, minutes, felt, timed, max(0.0, (minutes or 0.0) - beside))


def is_checked(student: Student, today: date) -> bool:
    """Whether any of the student's own was checked in a year. One query."""
    return checked_asked(student, today).answer


def checked_asked(student: Student, today: date) -> Question[bool]:
    """The same, to be asked with others."""
    since = today - CHECKED_DAYS
    rows = Rows(_own_checked, student=student.pk, since=since, weeks=first_week_of(since))
    return Question(bool, rows)


def _any_of_own(student: UUID, since: date, weeks: date) -> QuerySet[Student, Any]:
    mine = {"student": OuterRef("pk")}
    visits, sets = (rows.filter(**mine) for rows in _visits_and_sets(since, weeks))
    found = Student.objects.filter(Exists(visits) | Exists(sets), pk=student)
    return found.values_list("pk")


_own_checked = Prepared(_any_of_own, student=UUIDField, since=DateField, weeks=DateField)


def _visits_and_sets(since: date, weeks: date) -> tuple[QuerySet[Result], QuerySet[CheckedCount]]:
    visits = Result.objects.filter(
        opens__gte=weeks,
        entry__counts=True,
        entry__day__gt=since,
        guessed_minutes__gt=0,
        timed_minutes__gt=0,
    )
    return visits, CheckedCount.objects.filter(counts=True, day__gt=since, own_reps__gt=0)


def read_checks(student: Student, today: date) -> Checks:
    """Visits that a clock timed and sets that a coach counted, of a year. Two queries."""
    here = {"student__in": recordable_students().filter(studio=student.studio_id)}
    since = today - CHECKED_DAYS
    visits, sets = _visits_and_sets(since, first_week_of(since))
    visits = visits.filter(**here).order_by("-entry__day", "pk")
    sets = sets.filter(**here).order_by("-day", "pk")
    found: dict[UUID, list[Pair]] = defaultdict(list)
    for who, said, checked in visits.values_list("student", "guessed_minutes", "timed_minutes")[
        :MOST
    ]:
        if said is not None and checked is not None:
            found[who].append((said, checked))
    for who, reps, counted in sets.values_list("student", "own_reps", "reps")[:MOST]:
        if reps is not None:
            found[who].append((reps, counted))
    own = tuple(found.pop(student.pk, ()))
    return Checks(own, tuple(map(tuple, found.values())))
