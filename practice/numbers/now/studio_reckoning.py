"""Learn how much days of the students of a studio differ by themselves: weekly, from all tests."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import asdict, fields
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from django.db.models import Exists, OuterRef, QuerySet
from django.utils import timezone

from practice.measures.usual import HOUSE, UsualPrior
from practice.numbers.moved.answer import counted_days
from practice.numbers.moved.queries import AskedDrill, MovedFacts, read_moved
from practice.numbers.speed.book import speed_book
from practice.numbers.speed.queries import read_speeds
from practice.numbers.wedges.card import swings_by_day
from practice.numbers.wedges.queries import read_wedges
from practice.shots.models import StudioDays
from practice.shots.studio_days import FORMAT
from shared.jobs.sweep import sweep as run
from shared.kit.weeks import practice_day
from shared.people.access import Recordable, recordable_students
from shared.people.models import Studio

if TYPE_CHECKING:
    from practice.measures.studio import DaySeries

EVERY = timedelta(days=7)
LONG = timedelta(minutes=5)  # All tests of all students of one studio are read.
KEPT = timedelta(days=400)  # As far back as anybody asks what was known.


def sweep(now: datetime | None = None) -> int:
    """Make what is due. Returns for how many studios."""
    now = now or timezone.now()
    return len(run("days of studios", lambda: due(now), lambda s: reckon(s, now), lease=LONG))


def due(now: datetime) -> QuerySet[Studio]:
    """Studios with students, a week after the last time."""
    fresh = StudioDays.objects.filter(studio=OuterRef("pk"), made_at__gt=now - EVERY)
    taught = recordable_students().filter(studio=OuterRef("pk"))
    return Studio.objects.filter(Exists(taught), ~Exists(fresh)).order_by("pk")


def reckon(studio: Studio, now: datetime) -> None:
    """Learn and keep it. Some twenty queries a student."""
    students = recordable_students().filter(studio=studio).order_by("pk")
    figures = {"format": FORMAT, **asdict(learnt(students.iterator(), now))}
    StudioDays.objects.create(studio=studio, made_at=now, figures=figures)
    StudioDays.objects.filter(studio=studio, made_at__lt=now - KEPT).delete()


def learnt(students: Iterable[Recordable], now: datetime) -> UsualPrior:
    """From the tests of these students; the house's own of each kind that too few have."""
    from practice.measures.studio import spread_of_days

    found: dict[str, list[DaySeries]] = defaultdict(list)
    for student in students:
        for kind, series in _series_of(student, practice_day(now, student.time_zone)):
            if series is not None:
                found[kind].append(series)
    return UsualPrior(
        **{
            each.name: spread_of_days(found[each.name], getattr(HOUSE, each.name))
            for each in fields(UsualPrior)
        }
    )


def _series_of(student: Recordable, today: date) -> Iterator[tuple[str, "DaySeries | None"]]:
    """The tests of one student by kind, as the claims that are made of them read them."""
    from practice.measures.studio import series_of_balls, series_of_figures, series_of_shares

    facts = read_moved(student, today)
    for line in speed_book(facts.speeds or read_speeds(student, today)).lines:
        yield line.line.quantity, series_of_figures([each.figure for each in line.days])
    for days in swings_by_day(read_wedges(student)):
        yield "carries", series_of_balls(days, of_medians=True)
    for part in _of_one_test_each(facts):
        if part.misses:
            missed = [each.misses for each in sorted(part.misses, key=lambda each: each.day)]
            yield "misses", series_of_balls(missed, of_medians=False)
        elif part.counts:
            yield "reps", series_of_shares(counted_days(part.counts))


def _of_one_test_each(facts: MovedFacts) -> Iterable[AskedDrill]:
    """Parts whose test is no other part's too: its days are told once."""
    return {part.test_id or part.drill_id: part for part in facts.parts}.values()
