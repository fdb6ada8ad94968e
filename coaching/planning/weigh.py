"""Does the plan fit, and is it a lot at once? Figures in, plain words out. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from practice.care.load import Load, load_jump
from practice.compliance.habits import Size, plan_size
from practice.drills.hard import SWINGS_A_MINUTE
from practice.weeks.plan import Totals
from shared.kit.text import many


@dataclass(frozen=True, slots=True)
class Fit:
    """The plan beside the usual minutes; no ratio while there is no usual."""

    words: str
    ratio: float | None = None
    needs_look: bool = False

    @property
    def percent(self) -> int | None:
        return None if self.ratio is None else round(100 * self.ratio)


def fit(minutes: float, usual: float | None) -> Fit:
    """*fits*, *a stretch* or *more than the usual*."""
    size = plan_size(minutes, usual)
    if size is None:
        return Fit("no usual yet")
    return Fit(size.size.value, size.ratio, needs_look=size.size is Size.TOO_MUCH)


@dataclass(frozen=True, slots=True)
class Hard:
    """Planned hard swings beside the weeks before: a reason to ask, and no more."""

    planned: int
    words: str
    reason_to_ask: str = ""
    by_clock: str = ""


def hard_swings(totals: Totals, before: Sequence[int], *, under_16: bool) -> Hard:
    """`before`: the four weeks before, as far as they are known."""
    planned = totals.hard_swings
    found = load_jump(before, planned, under_16=under_16)
    if found.mean is None:
        words = f"no base yet, so at most {found.ceiling} in the first weeks"
        asks = "That is above it. Ask before you send."
    else:
        words = f"{found.mean:.0f} a week in {many(len(before), 'week')}"
        asks = "That is many more hard swings. Ask how the body feels before you send."
    over = found.load in {Load.JUMP, Load.NO_BASE_OVER}
    clock = f"A hard minute counts as {SWINGS_A_MINUTE} swings." if totals.hard_minutes else ""
    return Hard(planned, words, asks if over else "", clock)
