"""A dose said aloud: what the coach reads back while typing it."""

from math import floor

from practice.drills.dose import Dose, DoseError, DoseUnit, Step, parse

FEWEST_WHOLE = 2  # From so many minutes on, "about" goes by whole ones.

ONE = {DoseUnit.REPS: "rep", DoseUnit.BALLS: "ball", DoseUnit.MINUTES: "minute"}


def in_words(dose: Dose) -> str:
    """'12 reps at 40 percent, then 9 reps at 60 percent'."""
    text = ", then ".join(_step(step) for step in dose.steps)
    return f"{dose.rounds} rounds of: {text}" if dose.rounds > 1 else text


def totals(dose: Dose, seconds_per_rep: float) -> str:
    """'30 reps, 3 of them hard; about 15 minutes'."""
    told = []
    if dose.reps:
        told.append(_count(dose.reps, "rep"))
    if dose.hard_reps:
        told.append(f"{dose.hard_reps} of them hard")
    minutes = dose.minutes(seconds_per_rep)
    if minutes >= FEWEST_WHOLE:
        minutes = floor(minutes + 0.5)
    return "; ".join(filter(None, (", ".join(told), f"about {_count(minutes, 'minute')}")))


def _step(step: Step) -> str:
    amount = _count(step.amount, ONE[step.unit])
    text = f"{step.sets} sets of {amount}" if step.sets > 1 else amount
    if step.as_hard_as_you_can:
        text += " as hard as you can"
    elif step.effort is not None:
        text += f" at {step.effort} percent"
    return f"back to {text}" if step.is_return else text


def _count(number: float, noun: str) -> str:
    return f"{number:g} {noun}{'' if number == 1 else 's'}"


def typed_in_short(text: str) -> str:
    """The short words of a dose that was typed; as it was typed where it is no dose of ours."""
    try:
        return in_short(parse(text))
    except DoseError:
        return text


def in_short(dose: Dose) -> str:
    """'3 sets of 8, felt 70', of several steps '12, felt 40; 9, felt 60; back to 12, felt 40'."""
    text = "; ".join(map(step_in_short, dose.steps))
    return f"{dose.rounds} rounds of: {text}" if dose.rounds > 1 else text


def step_in_short(step: Step) -> str:
    """'3 sets of 8, felt 70'."""
    amount = str(step.amount) if step.unit is DoseUnit.REPS else _count(step.amount, ONE[step.unit])
    text = f"{step.sets} sets of {amount}" if step.sets > 1 else amount
    if step.as_hard_as_you_can:
        text += ", as hard as you can"
    elif step.effort is not None:
        text += f", felt {step.effort}"
    return f"back to {text}" if step.is_return else text
