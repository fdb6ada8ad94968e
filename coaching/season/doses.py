"""A ladder's dose with its next step taken: a suggestion, never done by itself. Pure."""

from dataclasses import replace

from practice.drills.dose import MOST_STEPS, Dose, DoseUnit, Step
from practice.numbers.ladder.next_step import Change, Suggestion


def stepped(dose: Dose, suggestion: Suggestion) -> Dose:
    """The dose with the suggestion taken: a step more on top, or the top brought down.

    Raised: half the reps of the highest step, at the new effort, before the return set.
    Lowered: steps above the new effort are brought down to it. A dose without efforts,
    or as long as one can be, stays as it is.
    """
    steps = enumerate(dose.steps)
    up = {n: s.effort for n, s in steps if s.effort is not None and not s.is_return}
    if suggestion.effort is None or suggestion.change is Change.KEEP or not up:
        return dose
    if suggestion.change is Change.RAISE:
        top = max(up)
        stays = len(dose.steps) >= MOST_STEPS or up[top] >= suggestion.effort
        return dose if stays else _one_more(dose, top, suggestion.effort)
    lower: list[Step] = []
    for step in dose.steps:
        over = step.effort is not None and step.effort > suggestion.effort
        lowered = replace(step, effort=suggestion.effort, as_hard_as_you_can=False)
        if over and lower and _same(lower[-1], lowered):
            continue  # Two steps brought to one effort are one.
        lower.append(lowered if over else step)
    return replace(dose, steps=tuple(lower))


def _same(one: Step, other: Step) -> bool:
    return (one.effort, one.is_return, one.unit) == (other.effort, other.is_return, other.unit)


def _one_more(dose: Dose, top: int, effort: int) -> Dose:
    highest = dose.steps[top]
    amount = max(1, highest.total // 2)
    step = Step(
        amount, highest.unit if highest.unit is not DoseUnit.MINUTES else DoseUnit.REPS, 1, effort
    )
    return replace(dose, steps=(*dose.steps[: top + 1], step, *dose.steps[top + 1 :]))
