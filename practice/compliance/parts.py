"""One part of a week beside what was logged of it. Pure: values in, values out."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil
from typing import TypedDict

from practice.compliance.credit import (
    DAYS_IN_WEEK,
    AskedStep,
    DayWork,
    PartCredit,
    effort_counts,
    excused_sessions,
    lowered,
    part_credit,
)
from practice.drills.dose import Dose, DoseError, DoseUnit, Step, parse

_CRUMB = 1e-9


@dataclass(frozen=True, slots=True)
class LoggedStep:
    """Of one step of the dose: how many, how many of them clean, at what felt effort (percent)."""

    n: float
    clean: int | None = None
    effort: int | None = None


@dataclass(frozen=True, slots=True)
class LoggedBlock:
    """What was logged of one part at once. `day` is an offset from the opening day."""

    day: int
    steps: tuple[LoggedStep, ...] = ()
    minutes: float | None = None
    as_asked: bool = False
    stopped: bool = False
    # A drill that may be done instead, and counts in full.
    is_swap: bool = False
    # It was on no list; a coach has accepted it afterwards.
    accepted: bool = False


@dataclass(frozen=True, slots=True)
class CareStop:
    """Pain stopped a drill from `since` until the day it was cleared; offsets, None if not yet."""

    since: int
    cleared: int | None = None

    @property
    def stands_at_the_end(self) -> bool:
        return self.since < DAYS_IN_WEEK and (self.cleared is None or self.cleared >= DAYS_IN_WEEK)

    def closes(self, day: int) -> bool:
        """Whether the part is closed on this day. On the day it stopped, it was open."""
        return self.since < day and (self.cleared is None or day < self.cleared)


@dataclass(frozen=True, slots=True)
class FirstAsked:
    """What a part asked for when it was sent; `minutes` is of one session of `dose`."""

    dose: Dose
    sessions: int
    minutes: float


@dataclass(frozen=True, slots=True)
class AskedPart:
    """One part as asked; `minutes` is of one session of `dose`."""

    dose: Dose
    sessions: int
    minutes: float
    seconds_per_rep: float = 30
    by_total: bool = False
    days: tuple[int, ...] = ()
    excused: frozenset[int] = frozenset()
    stops: tuple[CareStop, ...] = ()
    removed: bool = False
    # Offset of the day it was put on the plan; nothing is expected of it before.
    starts: int = 0
    # Known where it was cut or raised since.
    first: FirstAsked | None = None

    @property
    def open_days(self) -> list[int]:
        return [day for day in range(DAYS_IN_WEEK) if day not in self.excused]

    @property
    def stopped(self) -> bool:
        return any(stop.stands_at_the_end for stop in self.stops)


class StepTally(TypedDict):
    """One step in the week: everything asked, done and credited, in its unit.

    `clean` is None where nothing was said about clean reps.
    """

    label: str
    asked: float
    done: float
    clean: int | None
    credited: float
    unit: str


@lru_cache(maxsize=512)
def dose_of(text: str) -> Dose | None:
    """A dose from its text; None if it cannot be read any more."""
    try:
        return parse(text)
    except DoseError:
        return None


def asked_steps(dose: Dose, seconds_per_rep: float) -> tuple[AskedStep, ...]:
    """The steps of one session, all rounds.

    Reps and balls weigh the same; where a dose has minutes as well, every step weighs
    its planned minutes (house rule).
    """
    timed = [step.unit is DoseUnit.MINUTES for step in dose.steps]
    mixed = any(timed) and not all(timed)
    return tuple(
        AskedStep(
            amount=step.total * dose.rounds,
            effort=step.effort,
            weight=seconds_per_rep / 60 if mixed and not is_timed else 1.0,
        )
        for step, is_timed in zip(dose.steps, timed, strict=True)
    )


def dose_minutes(dose: Dose, seconds_per_rep: float) -> float:
    """Planned minutes of one session, not rounded."""
    return dose.timed_minutes + dose.reps * seconds_per_rep / 60


def amounts(part: AskedPart, block: LoggedBlock) -> tuple[float, ...]:
    """What of this block counts for each step.

    Reps at another felt effort do not. A swap counts by how much of it there was,
    spread over the steps of the part. 'Done as asked' without counts is one session,
    and minutes without counts are enough only for a dose in minutes.
    """
    steps = asked_steps(part.dose, part.seconds_per_rep)
    if block.is_swap or not block.steps:
        share = _sessions_worth(part, block, steps)
        return tuple(share * step.amount for step in steps)
    logged = [*block.steps, *[LoggedStep(0)] * len(steps)]
    return tuple(
        done.n if effort_counts(step.effort, done.effort) else 0.0
        for step, done in zip(steps, logged, strict=False)
    )


def _sessions_worth(part: AskedPart, block: LoggedBlock, steps: Sequence[AskedStep]) -> float:
    if total := sum(step.n for step in block.steps):
        return total / sum(step.amount for step in steps)
    if block.as_asked:
        return 1.0
    timed = all(step.unit is DoseUnit.MINUTES for step in part.dose.steps)
    if block.minutes and (timed or block.is_swap):
        return block.minutes / (part.dose.timed_minutes if timed else part.minutes)
    return 0.0


def credit_of(part: AskedPart, blocks: Sequence[LoggedBlock]) -> PartCredit:
    """Credit of one part, after excused days, stops and removal.

    Notes
    -----
    House rules. Excused days lower what is asked, yet never below what was done, so
    excusing afterwards takes nothing away; a week without an open day asks for nothing.
    The session in which pain was told counts as done. From the next day until it is
    cleared the part is closed: if that is not within the week, just what was done is
    asked; if it is, the days in between count like excused ones. A part that was taken
    off asks for what was done of it.
    """
    told_on = {stop.since for stop in part.stops}
    works = [
        DayWork(block.day, amounts(part, block), block.stopped or block.day in told_on)
        for block in blocks
    ]
    steps = asked_steps(part.dose, part.seconds_per_rep)
    full = part_credit(steps, part.sessions if part.open_days else 0, works, by_total=part.by_total)
    if part.removed or part.stopped:
        return lowered(full, 0)
    left = [d for d in part.open_days if not any(stop.closes(d) for stop in part.stops)]
    return lowered(full, excused_sessions(part.sessions, len(left)))


def reckoned_part(part: AskedPart, blocks: Sequence[LoggedBlock]) -> tuple[AskedPart, PartCredit]:
    """Credit of a part that may have been cut inside the week, with what it is a share of.

    Returns
    -------
    (AskedPart, PartCredit)
        The part as asked now; or, where that would make less of what was done, as
        first asked, lowered to the larger of what is asked now and what was done.

    Notes
    -----
    House rule, not a published one. A cut forgives and never takes: minutes credited
    do not fall and minutes asked do not rise by it, so neither part nor week can lose.
    """
    now = credit_of(part, blocks)
    if part.first is None:
        return part, now
    first = part.first
    whole = replace(
        part, dose=first.dose, sessions=first.sessions, minutes=first.minutes, first=None
    )
    before = credit_of(whole, blocks)
    if before.done * whole.minutes <= now.done * part.minutes + _CRUMB:
        return part, now
    return whole, lowered(before, now.asked * part.minutes / whole.minutes)


def planned_days(part: AskedPart, asked: float) -> list[float]:
    """Sessions planned on each of the seven days.

    Fixed sessions on their days as far as those are open, free ones spread evenly over
    the open days, both from the day on which the part was put on the plan. They add up
    to `asked` (0 if no day is open).
    """
    days = [day for day in part.open_days if day >= part.starts] or part.open_days
    plan = [0.0] * DAYS_IN_WEEK
    fixed = [day for day in part.days if day in days]
    each = min(1.0, asked / len(fixed)) if fixed else 0.0
    for day in fixed:
        plan[day] += each
    for day in days:
        plan[day] += max(0.0, asked - each * len(fixed)) / len(days)
    return plan


def step_tallies(
    part: AskedPart, blocks: Sequence[LoggedBlock], credit: PartCredit
) -> list[StepTally]:
    """The part's steps with what was logged of each; a swap's reps are credited, not done."""
    own = [block for block in blocks if not block.is_swap]
    return [
        {
            "label": str(step),
            "asked": credit.asked * step.total * part.dose.rounds,
            "done": sum(_logged(part, block, i).n for block in own),
            "clean": _clean([_logged(part, block, i).clean for block in own]),
            "credited": credit.by_step[i],
            "unit": str(step.unit),
        }
        for i, step in enumerate(part.dose.steps)
    ]


def _logged(part: AskedPart, block: LoggedBlock, i: int) -> LoggedStep:
    if block.steps:
        return block.steps[i] if i < len(block.steps) else LoggedStep(0)
    return LoggedStep(amounts(part, block)[i])


def _clean(counts: Sequence[int | None]) -> int | None:
    said = [count for count in counts if count is not None]
    return sum(said) if said else None


def counts_given(dose: Dose, block: LoggedBlock) -> tuple[int, int]:
    """Step counts of a block, and how many are exactly as asked of one session."""
    if block.as_asked and not block.steps:
        return len(dose.steps), len(dose.steps)
    pairs = list(zip(block.steps, dose.steps, strict=False))
    return len(pairs), sum(done.n == step.total * dose.rounds for done, step in pairs)


def sessions_left(credit: PartCredit) -> int:
    """Whole sessions still to do; the phone reckons the same in `shell/credit.js`."""
    return ceil(credit.asked - credit.done - _CRUMB)


def estimated_minutes(steps: Sequence[LoggedStep], asked: Sequence[Step], pace: float) -> float:
    """Active minutes where none were given: reps at `pace` seconds each, timed steps as counted.

    `asked` tells which steps are timed; a step beyond it counts reps. The pace is the
    drill's: 30 s a ball, 10 s without one unless it says otherwise (common practice, no source).
    """
    units = [step.unit for step in asked] + [DoseUnit.REPS] * len(steps)
    return sum(
        step.n if unit is DoseUnit.MINUTES else step.n * pace / 60
        for step, unit in zip(steps, units, strict=False)
    )
