"""The parts of a week as rows become the parts of a tally."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, NamedTuple, TypedDict
from uuid import UUID

from practice.care.work import Work, covers
from practice.compliance.credit import DAYS_IN_WEEK, PartCredit, minutes_left
from practice.compliance.dates import Filed
from practice.compliance.facts import DoneBlock, WeekPart, WeekStop
from practice.compliance.notes import Note, notes_of
from practice.compliance.parts import (
    AskedPart,
    CareStop,
    FirstAsked,
    LoggedBlock,
    LoggedStep,
    StepTally,
    counts_given,
    dose_minutes,
    dose_of,
    planned_days,
    reckoned_part,
    sessions_left,
    step_tallies,
)
from practice.drills.dose import Dose


class PartTally(TypedDict):
    """A part as it stands in WeekTally.parts."""

    part: str
    drill: str
    name: str
    area: str
    priority: int
    dose: str
    # Sessions that count as asked: after excused days; a fraction where pain stopped the
    # part or it was taken off, and just what was done is asked.
    asked_sessions: float
    by_total: bool
    # Of one session as asked.
    minutes: float
    asked_minutes: float
    # None: dropped or excused; in no average.
    credit: float | None
    steps: list[StepTally]
    # Credited sessions.
    sessions_done: float
    # Minutes spent on it, credited or not.
    done_minutes: float
    days: list[int]
    # Pain stopped it and it had not been cleared by the end of the week.
    stopped: bool
    # Taken off a sent plan.
    removed: bool
    left_minutes: float
    # Whole sessions still to do; the day line allows one and a half of a part a day.
    sessions_left: int
    # Sessions credited on each of the seven days; early starts on the first, make-ups
    # on the last.
    by_day: list[float]
    # Who put it on the week, by id.
    by: str
    # Why what was done counts as it does; practice.compliance.note_text says each.
    notes: list[Note]


class PartSoFar(TypedDict):
    """A part beside what was logged of it: its tally, and what one more log of it needs."""

    # Its WeekPart, as JSON has it.
    row: list[Any]
    blocks: list[list[Any]]
    # Days of work that came when it could not count.
    late: list[int]
    tally: PartTally
    # Asked minutes of each day as planned, and asked reps.
    planned: list[float]
    reps: float
    # Counts given, those exactly as asked, and how many of these by a tap: [day, how many].
    given: int
    as_asked: int
    tapped: list[list[int]]


class Around(NamedTuple):
    """What of a week bears on each of its parts."""

    opens: date
    excused: frozenset[int]
    stops: Sequence[WeekStop]


@dataclass(frozen=True, slots=True)
class _Done:
    """What was done of one part: what may count, days of what may not, and minutes of both."""

    blocks: list[LoggedBlock]
    late: list[int]
    minutes: float


@dataclass(frozen=True, slots=True)
class _Reckoned:
    """A part with what was done of it, and what that earned."""

    row: WeekPart
    asked: AskedPart
    done: _Done
    credit: PartCredit
    notes: list[Note]


def reckon(
    parts: Sequence[WeekPart],
    results: Sequence[DoneBlock],
    minutes: Mapping[int, float],
    around: Around,
    as_of: datetime | None = None,
) -> list[PartSoFar]:
    """The parts that are asked, and those taken off of which something was done.

    `minutes` is of each result. A dose that cannot be read any more asks for nothing:
    a log must never be refused for it.
    """
    own: dict[UUID | None, list[DoneBlock]] = defaultdict(list)
    for result in results:
        own[result.part].append(result)
    reckoned = [
        _reckoned(part, dose, _done(part, own[part.pk], minutes, around.opens), around, as_of)
        for part in parts
        if (dose := dose_of(part.dose_asked or part.dose))
    ]
    return [_so_far(part) for part in reckoned if part.credit.asked or not part.asked.removed]


def with_more(
    so_far: PartSoFar, results: Sequence[DoneBlock], minutes: Mapping[int, float], around: Around
) -> PartSoFar:
    """The same part with results that came since, as if all were reckoned together."""
    part = row_of(so_far)
    new = _done(part, results, minutes, around.opens)
    done = _Done(
        [_told(block) for block in so_far["blocks"]] + new.blocks,
        so_far["late"] + new.late,
        so_far["tally"]["done_minutes"] + new.minutes,
    )
    dose = dose_of(part.dose_asked or part.dose)
    if dose is None:
        raise ValueError("Of a part that asks for nothing nothing is kept.")
    return _so_far(_reckoned(part, dose, done, around, None))


def _done(
    part: WeekPart, results: Sequence[DoneBlock], minutes: Mapping[int, float], opens: date
) -> _Done:
    return _Done(
        [_block(result, part, opens) for result in results if result.filed != Filed.UNPLANNED],
        [(r.day - opens).days for r in results if r.filed == Filed.UNPLANNED],
        sum(minutes[result.pk] for result in results),
    )


def _reckoned(
    part: WeekPart, dose: Dose, done: _Done, around: Around, as_of: datetime | None
) -> _Reckoned:
    asked = _asked(part, dose, around, as_of)
    reckoned, credit = reckoned_part(asked, done.blocks)
    notes = notes_of(asked, reckoned, done.blocks, credit, not_counted=done.late)
    return _Reckoned(part, reckoned, done, credit, notes)


def _so_far(part: _Reckoned) -> PartSoFar:
    asked, plan = part.credit.asked, planned_days(part.asked, part.credit.asked)
    dose = dose_of(part.row.dose) or part.asked.dose
    own = [block for block in part.done.blocks if not block.is_swap]
    counts = [(*counts_given(dose, block), block) for block in own]
    return {
        "row": [_plain(value) for value in part.row],
        "blocks": [_as_row(block) for block in part.done.blocks],
        "late": part.done.late,
        "tally": _tally(part),
        "planned": [part.asked.minutes * sessions for sessions in plan],
        "reps": asked * part.asked.dose.reps,
        "given": sum(given for given, _, _ in counts),
        "as_asked": sum(same for _, same, _ in counts),
        "tapped": [[block.day, same] for _, same, block in counts if block.as_asked],
    }


def _plain(value: Any) -> Any:
    return str(value) if isinstance(value, UUID | date) else value


def row_of(so_far: PartSoFar) -> WeekPart:
    part = WeekPart(*so_far["row"])
    return part._replace(
        pk=UUID(str(part.pk)),
        drill=UUID(str(part.drill)),
        added_on=_day(part.added_on),
        published_on=_day(part.published_on),
        removed_at=None
        if part.removed_at is None
        else datetime.fromisoformat(str(part.removed_at)),
    )


def _day(text: Any) -> date | None:
    return None if text is None else date.fromisoformat(text)


def _as_row(block: LoggedBlock) -> list[Any]:
    steps = [[step.n, step.clean, step.effort] for step in block.steps]
    flags = (block.as_asked, block.stopped, block.is_swap, block.accepted)
    return [block.day, steps, block.minutes, *flags]


def _told(row: list[Any]) -> LoggedBlock:
    day, steps, *rest = row
    return LoggedBlock(day, tuple(LoggedStep(*step) for step in steps), *rest)


def _asked(part: WeekPart, dose: Dose, around: Around, as_of: datetime | None) -> AskedPart:
    shown = dose_of(part.dose)
    pace = part.seconds_per_rep
    minutes = part.minutes
    if shown and dose != shown:
        # The minutes are of what the student sees; a raised dose is a gift.
        minutes *= min(1.0, dose_minutes(dose, pace) / dose_minutes(shown, pace))
    on = part.added_on or part.published_on
    removed = part.removed_at is not None and (as_of is None or part.removed_at <= as_of)
    return AskedPart(
        dose=dose,
        sessions=part.sessions if part.sessions_asked is None else part.sessions_asked,
        minutes=minutes,
        seconds_per_rep=pace,
        by_total=part.by_total,
        days=tuple(part.days),
        excused=around.excused,
        stops=tuple(_care_stop(s, around.opens) for s in around.stops if _stops(s, part)),
        removed=removed,
        starts=min(max((on - around.opens).days, 0), DAYS_IN_WEEK - 1) if on else 0,
        first=_first(part),
    )


def _first(part: WeekPart) -> FirstAsked | None:
    """As it was sent, where it was changed since."""
    if not part.before:
        return None
    sent = part.before[0]
    dose = dose_of(sent["dose_asked"] or sent["dose"])
    sessions = sent["sessions_asked"] or sent["sessions"]
    return FirstAsked(dose, sessions, sent["minutes"]) if dose else None


def _stops(stop: WeekStop, part: WeekPart) -> bool:
    """Asked of care, as the phone asks it: what is locked there is excused here."""
    return covers(stop.drill, Work(part.drill, dose_of(part.dose), part.area))


def _care_stop(stop: WeekStop, opens: date) -> CareStop:
    cleared = None if stop.cleared_on is None else (stop.cleared_on - opens).days
    return CareStop((stop.since - opens).days, cleared)


def _logged(result: DoneBlock) -> tuple[LoggedStep, ...]:
    """Steps as counted; an accepted swap that only counted balls counts those."""
    if result.accepted and not result.steps and result.balls:
        return (LoggedStep(result.balls),)
    return tuple(
        LoggedStep(step.get("n") or 0, step.get("clean"), step.get("effort"))
        for step in result.steps
    )


def _block(result: DoneBlock, part: WeekPart, opens: date) -> LoggedBlock:
    return LoggedBlock(
        day=(result.day - opens).days,
        steps=_logged(result),
        minutes=result.minutes,
        as_asked=result.as_asked,
        stopped=result.stopped,
        is_swap=result.accepted or (result.drill is not None and result.drill != part.drill),
        accepted=result.accepted,
    )


def _by_day(credit: PartCredit) -> list[float]:
    days = [0.0] * DAYS_IN_WEEK
    for day, sessions in credit.by_day.items():
        days[min(max(day, 0), DAYS_IN_WEEK - 1)] += sessions
    return days


def _tally(part: _Reckoned) -> PartTally:
    """As it is kept, and as pages and the phone read it."""
    row, credit = part.row, part.credit
    asked_minutes = credit.asked * part.asked.minutes
    return {
        "part": str(row.pk),
        "drill": str(row.drill),
        "name": row.name,
        "area": row.area,
        "priority": row.priority,
        "dose": str(part.asked.dose),
        "asked_sessions": credit.asked,
        "by_total": row.by_total,
        "minutes": part.asked.minutes,
        "asked_minutes": asked_minutes,
        "credit": credit.credit,
        "steps": step_tallies(part.asked, part.done.blocks, credit),
        "sessions_done": credit.done,
        "done_minutes": part.done.minutes,
        "days": list(part.asked.days),
        "stopped": part.asked.stopped,
        "removed": part.asked.removed,
        "left_minutes": minutes_left([(asked_minutes, credit.credit)]),
        "sessions_left": sessions_left(credit),
        "by_day": _by_day(credit),
        "by": str(row.added_by),
        "notes": part.notes,
    }
