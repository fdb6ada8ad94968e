"""Whether the drill is the question: it was done, and a gain worth having is ruled out."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from statistics import fmean

from practice.measures.usual import HOUSE, DaySpread

WEEKS = 4
LEAST_WEEKS = 3
DONE_FROM = 0.70


@dataclass(frozen=True, slots=True)
class CheckedStep:
    """What a coach counted at one felt effort on one day: clean of reps."""

    day: date
    effort: int
    clean: int
    reps: int


@dataclass(frozen=True, slots=True)
class DrillCheck:
    """A first part that was done and whose test did not move, all in shares of 1.

    `low` and `high` hold the change of its clean share; `worth` is the least worth having.
    """

    part: str
    share: float
    weeks: int
    days: int
    balls: int
    low: float
    high: float
    worth: float
    is_worse: bool = False


def drill_to_change(
    part: str,
    shares: Sequence[float],
    steps: Sequence[CheckedStep],
    usual: DaySpread = HOUSE.reps,
) -> DrillCheck | None:
    """The drill as a question, or None.

    Parameters
    ----------
    part : str
        Name of priority 1.
    shares : sequence of float
        Its credit in past open weeks, oldest first; the last four are read.
    steps : sequence of CheckedStep
        Counts of a coach in the last half year; a student's own are never used here.
    usual : DaySpread
        How much days of reps differ in this studio.

    Returns
    -------
    DrillCheck or None
        If 70 percent was done over three weeks or more, and the claim made of those counts
        (practice.measures.claim, the one that *What moved* prints) rules out a gain.

    Notes
    -----
    House rule: done and not moved asks for another drill, not for more of it.
    """
    recent = shares[-WEEKS:]
    if len(recent) < LEAST_WEEKS or fmean(recent) < DONE_FROM:
        return None
    from practice.measures.answers import TooLittle
    from practice.measures.claim import WORTH_SHARE, change_of_shares
    from practice.measures.together import shared_by
    from practice.measures.tried import StepTries, freed_of_steps

    tried = [StepTries(each.day, str(each.effort), each.clean, each.reps) for each in steps]
    shared = shared_by(sorted({each.day for each in steps}), usual.together)
    claim = change_of_shares(freed_of_steps(tried), WORTH_SHARE, usual, shared=shared)
    if isinstance(claim, TooLittle) or not claim.is_ruled_out:
        return None
    return DrillCheck(
        part,
        fmean(recent),
        len(recent),
        claim.days,
        claim.balls,
        claim.low,
        claim.high,
        claim.worth,
        claim.worse,
    )
