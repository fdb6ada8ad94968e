"""How somebody practises: when, what most of, how much beside the usual. Pure.

Every function answers None where there is nothing to go by.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import median

LAST_DAYS = 2
CRAM_SHARE, CRAM_ABOVE_PLAN = 0.60, 0.30
FITS, STRETCH = 1.2, 1.5
USUAL_WEEKS = 6
COUNTS_NEEDED, COUNTS_SAME = 12, 0.9
_CRUMB = 1e-9


@dataclass(frozen=True, slots=True)
class Cramming:
    """Shares of the week's minutes in its last two days before the lesson, done and planned."""

    share: float
    planned_share: float
    flag: bool


def cramming(
    done: Sequence[float],
    planned: Sequence[float],
    *,
    share_from: float = CRAM_SHARE,
    above_plan: float = CRAM_ABOVE_PLAN,
) -> Cramming | None:
    """Whether practice piled up in the two practice days before the lesson.

    Parameters
    ----------
    done, planned : sequence of float
        Minutes by day; the last two are the two days before the lesson.
    share_from, above_plan : float, optional
        From which share of the minutes, and so far above the planned share.

    Returns
    -------
    Cramming or None
        Flagged at 60 percent or more and at least 30 points above the planned
        share: a plan for the last days that was followed is no cramming. None
        without any minutes done or planned.

    Raises
    ------
    ValueError
        Fewer than three days, or lengths that differ.

    Notes
    -----
    House rule, not a published one.
    """
    if len(done) != len(planned) or len(done) <= LAST_DAYS:
        raise ValueError("Give the same days of both, at least three.")
    if sum(done) <= 0 or sum(planned) <= 0:
        return None
    share = sum(done[-LAST_DAYS:]) / sum(done)
    plan = sum(planned[-LAST_DAYS:]) / sum(planned)
    flag = share >= share_from - _CRUMB and share - plan >= above_plan - _CRUMB
    return Cramming(share, plan, flag)


def is_favourite(
    done: Sequence[float], planned: Sequence[float], part: int, priority_credit: float
) -> bool:
    """Whether a part gets much more than its share while priority 1 waits.

    Parameters
    ----------
    done, planned : sequence of float
        Minutes of each part.
    part : int
        Which of them.
    priority_credit : float
        Credit of priority 1, in [0, 1].

    Returns
    -------
    bool
        True if its share of the minutes done is more than twice its planned share
        and priority 1 is under one half.

    Notes
    -----
    House rule, not a published one. Shown after two weeks running.
    """
    if sum(done) <= 0 or sum(planned) <= 0:
        return False
    return done[part] / sum(done) > 2 * planned[part] / sum(planned) and priority_credit < 0.5


class Size(StrEnum):
    FITS = "fits"
    STRETCH = "a stretch"
    TOO_MUCH = "more than the usual"


@dataclass(frozen=True, slots=True)
class PlanSize:
    """A plan beside the usual minutes, as a ratio and in words."""

    usual: float
    ratio: float
    size: Size


def usual_minutes(weeks: Sequence[float]) -> float | None:
    """Median of the last six open weeks, planned and unplanned together; `weeks` oldest first."""
    return median(weeks[-USUAL_WEEKS:]) if weeks else None


def plan_size(minutes: float, usual: float | None) -> PlanSize | None:
    """Compare a plan with what the student usually does in a week.

    Parameters
    ----------
    minutes : float
        Minutes the plan asks for.
    usual : float or None
        From usual_minutes().

    Returns
    -------
    PlanSize or None
        Up to 1.2 times it fits, up to 1.5 it is a stretch. None without usual minutes.

    Notes
    -----
    House rule, not a published one.
    """
    if not usual or usual <= 0:
        return None
    ratio = minutes / usual
    size = Size.FITS if ratio <= FITS else Size.STRETCH if ratio <= STRETCH else Size.TOO_MUCH
    return PlanSize(usual, ratio, size)


def is_all_as_asked(given: int, same: int, share_from: float = COUNTS_SAME) -> bool:
    """Whether counts look copied from the plan: 90 percent of 12 or more exactly as asked.

    Parameters
    ----------
    given, same : int
        Step counts that were logged, and how many of them equal what was asked.
    share_from : float, optional
        The share that is a question.

    Notes
    -----
    House rule, not a published one. A reason to look at one clip, nothing else.
    """
    return given >= COUNTS_NEEDED and same >= share_from * given - _CRUMB
