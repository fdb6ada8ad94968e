"""Hard swings: how many a week may ask, and a week brought within that. Pure.

The thresholds are the product's own duty-of-care rules (common practice, no source).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction
from math import ceil
from statistics import fmean
from uuid import UUID

from practice.care.load import CEILING, CEILING_UNDER_16, KNOWN_WEEKS, Load, load_jump
from practice.drills.hard import counts, hard_swings
from practice.weeks.plan import PartSpec, fewer, with_dose

EVENT_SHARE = 0.5  # Of the usual hard swings, and of the minutes of a ramp.
LOAD_WEEKS = 4


def asked_of(specs: Iterable[PartSpec], areas: Mapping[UUID, str]) -> int:
    """Hard swings that a week of these parts asks."""
    return sum(s.sessions * hard_swings(s.dose, areas.get(s.drill, "")) for s in specs)


# --- how many a week may ask -----------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Ceiling:
    """Hard swings that a week may ask: for an event in it, else because the student is young."""

    swings: int
    is_event: bool

    @property
    def words(self) -> str:
        if not self.is_event:
            return f"Under 16: at most {self.swings} hard swings a week."
        if not self.swings:
            return "Event week: no hard swings before it."
        return f"Event week: at most {self.swings} hard swings."


def ceiling_of(before: Sequence[int], *, is_event: bool, under_16: bool) -> Ceiling | None:
    """Of one week; None where nothing limits it. `before`: hard swings of the weeks before."""
    if is_event:
        return Ceiling(most_hard_swings(before, under_16=under_16), is_event=True)
    return Ceiling(CEILING_UNDER_16, is_event=False) if under_16 else None


def most_hard_swings(before: Sequence[int], *, under_16: bool) -> int:
    """Hard swings to stay within in an event week: half of the usual of the weeks before.

    With fewer than three known weeks half of the ceiling that holds without a base. Under 16
    never above the ceiling of any week.

    Examples
    --------
    >>> most_hard_swings([20, 24, 18, 26], under_16=False)
    11
    """
    if len(before) < KNOWN_WEEKS:
        return int((CEILING_UNDER_16 if under_16 else CEILING) * EVENT_SHARE)
    most = int(fmean(before) * EVENT_SHARE)
    return min(most, CEILING_UNDER_16) if under_16 else most


def before_week(swings: Mapping[date, int], opens: date) -> list[int]:
    """Hard swings of the weeks before the one that opens then, as far as known; latest first."""
    weeks = (opens - timedelta(weeks=n) for n in range(1, LOAD_WEEKS + 1))
    return [swings[week] for week in weeks if week in swings]


def rests(now: int, before: Sequence[int | None], *, hurt: bool, under_16: bool) -> bool:
    """Whether to rest from hard swings: pain in the last fourteen days while they jump.

    `now` and `before` are hard swings of this week and of the weeks before it, None where they
    are not known.
    """
    found = load_jump(before, now, under_16=under_16).load
    return hurt and found in {Load.JUMP, Load.NO_BASE_OVER}


# --- a week brought within that --------------------------------------------------------


def within(
    specs: Sequence[PartSpec], areas: Mapping[UUID, str], most: int
) -> list[PartSpec | None]:
    """The parts in their order with at most so many hard swings; None for one left out.

    From the last part upwards, as often as it takes: of a part that is hard throughout visits
    go, one is left, then swings of that visit, then the part; of one that is soft too hard
    swings of each visit go, one is left of a step, then its hard steps. What is soft stays, and
    nothing is ever raised.

    Parameters
    ----------
    specs : sequence of PartSpec
    areas : mapping of drill to area
    most : int
        Hard swings in the week.
    """
    kept: list[PartSpec | None] = list(specs)
    for throughout, partly in (
        (_fewer_visits, _fewer_swings),
        (_fewer_swings, _soft),
        (_gone, _soft),
    ):
        for row in reversed(range(len(kept))):
            over = asked_of((each for each in kept if each), areas) - most
            spec = kept[row]
            if over > 0 and spec and asked_of([spec], areas):
                area = areas.get(spec.drill, "")
                is_soft_too = any(not counts(step, area) for step in spec.dose.steps)
                kept[row] = (partly if is_soft_too else throughout)(spec, area, over)
    return kept


def _fewer_visits(spec: PartSpec, area: str, over: int) -> PartSpec | None:
    cut = ceil(over / hard_swings(spec.dose, area))
    return fewer(spec, max(1, spec.sessions - cut))


def _fewer_swings(spec: PartSpec, area: str, over: int) -> PartSpec | None:
    """Of every visit, to whole swings."""
    here = spec.sessions * hard_swings(spec.dose, area)
    share = Fraction(max(0, here - over), here)
    steps = tuple(
        replace(step, amount=max(1, int(step.amount * share))) if counts(step, area) else step
        for step in spec.dose.steps
    )
    return with_dose(spec, replace(spec.dose, steps=steps))


def _soft(spec: PartSpec, area: str, over: int) -> PartSpec | None:
    """Without its hard steps."""
    steps = tuple(step for step in spec.dose.steps if not counts(step, area))
    return with_dose(spec, replace(spec.dose, steps=steps))


def _gone(spec: PartSpec, area: str, over: int) -> PartSpec | None:
    return None
