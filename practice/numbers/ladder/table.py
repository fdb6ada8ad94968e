"""At what effort does the move hold? The answer per drill, with its certainty."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING
from uuid import UUID

from practice.measures.answers import TooLittle
from practice.measures.usual import DaySpread
from practice.numbers.ladder.queries import DAYS, DrillFacts, LadderFacts
from practice.numbers.ladder.steps import Judged, judge, steps_of

if TYPE_CHECKING:
    from practice.numbers.ladder.next_step import Suggestion

COACH_CHECKED = "coach-checked"
COLD = 5
COLD_SESSIONS = 8


@dataclass(frozen=True, slots=True)
class StepAnswer:
    """One step. Share and 95 % interval are of the efforts in `pool`; shares in 0 to 1.

    `word`: holds, not settled, breaks or too few. `evidence`: coach-checked or counted.
    """

    effort: int
    clean: int
    reps: int
    days: int
    share: float
    low: float
    high: float
    word: str
    evidence: str
    pool: tuple[int, ...]
    capped: bool

    @property
    def is_by_coach(self) -> bool:
        return self.evidence == COACH_CHECKED


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """Chance of a clean rep at an effort (percent) by the curve, with its 95 % band."""

    effort: int
    chance: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Highest:
    """The highest effort at which the chance of clean is still the clean line, with its
    95 % interval; without a figure, `words` say why."""

    words: str
    clean_line: int
    effort: float | None
    low: float | None
    high: float | None
    n: int


@dataclass(frozen=True, slots=True)
class ColdFive:
    """Clean of the first five scored balls of a session, and of the rest, over sessions."""

    sessions: int
    missing: int
    cold_clean: int = 0
    cold_reps: int = 0
    rest_clean: int = 0
    rest_reps: int = 0


@dataclass(frozen=True, slots=True)
class DrillLadder:
    """One drill. `gap`: points of 100 by which the student's own count runs above the
    coach's, None below 20 checked reps."""

    drill_id: UUID
    name: str
    clean_line: int
    steps: tuple[StepAnswer, ...]
    curve: tuple[CurvePoint, ...]
    highest: Highest | None
    gap: int | None
    gap_reps: int
    cold: ColdFive | None
    as_asked: int
    from_memory: int
    # What is tested is no ladder to climb: its drill has the next step.
    is_test: bool

    @property
    def next_step(self) -> "Suggestion":
        """By the words of its steps, as the page shows them."""
        from practice.numbers.ladder.next_step import StepResult, suggest

        steps = [StepResult(s.effort, s.clean, s.reps, s.days, s.word) for s in self.steps]
        return suggest(steps, self_score_gap=self.gap)


@dataclass(frozen=True, slots=True)
class Ladders:
    """All drills with scored reps from `since` to `today`."""

    since: date
    today: date
    drills: tuple[DrillLadder, ...]


def ladders(found: LadderFacts, today: date) -> Ladders:
    drills = tuple(_drill(facts, found.usual) for facts in found.drills)
    return Ladders(today - DAYS, today, drills)


def _drill(facts: DrillFacts, usual: DaySpread) -> DrillLadder:
    from practice.measures.ladder import self_score_gap

    gap = self_score_gap(facts.pairs)
    points = None if isinstance(gap, TooLittle) else gap
    steps = steps_of(facts.own, facts.checked)
    judged = judge(steps, points, usual)
    curve, highest = curve_of(judged, facts.clean_line, usual)
    return DrillLadder(
        drill_id=facts.drill_id,
        name=facts.name,
        clean_line=facts.clean_line,
        steps=tuple(_answer(each) for each in judged),
        curve=curve,
        highest=highest,
        gap=points,
        gap_reps=sum(reps for _, _, reps in facts.pairs),
        cold=_cold(facts.sittings),
        as_asked=facts.as_asked,
        from_memory=facts.from_memory,
        is_test=facts.is_test,
    )


def _answer(judged: Judged) -> StepAnswer:
    step = judged.step
    return StepAnswer(
        effort=step.effort,
        clean=step.clean,
        reps=step.reps,
        days=len(step.counts),
        share=judged.share,
        low=judged.low,
        high=judged.high,
        word=judged.word,
        evidence=COACH_CHECKED if step.is_checked else "counted",
        pool=judged.pool,
        capped=judged.capped,
    )


def curve_of(
    judged: Sequence[Judged], clean_line: int, usual: DaySpread
) -> tuple[tuple[CurvePoint, ...], Highest | None]:
    from practice.measures.ladder import clean_curve, highest_effort

    cells = [
        (step.effort, *count, day.toordinal())
        for step in (each.step for each in judged)
        for day, count in step.counts.items()
    ]
    tried, clean, reps, days = zip(*cells, strict=True) if cells else ((), (), (), ())
    found = clean_curve(tried, clean, reps, days=days, usual=usual)
    if isinstance(found, TooLittle):
        return (), None
    lowest, top = min(found.efforts), max(found.efforts)
    efforts = sorted({round(lowest + (top - lowest) * k / 6) for k in range(7)})
    reach = highest_effort(found, _criterion(clean_line))
    highest = Highest(str(reach.reach), clean_line, reach.effort, reach.low, reach.high, reach.n)
    (a, b), (_, d) = found.covariance
    points = tuple(
        _point(found.intercept + found.slope * e, a + 2 * b * e + d * e * e, e) for e in efforts
    )
    return points, highest


def _point(logit: float, variance: float, effort: int) -> CurvePoint:
    from math import exp, sqrt

    from practice.measures.rates import Z95

    reach = Z95 * sqrt(max(variance, 0.0))
    low, middle, high = (1 / (1 + exp(-each)) for each in (logit - reach, logit, logit + reach))
    return CurvePoint(effort, middle, low, high)


def _criterion(clean_line: int) -> float:
    """The clean line as a share that a curve can reach."""
    return min(max(clean_line, 5), 95) / 100


def _cold(sittings: Sequence[Sequence[bool]]) -> ColdFive | None:
    """Over the newest eight sessions with more than five scored balls; None where none has."""
    usable = [scored for scored in sittings if len(scored) > COLD]
    if not usable:
        return None
    if len(usable) < COLD_SESSIONS:
        return ColdFive(len(usable), COLD_SESSIONS - len(usable))
    newest = usable[:COLD_SESSIONS]
    return ColdFive(
        sessions=len(newest),
        missing=0,
        cold_clean=sum(sum(scored[:COLD]) for scored in newest),
        cold_reps=COLD * len(newest),
        rest_clean=sum(sum(scored[COLD:]) for scored in newest),
        rest_reps=sum(len(scored) - COLD for scored in newest),
    )
