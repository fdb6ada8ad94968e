"""Sessions of one student with how hard they felt, and hard swings by week."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Min, Sum

from practice.compliance.models import WeekTally
from practice.log.models import Entry
from shared.kit.weeks import week_start
from shared.people.models import Student

WEEK = timedelta(weeks=1)
WEEKS = 12  # The present week and those before it.
MOST = 3000


@dataclass(frozen=True, slots=True)
class Session:
    """One logged session; None for what was not told."""

    day: date
    minutes: float | None
    felt: int | None


@dataclass(frozen=True, slots=True)
class LoadFacts:
    """`first` is the first day ever logged; `hard` the hard swings of each week with a tally."""

    today: date
    opens: date
    sessions: tuple[Session, ...]
    first: date | None
    hard: dict[date, int]
    under_16: bool


def read_load(student: Student, today: date) -> LoadFacts:
    """Twelve weeks, the present one among them. Three queries."""
    opens = week_start(today, student.studio.first_weekday)
    since = opens - (WEEKS - 1) * WEEK
    entries = Entry.objects.filter(student=student, counts=True)
    rows = (
        entries.filter(day__gte=since, day__lte=today)
        .annotate(of_blocks=Sum("results__minutes"))
        .order_by("day", "at")
        .values_list("day", "minutes", "of_blocks", "felt")[:MOST]
    )
    tallies = WeekTally.objects.filter(student=student, opens__gte=since, opens__lte=opens)
    return LoadFacts(
        today=today,
        opens=opens,
        sessions=tuple(
            Session(day, minutes or of_blocks, felt) for day, minutes, of_blocks, felt in rows
        ),
        first=entries.aggregate(first=Min("day"))["first"],
        hard=dict(tallies.values_list("opens", "hard_swings")),
        under_16=student.is_under_16,
    )
