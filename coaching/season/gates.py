"""The gate from each stage of a move to the next, in words. Pure. House rules, no source."""

from collections.abc import Mapping

HOLDS, BREAKS = "holds", "breaks"
GATES = {
    "shape": "On to Flow once the move holds at a felt 60 to 70",
    "flow": "On to Speed once the move holds at a felt 90",
    "speed": "On to Keep once it holds at full on two test days, 14 days apart",
    "keep": "It holds at full, else one stage back",
}
# The gate of speed is two test days, which the coach judges.
_AT = {"shape": (60, 70), "flow": (90, 100), "keep": (100, 100)}
# The efforts at which a break is a reason to go back a stage; none lies before the first.
_BACK = {"flow": range(60, 91), "keep": range(100, 101)}
_NEXT = {"shape": "Flow", "flow": "Speed"}


def gate_words(stage: str) -> str:
    """What opens the gate; empty without a stage."""
    return GATES.get(stage, "")


def stands(stage: str, verdicts: Mapping[int, str]) -> str:
    """Where the move stands at its gate: open, back a stage, or not yet; empty if unknown.

    Parameters
    ----------
    stage : str
        shape, flow or keep; of speed nothing is said.
    verdicts : mapping of felt effort (percent) to word
        *holds*, *breaks*, *not settled* or *too few*, as practice.measures.ladder says it.

    Examples
    --------
    >>> stands("shape", {40: "holds", 60: "holds"})
    'The gate is open: it holds at 60.'
    """
    if stage not in _AT:
        return ""
    low, high = _AT[stage]
    at = [effort for effort in sorted(verdicts) if low <= effort <= high]
    held = [effort for effort in at if verdicts[effort] == HOLDS]
    back = _BACK.get(stage, ())
    broken = [effort for effort in back if verdicts.get(effort) == BREAKS]
    if broken and not held:
        return f"It breaks at {broken[0]}: a reason to go back one stage."
    if held and stage != "keep":
        return f"The gate is open: it holds at {held[-1]}."
    if not at:
        return f"Nothing is known at {low if low == high else f'{low} to {high}'} yet."
    return f"At {at[-1]}: {verdicts[at[-1]]}."


def near(stage: str, steps: Mapping[int, tuple[str, int, int]]) -> str:
    """An open gate, or one that is near: all but the last step holds. Else empty.

    Parameters
    ----------
    stage : str
        shape or flow; the later gates are test days, which the coach judges.
    steps : mapping of felt effort (percent) to word, clean and scored reps
        As `stands` reads them, with what each word rests on.

    Examples
    --------
    >>> near("flow", {80: ("holds", 56, 75), 95: ("not settled", 24, 38)})
    'The gate to Speed is near: holds at 80 (56 of 75), not settled at 95 (24 of 38).'
    """
    if stage not in _NEXT:
        return ""
    low, high = _AT[stage]
    at = [effort for effort in sorted(steps) if low <= effort <= high]
    below = [effort for effort in steps if effort < low]
    held = [effort for effort in at if steps[effort][0] == HOLDS]
    if held:
        return f"The gate to {_NEXT[stage]} is open: {_said(held[-1], steps)}."
    if not below or steps[max(below)][0] != HOLDS or any(steps[e][0] == BREAKS for e in at):
        return ""
    top = _said(max(at), steps) if at else f"nothing at {low} yet"
    return f"The gate to {_NEXT[stage]} is near: {_said(max(below), steps)}, {top}."


def _said(effort: int, steps: Mapping[int, tuple[str, int, int]]) -> str:
    word, clean, reps = steps[effort]
    return f"{word} at {effort} ({clean} of {reps})"
