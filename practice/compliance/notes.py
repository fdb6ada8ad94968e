"""Why what was done of a part counts as it does, as facts for words to be made of. Pure.

Days are offsets from the opening day, amounts are in the unit of the dose.
"""

from collections.abc import Iterable, Sequence
from typing import TypedDict

from practice.compliance.credit import (
    DAY_LINE,
    DAYS_IN_WEEK,
    DayWork,
    PartCredit,
    effort_counts,
    excused_sessions,
    merged,
)
from practice.compliance.parts import (
    AskedPart,
    LoggedBlock,
    LoggedStep,
    amounts,
    asked_steps,
)

_CRUMB = 1e-6


class Note(TypedDict):
    """One reason. `kind` says which; what it leaves out is zero, empty or the same before."""

    kind: str
    days: list[int]
    done: float
    counted: float


def notes_of(
    shown: AskedPart,
    reckoned: AskedPart,
    blocks: Sequence[LoggedBlock],
    credit: PartCredit,
    *,
    not_counted: Sequence[int] = (),
) -> list[Note]:
    """Every reason that bears on one part, what was asked first.

    `shown` is the part as asked now, `reckoned` what its credit is a share of;
    `not_counted` are days of work that came when it could not count.
    """
    works = [DayWork(block.day, amounts(reckoned, block)) for block in blocks]
    found = [
        *_of_asking(shown, reckoned, credit),
        *_of_days(blocks),
        *_of_swaps(reckoned, blocks),
        *_of_minutes(reckoned, blocks),
        *_of_effort(reckoned, blocks),
        *_of_limits(reckoned, works, blocks),
        *_if("not_counted", sorted(set(not_counted))),
    ]
    return found + list(_of_pooling(works, credit))


def _note(kind: str, days: Sequence[int] = (), done: float = 0, counted: float = 0) -> Note:
    return {"kind": kind, "days": list(days), "done": done, "counted": counted}


def _if(kind: str, days: Sequence[int]) -> Iterable[Note]:
    if days:
        yield _note(kind, days)


# --- what was asked ------------------------------------------------------------------------


def _of_asking(shown: AskedPart, reckoned: AskedPart, credit: PartCredit) -> Iterable[Note]:
    if shown.starts:
        yield _note("added", [shown.starts])
    if shown.excused:
        left = excused_sessions(shown.sessions, len(shown.open_days))
        yield _note("excused", sorted(shown.excused), shown.sessions, left)
        if shown.open_days and reckoned is shown and credit.asked > left + _CRUMB:
            yield _note("stays", (), credit.done)
    if shown.first and not shown.removed:
        first, now = _amount(shown, first=True), _amount(shown)
        if now < first:
            yield _note("cut", (), shown.first.sessions, shown.sessions)
    if reckoned is not shown and credit.done:
        yield _note("kept", (), credit.done, credit.asked)


def _amount(part: AskedPart, *, first: bool = False) -> float:
    asked = part.first if first and part.first else part
    return asked.sessions * sum(step.total for step in asked.dose.steps) * asked.dose.rounds


# --- what was done --------------------------------------------------------------------------


def _of_days(blocks: Sequence[LoggedBlock]) -> Iterable[Note]:
    yield from _if("early", sorted({b.day for b in blocks if b.day < 0}))
    yield from _if("make_up", sorted({b.day for b in blocks if b.day >= DAYS_IN_WEEK}))
    yield from _if("stop_rule", sorted({b.day for b in blocks if b.stopped}))


def _of_swaps(part: AskedPart, blocks: Sequence[LoggedBlock]) -> Iterable[Note]:
    for kind, accepted in (("swap", False), ("accepted", True)):
        swaps = [block for block in blocks if block.is_swap and block.accepted is accepted]
        if swaps:
            worth = sum(sum(amounts(part, block)) for block in swaps)
            yield _note(kind, sorted({block.day for block in swaps}), worth, worth)


def _of_minutes(part: AskedPart, blocks: Sequence[LoggedBlock]) -> Iterable[Note]:
    """Time without counts, of a part that is asked in reps."""
    bare = [b for b in blocks if b.minutes and not b.as_asked and not b.steps]
    uncounted = [b for b in bare if not sum(amounts(part, b))]
    if uncounted:
        days = sorted({block.day for block in uncounted})
        yield _note("no_counts", days, sum(block.minutes or 0 for block in uncounted))


def _of_effort(part: AskedPart, blocks: Sequence[LoggedBlock]) -> Iterable[Note]:
    steps = asked_steps(part.dose, part.seconds_per_rep)
    own = [block for block in blocks if not block.is_swap]
    off: list[tuple[int, LoggedStep]] = [
        (block.day, done)
        for block in own
        for step, done in zip(steps, block.steps, strict=False)
        if done.n and not effort_counts(step.effort, done.effort)
    ]
    if off:
        yield _note("effort", sorted({day for day, _ in off}), sum(done.n for _, done in off))


# --- what a day and a week can earn ----------------------------------------------------------


def _of_limits(
    part: AskedPart, works: Sequence[DayWork], blocks: Sequence[LoggedBlock]
) -> Iterable[Note]:
    steps = asked_steps(part.dose, part.seconds_per_rep)
    days = merged(works)
    lines = [
        tuple(
            amount if part.by_total else min(DAY_LINE * step.amount, amount)
            for step, amount in zip(steps, work.amounts, strict=True)
        )
        for work in days
    ]
    for work, line in zip(days, lines, strict=True):
        if sum(work.amounts) - sum(line) > _CRUMB:
            yield _note("day_line", [work.day], sum(work.amounts), sum(line))
    asked = [part.sessions * step.amount for step in steps]
    held = [sum(line[i] for line in lines) for i in range(len(steps))]
    over = sum(max(0.0, h - a) for h, a in zip(held, asked, strict=True))
    if over > _CRUMB:
        is_hard = any(
            step.is_hard and h > a + _CRUMB
            for step, h, a in zip(part.dose.steps, held, asked, strict=True)
        )
        yield _note("beyond_hard" if is_hard else "beyond", (), over)
        short = [i for i, (h, a) in enumerate(zip(held, asked, strict=True)) if h < a - _CRUMB]
        if short:
            yield _note("one_step", short)


def _of_pooling(works: Sequence[DayWork], credit: PartCredit) -> Iterable[Note]:
    """Parts of sessions on several days that add up to whole ones."""
    earned = [sessions for sessions in credit.by_day.values() if sessions > _CRUMB]
    parted = [sessions for sessions in earned if sessions < 1 - _CRUMB]
    if len(parted) >= 2:
        days = sorted({work.day for work in works})
        yield _note("pooled", days, len(earned), credit.done)
