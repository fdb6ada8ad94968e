"""What a try-out shows: tests after the drawn start beside every start that could have been.

It is judged once, on the day that was set when it was drawn. Nothing is looked at before.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING
from uuid import UUID

from practice.care.queries import days_held
from practice.measures.answers import TooLittle
from practice.numbers.moved.answer import counted_days, counts_used
from practice.numbers.moved.queries import AskedDrill, read_trial
from practice.numbers.moved.stays import Stays, stays
from practice.numbers.speed.queries import SpeedFacts
from practice.tryouts.models import TryOut
from practice.tryouts.services import work_of
from shared.people import access

if TYPE_CHECKING:
    from practice.measures.drawn import Proof

WEEK = timedelta(weeks=1)
BACK = 8 * WEEK  # How far before the first possible start tests and practice are looked at.


@dataclass(frozen=True, slots=True)
class Run:
    """One student's side: the tests by day, in the unit of their kind, and what was practised."""

    begins: date
    first: date
    starts: int
    kind: str
    tests: tuple[tuple[date, float], ...]
    practised: tuple[date, ...]

    @property
    def too_early(self) -> int:
        """Days on which the drill was done before it was to begin."""
        return sum(day < self.begins for day in self.practised)

    @property
    def before(self) -> int:
        return sum(day <= self.begins for day, _ in self.tests)

    def idle_weeks(self, until: date) -> int:
        """Whole weeks since the start in which it was not done."""
        opens = [self.begins + n * WEEK for n in range((until - self.begins).days // 7)]
        return sum(not any(day <= done < day + WEEK for done in self.practised) for day in opens)


@dataclass(frozen=True, slots=True)
class Trial:
    """A try-out as it stands. `proof` is None until the day it is judged, and where it ended.

    `left`: how many who were drawn together are no longer in it. `held`: days since it began,
    up to today, on which a stop held the drill back. It is judged as drawn all the same:
    leaving such days out would choose after the draw.
    """

    id: UUID
    drill: str
    test: str
    run: Run
    drawn_on: date
    judged_on: date
    ended_on: date | None
    ended_why: str
    seed: int
    of: int
    left: int
    ways: int
    held: frozenset[date]
    today: date
    proof: "Proof | TooLittle | None"
    stays: Stays | None

    @property
    def until(self) -> date:
        return min(self.today, self.judged_on)

    @property
    def is_held(self) -> bool:
        return self.today in self.held


def trials(rows: Iterable[TryOut], today: date) -> tuple[Trial, ...]:
    """Each try-out of a drawn start with what it shows. At most ten queries each; once it is
    judged ten more, and nine for everybody who was drawn together with it."""
    starts = [row for row in rows if row.design == TryOut.Design.START]
    return tuple(_trial(row, today) for row in starts)


def _trial(row: TryOut, today: date) -> Trial:
    from practice.measures.drawn import ways_to_start

    everybody = _together(row)
    is_judged = row.ended_at is None and today > row.judged_on
    base = min(each.first for each in everybody)
    run = _run(row, base, min(today, row.judged_on))
    proof = None
    if is_judged:
        others = [each for each in everybody if each.pk != row.pk]
        proof = _proof([run, *(_run(each, base, row.judged_on) for each in others)], row, base)
    return Trial(
        id=row.pk,
        drill=str(row.drill),
        test=str(row.test),
        run=run,
        drawn_on=row.drawn_at.date(),
        judged_on=row.judged_on,
        ended_on=row.ended_at.date() if row.ended_at else None,
        ended_why=row.ended_why,
        seed=row.seed,
        of=row.of,
        left=row.of - len(everybody),
        ways=ways_to_start(_windows(everybody, base)),
        held=days_held(row.student, work_of(row.drill), row.begins, today),
        today=today,
        proof=proof,
        stays=stays(row, today) if is_judged else None,
    )


def _together(row: TryOut) -> list[TryOut]:
    """Those drawn together who are still in it and may be kept of; who asks among them."""
    if row.of == 1:
        return [row]
    rows = TryOut.objects.filter(
        together=row.together, ended_at=None, student__in=access.recordable_students()
    ).select_related("student", "drill__current", "test__current")
    return [row, *rows.exclude(pk=row.pk).order_by("pk")]


def _windows(rows: Sequence[TryOut] | Sequence[Run], base: date) -> list[tuple[int, int]]:
    return [((row.first - base).days // 7, row.starts) for row in rows]


def _proof(runs: Sequence[Run], row: TryOut, base: date) -> "Proof | TooLittle":
    from practice.measures.drawn import since_drawn_starts

    if len({run.kind for run in runs}) > 1:
        return TooLittle("Not everybody was tested in one way.", 0, 1)
    return since_drawn_starts(
        [[((day - base).days / 7, figure) for day, figure in run.tests] for run in runs],
        _windows(runs, base),
        [(run.begins - base).days // 7 for run in runs],
        gain=-1 if runs[0].kind == "miss" else 1,
        seed=row.seed,
    )


def _run(row: TryOut, base: date, until: date) -> Run:
    since = base - BACK
    part, speeds = read_trial(row.student, row.drill, row.test, since, until)
    kind, tests = day_figures(part, speeds, since)
    return Run(row.begins, row.first, row.starts, kind, tuple(tests), tuple(sorted(part.minutes)))


def day_figures(
    part: AskedDrill, speeds: SpeedFacts | None, since: date
) -> tuple[str, list[tuple[date, float]]]:
    """The kind of the test, and one figure a day, each step freed of how hard it is."""
    if speeds is not None:
        lines = [
            [(day.day, day.figure) for day in days if day.feeds_verdicts and day.day >= since]
            for _, days in speeds.lines
        ]
        return "speed", max(lines, key=len, default=[])
    if part.misses:
        days = sorted(part.misses, key=lambda each: each.day)
        return "miss", [(each.day, sum(each.misses) / len(each.misses)) for each in days]
    of_days = sorted({each.day for each in counts_used(part.counts)})
    shares = [clean / tries for clean, tries in counted_days(part.counts)]
    return "share", list(zip(of_days, shares, strict=True))
