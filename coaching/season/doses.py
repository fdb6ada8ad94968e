"""The next dose of a ladder from its results: raise, keep or lower, with the reason. Pure.

The verdict on each step says whether, the up-down rule says how far. A suggestion to
the coach, never done by itself.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from practice.drills.dose import MOST_STEPS, Dose, Step, Unit
from practice.measures.ladder import Holds, holds, next_effort

GENEROUS = 15  # Points of 100 by which a student's own count may run above the coach's.
EFFORT_STEP = 5
MOST_EFFORT = 100
FEWEST_FOR_PERCENT = 12
HOLDING_SHARE = 0.7


class Change(StrEnum):
    RAISE = "raise"
    KEEP = "keep"
    LOWER = "lower"


@dataclass(frozen=True, slots=True)
class StepResult:
    """Clean reps of all scored reps at one felt effort (percent), on so many days."""

    effort: int
    clean: int
    reps: int
    days: int


@dataclass(frozen=True, slots=True)
class Suggestion:
    """What to do with a ladder, why, and the felt effort to work at next (None: as it is)."""

    change: Change
    reason: str
    effort: int | None = None


@dataclass(frozen=True, slots=True)
class _Judged:
    step: StepResult
    holds: Holds

    @property
    def words(self) -> str:
        return f"{self.step.effort} ({self.step.clean} of {self.step.reps})"


def suggest(steps: Sequence[StepResult], *, self_score_gap: int | None = None) -> Suggestion:
    """Raise, keep or lower, from what the last 21 days show.

    Parameters
    ----------
    steps : sequence of StepResult
        In any order; one for each felt effort.
    self_score_gap : int, optional
        Points by which the student's own clean count runs above the coach's. From 15
        up a *holds* is read as *not settled*; a *breaks* stands.

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
    House rule on the verdicts of `practice.measures.ladder.holds`; a higher step that
    looks better than a lower one is pooled with it first. How far: `next_effort`
    (Kaernbach, 1991) at a share of 0.7, at least one step of 5 points.

    Examples
    --------
    >>> suggest([StepResult(60, 28, 34, 4), StepResult(80, 13, 28, 4)]).reason
    'Holds at 60 (28 of 34), breaks at 80 (13 of 28): the work lives at 70.'
    """
    judged = [_Judged(step, _verdict(step, self_score_gap)) for step in _pooled(steps)]
    if all(each.holds is Holds.TOO_FEW for each in judged):
        reps = sum(step.reps for step in steps)
        return Suggestion(Change.KEEP, f"Too soon to say: {reps} scored reps in 21 days.")
    broken = next((each for each in judged if each.holds is Holds.BREAKS), None)
    if broken is not None:
        return _lower(judged, broken)
    top = [each for each in judged if each.holds is not Holds.TOO_FEW][-1]
    if top.holds is Holds.HOLDS:
        return _raise(top)
    why = "not settled"
    if self_score_gap is not None and self_score_gap >= GENEROUS:
        why += f"; self-called, runs {self_score_gap} points high"
    return Suggestion(Change.KEEP, f"At {top.words} it is {why}. Stay there.")


def _verdict(step: StepResult, gap: int | None) -> Holds:
    found = holds(step.clean, step.reps, step.days)
    if found is Holds.HOLDS and gap is not None and gap >= GENEROUS:
        return Holds.NOT_SETTLED
    return found


def _pooled(steps: Sequence[StepResult]) -> list[StepResult]:
    """Steps by effort; neighbours of which the higher looks better share their counts."""
    groups: list[list[StepResult]] = []
    for step in sorted((s for s in steps if s.reps), key=lambda s: s.effort):
        groups.append([step])
        while len(groups) > 1 and _share(groups[-1]) > _share(groups[-2]):
            last = groups.pop()
            groups[-1] += last
    return [_joined(step, group) for group in groups for step in group]


def _share(group: Sequence[StepResult]) -> float:
    return sum(s.clean for s in group) / sum(s.reps for s in group)


def _joined(step: StepResult, group: Sequence[StepResult]) -> StepResult:
    clean, reps = sum(s.clean for s in group), sum(s.reps for s in group)
    return StepResult(step.effort, clean, reps, max(s.days for s in group))


def _lower(judged: Sequence[_Judged], broken: _Judged) -> Suggestion:
    held = [e for e in judged if e.holds is Holds.HOLDS and e.step.effort < broken.step.effort]
    breaks = f"breaks at {broken.words}"
    down = next_effort(
        broken.step.effort, broken.step.clean, broken.step.reps, target=HOLDING_SHARE
    )
    effort = min(int(down), broken.step.effort - EFFORT_STEP)
    if held:
        middle = (held[-1].step.effort + broken.step.effort) // (2 * EFFORT_STEP) * EFFORT_STEP
        effort = max(held[-1].step.effort, min(effort, middle))
        words = f"Holds at {held[-1].words}, {breaks}: the work lives at {effort}."
        return Suggestion(Change.LOWER, words, effort)
    slower = [e for e in judged if e.step.effort < broken.step.effort]
    if slower:
        return Suggestion(Change.LOWER, f"{breaks.capitalize()}: go back to {effort}.", effort)
    words = f"{breaks.capitalize()}, the slowest step there is: slower, or another drill."
    return Suggestion(Change.LOWER, words, max(effort, 30))


def _raise(top: _Judged) -> Suggestion:
    step = top.step
    if step.effort >= MOST_EFFORT:
        return Suggestion(Change.KEEP, f"Holds at full ({step.clean} of {step.reps}): keep it.")
    up = next_effort(step.effort, step.clean, step.reps, target=HOLDING_SHARE)
    effort = min(MOST_EFFORT, max(int(up), step.effort + EFFORT_STEP))
    words = f"Holds at {top.words} on {step.days} days: add a step at {effort}."
    return Suggestion(Change.RAISE, words, effort)


def stepped(dose: Dose, suggestion: Suggestion) -> Dose:
    """The dose with the suggestion taken: a step more on top, or the top brought down.

    Raised: half the reps of the highest step, at the new effort, before the return set.
    Lowered: steps above the new effort are brought down to it. A dose without efforts,
    or as long as one can be, stays as it is.
    """
    up = [n for n, s in enumerate(dose.steps) if s.effort is not None and not s.is_return]
    if suggestion.effort is None or suggestion.change is Change.KEEP or not up:
        return dose
    if suggestion.change is Change.RAISE:
        return _one_more(dose, up[-1], suggestion.effort)
    steps: list[Step] = []
    for step in dose.steps:
        over = step.effort is not None and step.effort > suggestion.effort
        lowered = replace(step, effort=suggestion.effort, as_hard_as_you_can=False)
        if over and steps and _same(steps[-1], lowered):
            continue  # Two steps brought to one effort are one.
        steps.append(lowered if over else step)
    return replace(dose, steps=tuple(steps))


def _same(one: Step, other: Step) -> bool:
    return (one.effort, one.is_return, one.unit) == (other.effort, other.is_return, other.unit)


def _one_more(dose: Dose, top: int, effort: int) -> Dose:
    highest = dose.steps[top]
    if len(dose.steps) >= MOST_STEPS or (highest.effort or 0) >= effort:
        return dose
    amount = max(1, highest.total // 2)
    step = Step(amount, highest.unit if highest.unit is not Unit.MINUTES else Unit.REPS, 1, effort)
    return replace(dose, steps=(*dose.steps[: top + 1], step, *dose.steps[top + 1 :]))
