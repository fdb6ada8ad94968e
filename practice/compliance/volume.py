"""Volume: everything that was done, asked for or not. Side by side, never added together."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from practice.care.load import swing_equivalents
from practice.compliance.credit import DAYS_IN_WEEK
from practice.compliance.dates import Filed
from practice.compliance.facts import DoneBlock, WeekPart
from practice.compliance.parts import LoggedStep, dose_of, estimated_minutes
from practice.drills.dose import HARD_EFFORT, DoseUnit, Step

LESSON = "lesson"
_Swing = tuple[float, int | None]


@dataclass(frozen=True, slots=True)
class Volume:
    """Amounts of one week. Lesson swings are load (hard swings, equivalents), nothing else."""

    asked_for_minutes: float
    minutes_by_day: list[float]
    # Practice days with something done at home, as offsets from the opening day, in order.
    days: list[int]
    reps: int
    balls: int
    hard_swings: int
    swing_equivalents: float

    def __add__(self, more: "Volume") -> "Volume":
        by_day = zip(self.minutes_by_day, more.minutes_by_day, strict=True)
        return Volume(
            self.asked_for_minutes + more.asked_for_minutes,
            [here + there for here, there in by_day],
            sorted({*self.days, *more.days}),
            self.reps + more.reps,
            self.balls + more.balls,
            self.hard_swings + more.hard_swings,
            self.swing_equivalents + more.swing_equivalents,
        )

    def as_fields(self) -> dict[str, Any]:
        minutes = sum(self.minutes_by_day)
        return {
            "minutes": minutes,
            # Of practice that nobody asked for, or that came when it could not count.
            "unplanned_minutes": max(0.0, minutes - self.asked_for_minutes),
            "minutes_by_day": self.minutes_by_day,
            "days_done": len(self.days),
            "reps": self.reps,
            "balls": self.balls,
            "hard_swings": self.hard_swings,
            "swing_equivalents": self.swing_equivalents,
        }


def volume_of(
    results: Sequence[DoneBlock], parts: Sequence[WeekPart], opens: date, minutes: dict[int, float]
) -> Volume:
    """Add up results of a week; `minutes` as minutes_of() gives them."""
    home = [result for result in results if result.what != LESSON]
    by_day = [0.0] * DAYS_IN_WEEK
    for result in home:
        by_day[min(max((result.day - opens).days, 0), DAYS_IN_WEEK - 1)] += minutes[result.pk]
    own = _by_id(parts)
    counted = [(result, _counted(result, own.get(result.part))) for result in results]
    return Volume(
        asked_for_minutes=sum(minutes[r.pk] for r in home if _is_asked_for(r)),
        minutes_by_day=by_day,
        days=sorted({(result.day - opens).days for result in home}),
        reps=sum(_reps(steps) for result, steps in counted if result.what != LESSON),
        balls=sum(result.balls for result in home),
        hard_swings=sum(result.hard_swings for result in results),
        swing_equivalents=swing_equivalents([s for each in counted for s in _swings(*each)]),
    )


def _is_asked_for(result: DoneBlock) -> bool:
    return result.part is not None and result.filed != Filed.UNPLANNED


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


def minutes_of(
    entries: Iterable[Sequence[DoneBlock]], parts: Sequence[WeekPart]
) -> dict[int, float]:
    """Active minutes of each result, by its id; `entries` are all results of each entry.

    As given for the block. Where only the whole entry has minutes, what the other
    blocks leave is shared out by estimate, evenly if there is none. With neither,
    reps at the drill's pace.
    """
    minutes: dict[int, float] = {}
    own = _by_id(parts)
    for results in entries:
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
