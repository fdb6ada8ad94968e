"""What becomes of each part of last week: raise, keep, lower, swap or shrink. Pure.

Thresholds are our own choice; the coach decides, and nothing is sent by itself.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise
from math import floor
from typing import TYPE_CHECKING, Optional

from practice.care.work import Held
from practice.drills.dose import Dose, DoseUnit, Step
from practice.weeks.plan import PartSpec, on_days, scale_dose, with_dose

if TYPE_CHECKING:
    from practice.numbers.ladder import next_step

BARELY_DONE = 0.50
WELL_DONE = 0.80
LEAST_REPS = 12  # Fewer clean counts than this say nothing.
MORE, LESS = Fraction(11, 10), Fraction(8, 10)
EFFORT_STEP = 10
NEW_TOP_REPS = 3
PART_OF_ONE = 0.05  # Of a time: less is not worth saying.
HELD_WORDS = {
    Held.STOPPED: "Not for now: {} until the lead coach clears it.",
    Held.RESTS: "A rest from hard swings: {} for now.",
    Held.EVENT: "No hard swings before the event: {} for now.",
}


class Carry(StrEnum):
    RAISE = "raise"
    KEEP = "keep"
    LOWER = "lower"
    SWAP = "swap"
    SHRINK = "shrink"
    DROP = "leave out"


def _times(done: float, asked: float) -> str:
    """In whole times, rounded down, so that a part never looks done before it is; what is
    begun beyond them is said and not counted."""
    whole, of = floor(done + 1e-6), f"{floor(asked * 10 + 1e-6) / 10:g} times"
    if done - whole < PART_OF_ONE:
        return f"{whole} of {of}"
    return f"{whole} of {of}, and a part" if whole else f"less than 1 of {of}"


@dataclass(frozen=True, slots=True)
class StepWent:
    """Clean of all counted reps at one felt effort (percent; None if it does not matter), by a
    coach where one counted."""

    effort: int | None
    clean: int
    counted: int
    by_coach: bool = False


@dataclass(frozen=True, slots=True)
class Went:
    """How a part went in the week it is carried over from.

    `credit` is None if it dropped out of that week; `clean_line` in percent. Of a week
    that still runs (`is_over` false) little done says nothing yet.
    """

    sessions_done: float
    sessions_asked: float
    credit: float | None
    steps: tuple[StepWent, ...] = ()
    clean_line: int = 80
    # Why it is not for now, if it is not; whether it hurt on both of the last days, or lately.
    held: Held | None = None
    hurts_each_time: bool = False
    hurt: bool = False
    has_swap: bool = False
    is_over: bool = True
    # What the ladder's verdicts suggest, for a part with felt efforts.
    ladder: Optional["next_step.Suggestion"] = None

    @property
    def sessions(self) -> str:
        words = _times(self.sessions_done, self.sessions_asked)
        return words if self.is_over else f"{words} so far"


@dataclass(frozen=True, slots=True)
class CarrySuggestion:
    carry: Carry
    reason: str


def suggest(went: Went) -> CarrySuggestion:
    """One of the six, with one line of reason. Pain first, then whether it was done at all.

    Nobody is asked for more while something hurts; what hurts is for those who read Care notes.
    """
    if went.held:
        return _instead(went, HELD_WORDS[went.held])
    if went.hurts_each_time:
        return suggest_where_it_hurts(has_swap=went.has_swap)
    found = _as_done(went)
    if went.hurt and found.carry is Carry.RAISE:
        return CarrySuggestion(Carry.KEEP, "No more of it for now: see Care notes.")
    return found


def _instead(went: Went, words: str) -> CarrySuggestion:
    if went.has_swap:
        return CarrySuggestion(Carry.SWAP, words.format("another drill"))
    return left_out(words)


def left_out(words: str) -> CarrySuggestion:
    return CarrySuggestion(Carry.DROP, words.format("left out"))


def suggest_where_it_hurts(*, has_swap: bool) -> CarrySuggestion:
    """For a drill with which something hurt on both of the last days."""
    if has_swap:
        return CarrySuggestion(Carry.SWAP, "Another drill for now: see Care notes.")
    return CarrySuggestion(Carry.LOWER, "Less of it for now: see Care notes.")


def _as_done(went: Went) -> CarrySuggestion:
    if went.credit is None:
        return CarrySuggestion(Carry.KEEP, "Excused last week: as it was.")
    if went.is_over and went.credit < BARELY_DONE:
        return CarrySuggestion(Carry.SHRINK, f"It was done {went.sessions}. Fewer times would fit.")
    if went.ladder is not None:
        return _by_ladder(went, went.credit, went.ladder)
    return _by_clean(went, went.credit)


def _by_ladder(went: Went, credit: float, ladder: "next_step.Suggestion") -> CarrySuggestion:
    """The step's verdict decides; but no more is asked of what was not done."""
    if ladder.change.value == Carry.RAISE.value and credit < WELL_DONE:
        return CarrySuggestion(
            Carry.KEEP,
            f"{ladder.reason.removesuffix(ladder.next)}It was done {went.sessions}. "
            f"Keep it for now.",
        )
    return CarrySuggestion(Carry(ladder.change.value), ladder.reason)


def _by_clean(went: Went, credit: float) -> CarrySuggestion:
    counted = [step for step in went.steps if step.counted >= LEAST_REPS]
    if not counted:
        return CarrySuggestion(Carry.KEEP, f"It was done {went.sessions}. Few clean counts yet.")
    top = max(counted, key=lambda step: step.effort or 0)
    words = _clean_words(top)
    line = f"The clean line is {went.clean_line} %."
    share = top.clean / top.counted
    if share * 100 < went.clean_line - 20:
        return CarrySuggestion(Carry.LOWER, f"{words}. {line}")
    line_is_met = all(step.clean * 100 >= went.clean_line * step.counted for step in counted)
    if line_is_met and credit >= WELL_DONE:
        return CarrySuggestion(Carry.RAISE, f"{words}. {line} Ready for more.")
    if line_is_met:
        why = f"It was done {went.sessions}. Keep it for now."
        return CarrySuggestion(Carry.KEEP, f"{words}. {line} {why}")
    return CarrySuggestion(Carry.KEEP, f"{words}. {line}")


def _clean_words(step: StepWent) -> str:
    at = f" at {step.effort}" if step.effort is not None else ""
    return f"{step.clean} of {step.counted} clean{at}"


# --- what it makes of the part ---------------------------------------------------------


def carried(
    spec: PartSpec,
    carry: Carry,
    swap: PartSpec | None = None,
    ladder: Optional["next_step.Suggestion"] = None,
) -> PartSpec | None:
    """The part as it is asked next; None if it is left out.

    `swap` is the drill that stands in, with its own dose; without one a swap leaves
    the part out.
    """
    if carry is Carry.SWAP and swap is not None:
        return replace(swap, sessions=spec.sessions, days=spec.days, id=None)
    if carry in {Carry.DROP, Carry.SWAP}:
        return None
    if carry is Carry.SHRINK:
        return _shrunk(spec)
    if carry is Carry.KEEP:
        return spec
    if ladder is not None and ladder.change.value == carry.value:
        from coaching.season import doses

        return with_dose(spec, doses.stepped(spec.dose, ladder))
    return with_dose(spec, raised(spec.dose) if carry is Carry.RAISE else lowered(spec.dose))


def _shrunk(spec: PartSpec) -> PartSpec:
    """A third of the sessions less, and of a single one half."""
    if spec.sessions == 1:
        return with_dose(spec, scale_dose(spec.dose, Fraction(1, 2)))
    sessions = spec.sessions - max(1, spec.sessions // 3)
    return on_days(replace(spec, sessions=sessions), spec.days[:sessions])


def raised(dose: Dose) -> Dose:
    """A ladder gets a few reps one step higher; any other dose a tenth more."""
    ladder = _ladder(dose.steps)
    if not ladder:
        return scale_dose(dose, MORE)
    top = ladder[-1]
    effort = top.effort or 0
    if effort >= 100:
        return scale_dose(dose, MORE)
    amount = max(1, min(NEW_TOP_REPS, top.amount))
    higher = Step(amount, top.unit, effort=min(100, effort + EFFORT_STEP))
    at = dose.steps.index(top) + 1
    return replace(dose, steps=(*dose.steps[:at], higher, *dose.steps[at:]))


def lowered(dose: Dose) -> Dose:
    """A ladder without its top step; any other dose a fifth less."""
    ladder = _ladder(dose.steps)
    if len(ladder) < 2:
        return scale_dose(dose, LESS)
    return replace(dose, steps=tuple(step for step in dose.steps if step is not ladder[-1]))


def _ladder(steps: Sequence[Step]) -> list[Step]:
    """The steps at a felt effort, the return set apart; empty if it is no rising ladder."""
    found = [step for step in steps if step.effort is not None and not step.is_return]
    efforts = [step.effort or 0 for step in found]
    rises = all(a < b for a, b in pairwise(efforts))
    return found if rises and all(step.unit is not DoseUnit.MINUTES for step in found) else []
