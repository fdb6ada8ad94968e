"""Load: how many hard swings, and whether there are suddenly many more. Pure.

Load says nothing about completion, and a jump is a reason to ask, never a forecast.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import fmean

JUMP_RATIO = 1.5
JUMP_RISE, JUMP_RISE_UNDER_16 = 40, 25
CEILING, CEILING_UNDER_16 = 60, 40
KNOWN_WEEKS = 3
SURPLUS = 1.2


def swing_equivalents(sets: Iterable[tuple[float, float | None]]) -> float:
    """Full-swing equivalents: the sum of reps × (effort / 100)².

    Parameters
    ----------
    sets : iterable of (reps, effort)
        Effort in percent: the measured share of full speed where it is known, else
        what was felt. None: not a swing with an effort, and it adds nothing.

    Returns
    -------
    float
        In full swings.

    Notes
    -----
    House rule, not a published one; the square because swing energy goes with the
    square of speed. For load only, never for completion.

    Examples
    --------
    >>> round(swing_equivalents([(10, 50), (8, 70), (6, 90)]), 2)
    11.28
    """
    return sum(reps * (effort / 100) ** 2 for reps, effort in sets if effort is not None)


class Load(StrEnum):
    """What this week's hard swings look like beside the weeks before."""

    USUAL = "usual"
    JUMP = "jump"
    NO_BASE = "no base"
    NO_BASE_OVER = "no base, ceiling passed"


@dataclass(frozen=True, slots=True)
class LoadJump:
    """The word, with the figures it came from: mean of the weeks before, or the ceiling."""

    load: Load
    mean: float | None
    ceiling: int | None = None


@dataclass(frozen=True, slots=True)
class JumpLines:
    """From which ratio and rise on it is a jump, and the ceiling while there is no base."""

    ratio: float = JUMP_RATIO
    rise: float = JUMP_RISE
    ceiling: int = CEILING


YOUNG = JumpLines(JUMP_RATIO, JUMP_RISE_UNDER_16, CEILING_UNDER_16)


def load_jump(
    before: Sequence[int | None],
    now: int,
    *,
    under_16: bool = False,
    lines: JumpLines | None = None,
) -> LoadJump:
    """Compare hard swings of this week with the four weeks before it.

    Parameters
    ----------
    before : sequence of int or None
        Hard swings (effort 90 or more) of up to four weeks before, in any order;
        None for a week that is not known. This week is not among them.
    now : int
        Hard swings of this week.
    under_16 : bool, optional
        Lower lines for the young.
    lines : JumpLines, optional
        Other lines than these, for whoever has chosen some.

    Returns
    -------
    LoadJump
        JUMP if at least 1.5 times the mean and the rise at least 40 (under 16: 25).
        With fewer than 3 known weeks there is no base, only a ceiling of 60 (40).

    Raises
    ------
    ValueError
        More than four weeks, or a negative count.

    Notes
    -----
    House rule, not a published one. Ratios of this kind are argued about.
    """
    known = [swings for swings in before if swings is not None]
    if len(before) > 4 or now < 0 or any(swings < 0 for swings in known):
        raise ValueError("At most four weeks before, and no negative counts.")
    lines = lines or (YOUNG if under_16 else JumpLines())
    if len(known) < KNOWN_WEEKS:
        over = now > lines.ceiling
        return LoadJump(Load.NO_BASE_OVER if over else Load.NO_BASE, None, lines.ceiling)
    mean = fmean(known)
    is_jump = now >= lines.ratio * mean and now - mean >= lines.rise
    return LoadJump(Load.JUMP if is_jump else Load.USUAL, mean)


def is_past_the_plan(
    done: float, asked: float, *, jump: bool, pain: bool, priority_credit: float | None
) -> bool:
    """Whether surplus of a part is worth the coach's eye.

    Only over 120 percent of the asked reps, and only when hard swings jump, pain was
    told, or priority 1 is under half. Otherwise extra practice is a pleasure, not a
    fault. House rule.
    """
    reason = jump or pain or (priority_credit is not None and priority_credit < 0.5)
    return asked > 0 and done > SURPLUS * asked and reason
