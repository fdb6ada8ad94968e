"""Credit: the fair share of what was asked that was done. Pure, and never one combined score.

Amounts are of one unit per step (reps, balls or minutes). Days are offsets from the
day the week opens; an early start is negative and a make-up lies past the end.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

DAY_LINE = 1.5
EFFORT_LEEWAY = 10
DAYS_IN_WEEK = 7
NEARLY_ALL = 0.10
_CRUMB = 1e-9


@dataclass(frozen=True, slots=True)
class AskedStep:
    """One step of a part as asked.

    Attributes
    ----------
    amount : float
        Reps, balls or minutes in one session, all sets and rounds.
    effort : int or None
        Felt effort asked, percent; None if it does not matter.
    weight : float
        What one of `amount` weighs beside other steps. 1 where all steps count the
        same thing; planned minutes each where a dose asks for minutes and for reps.
    """

    amount: float
    effort: int | None = None
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class DayWork:
    """What counts for a part on one practice day: an amount per step, effort already checked."""

    day: int
    amounts: tuple[float, ...]
    # Ended by the stop rule, or by pain that was told.
    stopped: bool = False


@dataclass(frozen=True, slots=True)
class PartCredit:
    """What a part earned.

    Attributes
    ----------
    asked : float
        Sessions that count as asked. Whole, except where a stop or a removed part
        leaves as asked just what was done.
    done : float
        Credited sessions, at most `asked`.
    credit : float or None
        done / asked in [0, 1]; None if nothing is asked, and then the part is in no average.
    by_day : mapping of int to float
        Credited sessions that each day added, in day order. They add up to `done`.
    by_step : tuple of float
        Credited amount of each step.
    """

    asked: float
    done: float
    credit: float | None
    by_day: Mapping[int, float]
    by_step: tuple[float, ...]


def effort_counts(asked: int | None, felt: int | None) -> bool:
    """Whether a rep at this felt effort counts for its step: within 10 points of asked.

    Parameters
    ----------
    asked, felt : int or None
        Percent. None on either side: nothing to compare, so it counts.

    Notes
    -----
    House rule, not a published one. 60 for 50 counts, 65 does not.
    """
    return asked is None or felt is None or abs(asked - felt) <= EFFORT_LEEWAY


def excused_sessions(sessions: int, open_days: int) -> int:
    """Sessions still asked when only some days of the week are open.

    Parameters
    ----------
    sessions : int
        Sessions asked in a whole week.
    open_days : int
        Days not excused, 0 to 7.

    Returns
    -------
    int
        sessions × open days / 7, a half rounded up; at least 1 if 2 days are open.

    Raises
    ------
    ValueError
        Negative sessions, or open days outside 0 to 7.

    Notes
    -----
    House rule, not a published one.
    """
    if sessions < 0 or not 0 <= open_days <= DAYS_IN_WEEK:
        raise ValueError("A week asks for 0 or more sessions and has 0 to 7 open days.")
    share = (2 * sessions * open_days + DAYS_IN_WEEK) // (2 * DAYS_IN_WEEK)
    return max(1, share) if open_days >= 2 and sessions else share


def merged(works: Sequence[DayWork]) -> list[DayWork]:
    """One DayWork per day, in day order: all practice of a part in a day is one session."""
    days: dict[int, DayWork] = {}
    for work in works:
        known = days.get(work.day)
        if known:
            both = zip(known.amounts, work.amounts, strict=True)
            work = DayWork(work.day, tuple(map(sum, both)), known.stopped or work.stopped)  # noqa: PLW2901
        days[work.day] = work
    return [days[day] for day in sorted(days)]


def part_credit(
    steps: Sequence[AskedStep],
    sessions: int,
    works: Sequence[DayWork],
    *,
    by_total: bool = False,
) -> PartCredit:
    """Credit of one part over its week.

    Parameters
    ----------
    steps : sequence of AskedStep
        The dose of one session.
    sessions : int
        Sessions asked, after excused days.
    works : sequence of DayWork
        In any order; several of one day are added up first.
    by_total : bool, optional
        No day line: only the total of the week counts.

    Returns
    -------
    PartCredit
        With credit None if no session is asked.

    Raises
    ------
    ValueError
        No steps, an amount or weight that is not positive, negative work, or work
        with another number of steps than the dose.

    Notes
    -----
    House rule, not a published one: each step earns at most one and a half sessions
    a day (the day line, because spread practice keeps better) and at most all that
    was asked in the week, so surplus of one step or day never fills another. A day
    ended by the stop rule counts as at least the whole session. Without a favourite
    step, partial sessions pool across days.
    """
    _check(steps, sessions, works)
    if not sessions:
        return PartCredit(0, 0, None, {}, (0.0,) * len(steps))
    held = [0.0] * len(steps)
    by_day: dict[int, float] = {}
    whole = sum(step.weight * step.amount for step in steps)
    for work in merged(works):
        before = list(held)
        for i, step in enumerate(steps):
            held[i] = min(sessions * step.amount, held[i] + _counted(step, work, i, by_total))
        gained = sum(s.weight * (h - b) for s, h, b in zip(steps, held, before, strict=True))
        by_day[work.day] = gained / whole
    done = sum(s.weight * h for s, h in zip(steps, held, strict=True)) / whole
    return PartCredit(sessions, done, min(1.0, done / sessions), by_day, tuple(held))


def _counted(step: AskedStep, work: DayWork, i: int, by_total: bool) -> float:
    amount = max(work.amounts[i], step.amount) if work.stopped else work.amounts[i]
    return amount if by_total else min(DAY_LINE * step.amount, amount)


def _check(steps: Sequence[AskedStep], sessions: int, works: Sequence[DayWork]) -> None:
    if not steps or any(step.amount <= 0 or step.weight <= 0 for step in steps):
        raise ValueError("A dose has steps, and each asks for something.")
    if sessions < 0:
        raise ValueError("Sessions cannot be negative.")
    if any(len(w.amounts) != len(steps) or min(w.amounts) < 0 for w in works):
        raise ValueError("Work has one amount per step, none negative.")


def lowered(part: PartCredit, floor_sessions: float) -> PartCredit:
    """Ask for no more than `floor_sessions`, yet let all that was done stand.

    For a part on excused days, one that pain has stopped, and one that was cut or taken
    off a sent plan.

    Parameters
    ----------
    part : PartCredit
        With all sessions asked.
    floor_sessions : float
        Sessions still asked; 0 if none.

    Returns
    -------
    PartCredit
        asked = the larger of `floor_sessions` and what was done, at most what it was.
        With nothing left and nothing done, the part drops out (credit None).

    Notes
    -----
    House rule, not a published one. What was done keeps its worth and only what was
    not done is forgiven, so neither a part's nor a week's credit can fall: nobody
    loses by telling.
    """
    asked = min(part.asked, max(floor_sessions, part.done))
    credit = min(1.0, part.done / asked) if asked > _CRUMB else None
    return PartCredit(
        asked if credit is not None else 0, part.done, credit, part.by_day, part.by_step
    )


def week_credit(parts: Sequence[tuple[float, float | None]]) -> float | None:
    """Credit of the week: the mean of its parts weighted by their asked minutes.

    Parameters
    ----------
    parts : sequence of (asked minutes, credit)
        Credit None marks a part that is excused or dropped; it has no weight.

    Returns
    -------
    float or None
        In [0, 1]; None if every part is excused. Such a week is left out of
        averages: it is neither 0 nor 100.

    Notes
    -----
    House rule, not a published one. Credits are capped at 1 before, so a surplus of
    one part cannot pay for another.
    """
    asked = [(minutes, credit) for minutes, credit in parts if credit is not None and minutes > 0]
    if not asked:
        return None
    earned = sum(minutes * credit for minutes, credit in asked)
    return min(1.0, earned / sum(minutes for minutes, _ in asked))


def minutes_left(parts: Sequence[tuple[float, float | None]]) -> float:
    """Asked minutes not yet credited, over the parts that are still asked."""
    return sum(minutes * (1 - credit) for minutes, credit in parts if credit is not None)


def is_finished(priority_credit: float | None, asked_minutes: float, left_minutes: float) -> bool:
    """Whether a week is Done: priority 1 complete and at most a tenth of the minutes left.

    Parameters
    ----------
    priority_credit : float or None
        Credit of priority 1; None if it is excused, and then nothing of it is open.
    asked_minutes, left_minutes : float
        Of the whole week, after excused days.

    Notes
    -----
    House rule, not a published one. A week that asks for nothing is not finished.
    """
    if asked_minutes <= 0:
        return False
    complete = priority_credit is None or priority_credit >= 1 - _CRUMB
    return complete and left_minutes <= NEARLY_ALL * asked_minutes + _CRUMB
