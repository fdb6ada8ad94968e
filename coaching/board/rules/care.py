"""Whether a student stands first on the board because something hurts.

Duty of care, our own rule: an open stop; serious pain in the last fourteen days; any pain of
this week or the fourteen days before it while hard swings jump (by the limits, which say rest
then, or by the studio's own lines, which may ask sooner); or pain on both of the last two days
on which part 1 was done, now that it is left alone. A reason to ask, never a diagnosis.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from coaching.board.rules.facts import Facts, OpenStop, PainFacts
from practice.care.limits import DAYS_LOOKED_AT, HURT_DAYS

RECENT = timedelta(days=HURT_DAYS)


class Why(StrEnum):
    STOPPED = "a part is stopped"
    SERIOUS = "serious pain in the last 14 days"
    JUMP = "pain while hard swings jump"
    LEFT_ALONE = "pain on the last days that part 1 was done"


@dataclass(frozen=True, slots=True)
class Care:
    why: Why
    since: date
    pains: tuple[PainFacts, ...] = ()
    stops: tuple[OpenStop, ...] = ()


def care_needed(facts: Facts) -> Care | None:
    """The gravest reason for care, or None."""
    recent = tuple(p for p in facts.pains if p.level > 0 and p.day >= facts.opens - RECENT)
    serious = tuple(pain for pain in facts.pains if pain.serious and pain.day >= _since(facts))
    if facts.stops:
        first = min(stop.since for stop in facts.stops)
        return Care(Why.STOPPED, first, serious or recent, facts.stops)
    if serious:
        return Care(Why.SERIOUS, _first(serious), serious)
    load = facts.load
    if recent and (load.jump or load.ceiling_passed or load.is_much):
        return Care(Why.JUMP, _first(recent), recent)
    return _left_alone(facts)


def _since(facts: Facts) -> date:
    return facts.today - RECENT


def _first(pains: tuple[PainFacts, ...]) -> date:
    return min(pain.day for pain in pains)


def _left_alone(facts: Facts) -> Care | None:
    days = facts.first_part_days[:DAYS_LOOKED_AT]
    hurt = tuple(pain for pain in facts.pains if pain.level > 0 and pain.day in days)
    if (
        not facts.first_part_skipped
        or len(days) < DAYS_LOOKED_AT
        or {pain.day for pain in hurt} != set(days)
    ):
        return None
    return Care(Why.LEFT_ALONE, max(days), hurt)
