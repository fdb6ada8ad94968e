"""Volume: everything that was done, asked for or not. Side by side, never added together."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from practice.care.load import swing_equivalents
from practice.compliance.credit import DAYS_IN_WEEK
from practice.compliance.dates import Filed
from practice.compliance.facts import DoneBlock, WeekFacts, WeekPart
from practice.compliance.parts import LoggedStep, dose_of, estimated_minutes
from practice.drills.dose import HARD_EFFORT, DoseUnit, Step

LESSON = "lesson"
_Swing = tuple[float, int | None]


@dataclass(frozen=True, slots=True)
class Volume:
    """Amounts of one week. Lesson swings are load (hard swings, equivalents), nothing else."""

    minutes: float
    asked_for_minutes: float
    minutes_by_day: list[float]
    days_done: int
    reps: int
    balls: int
    hard_swings: int
    swing_equivalents: float

    def as_fields(self) -> dict[str, Any]:
        names = ("minutes", "minutes_by_day", "days_done", "reps", "balls", "hard_swings")
        return {name: getattr(self, name) for name in (*names, "swing_equivalents")}


def volume_of(facts: WeekFacts, minutes: dict[int, float]) -> Volume:
    """Add up a week's results; `minutes` as minutes_of() gives them."""
    home = [result for result in facts.results if result.what != LESSON]
    by_day = [0.0] * DAYS_IN_WEEK
    for result in home:
        by_day[_offset(result, facts)] += minutes[result.pk]
    own = _by_id(facts.parts)
    counted = [(result, _counted(result, own.get(result.part))) for result in facts.results]
    return Volume(
        minutes=sum(by_day),
        asked_for_minutes=sum(minutes[r.pk] for r in home if _is_asked_for(r)),
        minutes_by_day=by_day,
        days_done=len({result.day for result in home}),
        reps=sum(_reps(steps) for result, steps in counted if result.what != LESSON),
        balls=sum(result.balls for result in home),
        hard_swings=sum(result.hard_swings for result in facts.results),
        swing_equivalents=swing_equivalents([s for each in counted for s in _swings(*each)]),
    )


def _is_asked_for(result: DoneBlock) -> bool:
    return result.part is not None and result.filed != Filed.UNPLANNED


def _offset(result: DoneBlock, facts: WeekFacts) -> int:
    return min(max((result.day - facts.opens).days, 0), DAYS_IN_WEEK - 1)


def _by_id(parts: Sequence[WeekPart]) -> dict[UUID | None, WeekPart]:
    return {part.pk: part for part in parts}


def _steps_beside(result: DoneBlock, part: WeekPart | None) -> tuple[Step, ...]:
    """The steps that the counts belong to: the part's, also where a swap was done."""
    dose = dose_of(part.dose if part else result.dose)
    return dose.steps if dose else ()


def _counted(result: DoneBlock, part: WeekPart | None) -> list[_Swing]:
    """(reps, felt effort) of every step that is not timed; unfelt ones as asked."""
    if not result.steps:
        return []
    asked = _steps_beside(result, part)
    steps = [(step, asked[i] if i < len(asked) else None) for i, step in enumerate(result.steps)]
    return [
        (done.get("n") or 0, _effort(done.get("effort"), ask))
        for done, ask in steps
        if ask is None or ask.unit is not DoseUnit.MINUTES
    ]


def _effort(felt: int | None, asked: Step | None) -> int | None:
    if felt is None and asked is not None:
        return asked.effort
    return felt


def _reps(steps: Sequence[_Swing]) -> int:
    return round(sum(reps for reps, _ in steps))


def _swings(result: DoneBlock, steps: Sequence[_Swing]) -> Sequence[_Swing]:
    """For load. Hard swings told without steps count at 90 percent, the least that hard means."""
    return steps or [(result.hard_swings, HARD_EFFORT)]


def minutes_of(facts: WeekFacts) -> dict[int, float]:
    """Active minutes of each result, by its id.

    As given for the block. Where only the whole entry has minutes, what the other
    blocks leave is shared out by estimate, evenly if there is none. With neither,
    reps at the drill's pace.
    """
    minutes: dict[int, float] = {}
    own = _by_id(facts.parts)
    for results in facts.neighbours.values():
        guesses = {r.pk: _estimate(r, own.get(r.part)) for r in results if r.minutes is None}
        given = {r.pk: r.minutes for r in results if r.minutes is not None}
        minutes |= given | _shared(guesses, results[0].whole, sum(given.values()))
    return minutes


def _shared(guesses: dict[int, float], whole: float | None, given: float) -> dict[int, float]:
    if whole is None or not guesses:
        return guesses
    left, total = max(0.0, whole - given), sum(guesses.values())
    if not total:
        return dict.fromkeys(guesses, left / len(guesses))
    return {pk: left * guess / total for pk, guess in guesses.items()}


def _estimate(result: DoneBlock, part: WeekPart | None) -> float:
    pace = part.seconds_per_rep if part else result.seconds_per_rep
    steps = [LoggedStep(step.get("n") or 0) for step in result.steps]
    return estimated_minutes(steps, _steps_beside(result, part), pace)
