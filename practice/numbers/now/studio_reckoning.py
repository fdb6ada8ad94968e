"""Learn how much days of the students of a studio differ by themselves: weekly, from all tests."""

import logging
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, fields, replace
from datetime import date, datetime, timedelta
from functools import partial
from statistics import fmean
from typing import TYPE_CHECKING

from django.db import DatabaseError
from django.db.models import Exists, OuterRef, QuerySet
from django.utils import timezone

from practice.measures.usual import HOUSE, DaySpread, UsualPrior
from practice.numbers.moved.answer import counted_days, days_of
from practice.numbers.moved.queries import AskedDrill, MovedFacts, read_moved
from practice.numbers.speed.book import speed_book
from practice.numbers.speed.queries import read_speeds
from practice.numbers.wedges.facts import swings_by_day
from practice.numbers.wedges.queries import read_wedges
from practice.shots.models import StudioDays
from practice.shots.studio_days import FORMAT
from shared.jobs.sweep import sweep as run
from shared.kit.weeks import practice_day
from shared.people.access import Recordable, recordable_students
from shared.people.models import Studio

if TYPE_CHECKING:
    from practice.measures.studio import DaySeries

log = logging.getLogger(__name__)
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
    """From the tests of these students; the house's own of each kind that too few have.

    Whose tests cannot be read is left out, and that is logged: one stops no studio's learning.
    """
    found: dict[str, list[_Tests]] = defaultdict(list)
    for student in students:
        try:
            of_one = list(_tests_of(student, practice_day(now, student.time_zone)))
        except DatabaseError:
            raise
        except Exception:
            log.exception("The tests of student %s cannot be read.", student.pk)
            continue
        for tests in of_one:
            found[tests.kind].append(tests)
    return UsualPrior(
        **{each.name: _of_kind(each.name, found[each.name]) for each in fields(HOUSE)}
    )


@dataclass(frozen=True, slots=True)
class _Tests:
    """One student's test days of one kind: a figure a day, and what remains as a series once
    what moved everybody on each is taken off."""

    kind: str
    days: Sequence[date]
    figures: Sequence[float]
    series: "Callable[[Iterable[float]], DaySeries | None]"


def _of_kind(kind: str, found: Sequence[_Tests]) -> DaySpread:
    from practice.measures.studio import spread_of_days
    from practice.measures.together import by_month, moved_together, shared_by

    months = (by_month(each.days, each.figures) for each in found if each.days)
    together = moved_together([each for each in months if each is not None])
    series = []
    for each in found:
        shared = shared_by(each.days, together)
        series.append(each.series(shared.shifts if shared else [0.0] * len(each.days)))
    known = [each for each in series if each is not None]
    spread = spread_of_days(known, getattr(HOUSE, kind), of_tries=kind == "reps")
    return replace(spread, together=together)


def _tests_of(student: Recordable, today: date) -> Iterator[_Tests]:
    """As the claims that are made of them read them. Carries are levels, of which no change is
    claimed: they have no days to compare."""
    facts = read_moved(student, today)
    for line in speed_book(facts.speeds or read_speeds(student, today)).lines:
        days, speeds = [each.day for each in line.days], [each.figure for each in line.days]
        yield _Tests(line.line.quantity, days, speeds, partial(_speeds, speeds))
    for swings in swings_by_day(read_wedges(student)):
        yield _Tests("carries", (), (), partial(_carries, swings))
    for part in _of_one_test_each(facts):
        if part.misses:
            of_days = sorted(part.misses, key=lambda each: each.day)
            misses = [list(each.misses) for each in of_days]
            days = [each.day for each in of_days]
            yield _Tests("misses", days, list(map(fmean, misses)), partial(_misses, misses))
        elif part.counts:
            counts = counted_days(part.counts)
            shares = [clean / tries for clean, tries in counts]
            yield _Tests("reps", days_of(part.counts), shares, partial(_reps, counts))


def _speeds(speeds: Sequence[float], off: Iterable[float]) -> "DaySeries | None":
    from practice.measures.studio import series_of_figures

    return series_of_figures(speed - each for speed, each in zip(speeds, off, strict=True))


def _carries(swings: Sequence[Sequence[float]], _: Iterable[float]) -> "DaySeries | None":
    from practice.measures.studio import series_of_balls

    return series_of_balls(swings, of_medians=True)


def _misses(misses: Sequence[Sequence[float]], off: Iterable[float]) -> "DaySeries | None":
    from practice.measures.studio import series_of_balls

    days = [[miss - each for miss in day] for day, each in zip(misses, off, strict=True)]
    return series_of_balls(days, of_medians=False)


def _reps(counts: Sequence[tuple[float, int]], off: Iterable[float]) -> "DaySeries | None":
    from practice.measures.studio import series_of_shares

    pairs = zip(counts, off, strict=True)
    return series_of_shares([(clean - each * tries, tries) for (clean, tries), each in pairs])


def _of_one_test_each(facts: MovedFacts) -> Iterable[AskedDrill]:
    """Parts whose test is no other part's too: its days are told once."""
    return {part.test_id or part.drill_id: part for part in facts.parts}.values()
