"""What to do next with a ladder, from its results: raise, keep or lower. Pure.

The verdict on each step says whether, the up-down rule says how far. The one next step that the
ladder's page, the door note and the closing of a lesson speak of; the coach decides.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from practice.measures.ladder import Holds, next_effort
from practice.measures.rates import counts
from practice.numbers.ladder.steps import GENEROUS

EFFORT_STEP = 5
MOST_EFFORT = 100
HOLDING_SHARE = 0.7


class Change(StrEnum):
    RAISE = "raise"
    KEEP = "keep"
    LOWER = "lower"


@dataclass(frozen=True, slots=True)
class StepResult:
    """Clean reps of all scored reps at one felt effort (percent), on so many days.

    `word`: holds, breaks, not settled or too few, as the ladder's page says it.
    """

    effort: int
    clean: int
    reps: int
    days: int
    word: str

    def __post_init__(self) -> None:
        counts(self.clean, self.reps)


@dataclass(frozen=True, slots=True)
class Suggestion:
    """What to do with a ladder, why, and the felt effort to work at next (None: as it is)."""

    change: Change
    reason: str
    effort: int | None = None

    @property
    def next(self) -> str:
        """'Work at 70.', 'Add a step at 85.', 'Keep the steps as they are.'"""
        if self.effort is None:
            return "Keep the steps as they are."
        return f"{'Add a step' if self.change is Change.RAISE else 'Work'} at {self.effort}."


def suggest(steps: Sequence[StepResult], *, self_score_gap: int | None = None) -> Suggestion:
    """Raise, keep or lower, from what the last 21 days show.

    Parameters
    ----------
    steps : sequence of StepResult
        In any order; one for each felt effort.
    self_score_gap : int, optional
        Points by which the student's own clean count runs above the coach's, for the reason.

    Returns
    -------
    Suggestion
        LOWER if a step breaks: to between it and the step that holds below. RAISE if
        the highest step tried holds. KEEP otherwise, also with too few reps.

    Raises
    ------
    BadData
        More clean than reps, or counts below zero.

    Notes
    -----
    House rule on the ladder's own words (`practice.numbers.ladder.steps`). How far: `next_effort`
    (Kaernbach, 1991) at a share of 0.7, at least one step of 5 points.

    Examples
    --------
    >>> steps = [StepResult(60, 28, 34, 4, "holds"), StepResult(80, 13, 28, 4, "breaks")]
    >>> suggest(steps).reason
    'Holds at 60, breaks at 80. Work at 70.'
    """
    judged = sorted((step for step in steps if step.reps), key=lambda step: step.effort)
    if all(each.word == Holds.TOO_FEW for each in judged):
        reps = sum(step.reps for step in steps)
        return Suggestion(Change.KEEP, f"Too soon to say: {reps} scored reps in 21 days.")
    broken = next((each for each in judged if each.word == Holds.BREAKS), None)
    if broken is not None:
        return _lower(judged, broken)
    top = [each for each in judged if each.word != Holds.TOO_FEW][-1]
    if top.word == Holds.HOLDS:
        return _raise(top)
    why = "not settled"
    if self_score_gap is not None and self_score_gap >= GENEROUS:
        why += f"; self-called, runs {self_score_gap} points high"
    return Suggestion(Change.KEEP, f"At {top.effort} it is {why}. Stay there.")


def _lower(judged: Sequence[StepResult], broken: StepResult) -> Suggestion:
    held = [e for e in judged if e.word == Holds.HOLDS and e.effort < broken.effort]
    breaks = f"breaks at {broken.effort}"
    down = next_effort(broken.effort, broken.clean, broken.reps, target=HOLDING_SHARE)
    effort = min(int(down), broken.effort - EFFORT_STEP)
    if held:
        middle = (held[-1].effort + broken.effort) // (2 * EFFORT_STEP) * EFFORT_STEP
        effort = max(held[-1].effort, min(effort, middle))
        words = f"Holds at {held[-1].effort}, {breaks}. Work at {effort}."
        return Suggestion(Change.LOWER, words, effort)
    slower = [e for e in judged if e.effort < broken.effort]
    if slower:
        return Suggestion(Change.LOWER, f"{breaks.capitalize()}. Go back to {effort}.", effort)
    words = f"{breaks.capitalize()}, the slowest step. Go slower, or take another drill."
    return Suggestion(Change.LOWER, words, max(effort, 30))


def _raise(step: StepResult) -> Suggestion:
    if step.effort >= MOST_EFFORT:
        return Suggestion(Change.KEEP, "Holds at full. Keep it.")
    up = next_effort(step.effort, step.clean, step.reps, target=HOLDING_SHARE)
    effort = min(MOST_EFFORT, max(int(up), step.effort + EFFORT_STEP))
    words = f"Holds at {step.effort}. Add a step at {effort}."
    return Suggestion(Change.RAISE, words, effort)
