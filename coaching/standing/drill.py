"""Whether the drill is the question: it was done, and by the coach's own counts it breaks."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

WEEKS = 4
LEAST_WEEKS = 3
DONE_FROM = 0.70


@dataclass(frozen=True, slots=True)
class CheckedStep:
    """What a coach counted at one felt effort: clean of reps, on so many days."""

    effort: int
    clean: int
    reps: int
    days: int


@dataclass(frozen=True, slots=True)
class DrillCheck:
    """A first part that was done and has not come to hold."""

    part: str
    share: float
    weeks: int
    steps: tuple[CheckedStep, ...]


def drill_to_change(
    part: str, shares: Sequence[float], steps: Sequence[CheckedStep]
) -> DrillCheck | None:
    """The drill as a question, or None.

    Parameters
    ----------
    part : str
        Name of priority 1.
    shares : sequence of float
        Its credit in past open weeks, oldest first; the last four are read.
    steps : sequence of CheckedStep
        Counts of a coach in the last weeks; a student's own are never used here.

    Returns
    -------
    DrillCheck or None
        If 70 percent was done over three weeks or more, and every effort that has
        enough counts breaks, the slowest among them.

    Notes
    -----
    House rule: done and not moved asks for another drill, not for more of it. Whether a
    step breaks is practice.measures.ladder.holds.
    """
    from practice.measures.ladder import Holds, holds

    recent = shares[-WEEKS:]
    if len(recent) < LEAST_WEEKS or fmean(recent) < DONE_FROM:
        return None
    said = [
        (step, holds(step.clean, step.reps, step.days))
        for step in sorted(steps, key=lambda step: step.effort)
    ]
    known = [(step, word) for step, word in said if word is not Holds.TOO_FEW]
    if not known or any(word is not Holds.BREAKS for _, word in known):
        return None
    return DrillCheck(part, fmean(recent), len(recent), tuple(step for step, _ in known))
