"""What drawn turns show: two drills week by week, or light fortnights beside usual ones.

Two drills are compared by the tests of their weeks. Of the dose the change within each
fortnight counts, because what was gained before stays. It is judged once, as a drawn start is.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import fmean
from typing import TYPE_CHECKING
from uuid import UUID

from practice.measures.answers import TooLittle
from practice.numbers.moved.queries import read_trial
from practice.numbers.moved.try_out import day_figures
from practice.tryouts.models import TryOut

if TYPE_CHECKING:
    from practice.measures.drawn import Proof

BACK = timedelta(weeks=4)  # Before the first turn, for the test that the first change is from.
Tests = Sequence[tuple[date, float]]


@dataclass(frozen=True, slots=True)
class Turns:
    """A try-out by turns. `other` is empty where light fortnights were drawn.

    `stray` counts days on which a drill was done in a week of the other's.
    """

    id: UUID
    drill: str
    other: str
    test: str
    kind: str
    turns: tuple[int, ...]
    first: date
    drawn_on: date
    judged_on: date
    ended_on: date | None
    ended_why: str
    seed: int
    tests: int
    stray: int
    today: date
    proof: "Proof | TooLittle | None"


def turns(rows: Iterable[TryOut], today: date) -> tuple[Turns, ...]:
    """Each try-out by turns with what it shows. At most eighteen queries each."""
    return tuple(_turns(row, today) for row in rows if row.design == TryOut.Design.TURNS)


def _turns(row: TryOut, today: date) -> Turns:
    since, until = row.first - BACK, min(today, row.judged_on)
    part, speeds = read_trial(row.student, row.drill, row.test, since, until)
    kind, tests = day_figures(part, speeds, since)
    stray = _stray(row, part.minutes, 1)
    if row.other is not None:
        theirs, _ = read_trial(row.student, row.other, row.test, since, until)
        stray += _stray(row, theirs.minutes, 0)
    is_judged = row.ended_at is None and today > row.judged_on
    return Turns(
        id=row.pk,
        drill=str(row.drill),
        other=str(row.other) if row.other else "",
        test=str(row.test),
        kind=kind,
        turns=tuple(row.turns),
        first=row.first,
        drawn_on=row.drawn_at.date(),
        judged_on=row.judged_on,
        ended_on=row.ended_at.date() if row.ended_at else None,
        ended_why=row.ended_why,
        seed=row.seed,
        tests=sum(day > row.first for day, _ in tests),
        stray=stray,
        today=today,
        proof=_proof(row, tests, kind) if is_judged else None,
    )


def _proof(row: TryOut, tests: Tests, kind: str) -> "Proof | TooLittle":
    from practice.measures.drawn import between_turns

    length = timedelta(weeks=row.weeks)
    opens = [row.first + n * length for n in range(len(row.turns))]
    figure = _level if row.other is not None else _change
    figures = [figure(tests, day, day + length) for day in opens]
    return between_turns(figures, row.turns, gain=-1 if kind == "miss" else 1, seed=row.seed)


def _level(tests: Tests, opens: date, ends: date) -> float | None:
    """The mean of the tests of a turn; on the day it opens they tell of the turn before."""
    found = [figure for day, figure in tests if opens < day <= ends]
    return fmean(found) if found else None


def _change(tests: Tests, opens: date, ends: date) -> float | None:
    """From the last test before a turn to the last one in it."""
    before = [figure for day, figure in tests if day <= opens]
    within = [figure for day, figure in tests if opens < day <= ends]
    return within[-1] - before[-1] if before and within else None


def _stray(row: TryOut, days: Iterable[date], turn: int) -> int:
    """Days of practice in turns of this kind; of one drill alone no day is amiss."""
    if row.other is None:
        return 0
    places = [(day - row.first).days // (7 * row.weeks) for day in days]
    return sum(0 <= place < len(row.turns) and row.turns[place] == turn for place in places)
