"""The parts of a week as rows become the parts of a tally."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TypedDict
from uuid import UUID

from practice.care.work import Work, covers
from practice.compliance.credit import DAYS_IN_WEEK, PartCredit, minutes_left
from practice.compliance.dates import Filed
from practice.compliance.facts import DoneBlock, WeekFacts, WeekPart, WeekStop
from practice.compliance.notes import Note, notes_of
from practice.compliance.parts import (
    AskedPart,
    CareStop,
    FirstAsked,
    LoggedBlock,
    LoggedStep,
    StepTally,
    dose_minutes,
    dose_of,
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


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A part with its blocks and what they earned."""

    row: WeekPart
    asked: AskedPart
    blocks: Sequence[LoggedBlock]
    credit: PartCredit
    done_minutes: float
    notes: list[Note]

    @property
    def asked_minutes(self) -> float:
        return self.credit.asked * self.asked.minutes

    @property
    def weighed(self) -> tuple[float, float | None]:
        return self.asked_minutes, self.credit.credit


def reckon(
    facts: WeekFacts, minutes: Mapping[int, float], as_of: datetime | None
) -> list[Reckoned]:
    """The parts that are asked, and those taken off of which something was done.

    `minutes` is of each result. A dose that cannot be read any more asks for nothing:
    a log must never be refused for it.
    """
    done: dict[UUID | None, list[DoneBlock]] = defaultdict(list)
    for result in facts.results:
        done[result.part].append(result)
    parts = [
        _reckoned(part, dose, done[part.pk], facts, minutes, as_of=as_of)
        for part in facts.parts
        if (dose := dose_of(part.dose_asked or part.dose))
    ]
    return [part for part in parts if part.credit.asked or not part.asked.removed]


def _reckoned(
    part: WeekPart,
    dose: Dose,
    results: Sequence[DoneBlock],
    facts: WeekFacts,
    minutes: Mapping[int, float],
    *,
    as_of: datetime | None,
) -> Reckoned:
    asked = _asked(part, dose, facts, as_of)
    credited = [r for r in results if r.filed != Filed.UNPLANNED]
    blocks = [_block(result, part, facts.opens) for result in credited]
    done = sum(minutes[result.pk] for result in results)
    late = [(r.day - facts.opens).days for r in results if r not in credited]
    reckoned, credit = reckoned_part(asked, blocks)
    notes = notes_of(asked, reckoned, blocks, credit, not_counted=late)
    return Reckoned(part, reckoned, blocks, credit, done, notes)


def _asked(part: WeekPart, dose: Dose, facts: WeekFacts, as_of: datetime | None) -> AskedPart:
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
        excused=facts.excused,
        stops=tuple(_care_stop(s, facts.opens) for s in facts.stops if _stops(s, part)),
        removed=removed,
        starts=min(max((on - facts.opens).days, 0), DAYS_IN_WEEK - 1) if on else 0,
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


def part_tally(part: Reckoned) -> PartTally:
    """As it is kept, and as pages and the phone read it."""
    row, credit = part.row, part.credit
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
        "asked_minutes": part.asked_minutes,
        "credit": credit.credit,
        "steps": step_tallies(part.asked, part.blocks, credit),
        "sessions_done": credit.done,
        "done_minutes": part.done_minutes,
        "days": list(part.asked.days),
        "stopped": part.asked.stopped,
        "removed": part.asked.removed,
        "left_minutes": minutes_left([part.weighed]),
        "sessions_left": sessions_left(credit),
        "by_day": _by_day(credit),
        "by": str(row.added_by),
        "notes": part.notes,
    }
