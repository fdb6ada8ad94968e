"""Weekly minutes from now to a target: capped growth, lighter weeks, no jump. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import floor

from shared.kit.refused import Refused

# House rules, not published ones; a coach changes the first three for each plan.
CAP_PERCENT = 10
LIGHTER_EVERY = 4
LIGHTER_PERCENT = 70
# Ten percent of almost nothing is nothing: a week may always ask this much more.
LEAST_STEP = 5
BASE_WEEKS = 4
MOST_MINUTES = 3000
MOST_WEEKS = 104


class RampKind(StrEnum):
    BUILDING = "building"
    HOLDING = "holding"
    LIGHTER = "lighter"
    LESS_TIME = "less time"
    OFF = "away"


@dataclass(frozen=True, slots=True)
class RampWeek:
    """What one week asks, in whole minutes, and what the ramp has reached by then."""

    minutes: int
    level: int
    kind: RampKind


@dataclass(frozen=True, slots=True)
class Ramp:
    """A ramp from `start` minutes a week to `target` in `weeks` weeks.

    `cap` is the most a week may ask above the level before it, as a share;
    `lighter_every` 0 leaves lighter weeks out; `shares` is how much of each coming
    week there is, 1 for a whole one: an event or days away make it less, 0 is a week off.
    """

    start: float
    target: float
    weeks: int
    cap: float = CAP_PERCENT / 100
    lighter_every: int = LIGHTER_EVERY
    lighter_share: float = LIGHTER_PERCENT / 100
    shares: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if not (0 <= self.start <= MOST_MINUTES and 0 <= self.target <= MOST_MINUTES):
            raise Refused(f"Minutes a week go from 0 to {MOST_MINUTES}.")
        if not 1 <= self.weeks <= MOST_WEEKS:
            raise Refused(f"A ramp takes from 1 to {MOST_WEEKS} weeks.")
        if not 0 < self.cap <= 1:
            raise Refused("The most a week may grow lies between 1 and 100 percent.")
        if not (self.lighter_every == 0 or 2 <= self.lighter_every <= 12):
            raise Refused("Every second to twelfth week can be a lighter one, or none.")
        if not 0 < self.lighter_share <= 1:
            raise Refused("A lighter week asks from 1 to 100 percent.")
        if any(not 0 <= share <= 1 for share in self.shares):
            raise Refused("A week's share lies between 0 and 1.")

    def share(self, number: int) -> float:
        """How much there is of a week, counted from 0."""
        return self.shares[number] if number < len(self.shares) else 1


def most_after(level: float, cap: float) -> int:
    """The most a week may ask after one of `level` minutes, in whole minutes."""
    # The tiny term undoes binary fractions: a tenth more than 50 is 55.
    return floor(level + max(level * cap, LEAST_STEP) + 1e-9)


def weeks_of(ramp: Ramp, count: int | None = None) -> list[RampWeek]:
    """The first `count` weeks of the ramp (default: up to the target's week).

    Each building week takes an equal step of what is left, at most the cap. In lighter,
    shortened and wholly free weeks the level does not grow; every free week in a row
    takes a quarter of it away, so that coming back is no jump. The target's own week is
    never a lighter one. Where the target lies below, the way down has no cap.

    Notes
    -----
    House rule, not a published one.

    Examples
    --------
    >>> [week.minutes for week in weeks_of(Ramp(100, 130, 6))]
    [106, 112, 118, 82, 124, 130]
    """
    count = ramp.weeks if count is None else count
    weeks: list[RampWeek] = []
    level, lost = floor(ramp.start), 0
    for number in range(count):
        share = ramp.share(number)
        if share == 0:
            lost = lost or -(-level // BASE_WEEKS)
            level = max(0, level - lost)
            weeks.append(RampWeek(0, level, RampKind.OFF))
            continue
        lost = 0
        if share < 1:
            weeks.append(RampWeek(floor(level * share), level, RampKind.LESS_TIME))
        elif _is_lighter(ramp, number):
            weeks.append(RampWeek(floor(level * ramp.lighter_share), level, RampKind.LIGHTER))
        else:
            before, level = level, _next_level(ramp, number, level)
            kind = RampKind.HOLDING if level == before else RampKind.BUILDING
            weeks.append(RampWeek(level, level, kind))
    return weeks


def _is_lighter(ramp: Ramp, number: int) -> bool:
    every = ramp.lighter_every
    return bool(every) and (number + 1) % every == 0 and number != ramp.weeks - 1


def _next_level(ramp: Ramp, number: int, level: int) -> int:
    steps = sum(
        1
        for week in range(number, ramp.weeks)
        if not _is_lighter(ramp, week) and ramp.share(week) == 1
    )
    wanted = level + (floor(ramp.target) - level) / max(1, steps)
    return min(floor(wanted + 1e-9), most_after(level, ramp.cap))


def base_of(minutes: Sequence[float]) -> float:
    """The weekly minutes somebody stands at: the mean of the last four weeks, oldest first.

    Weeks of illness or away count as the little that they were, so a ramp that begins
    again from here begins with what the body is used to now. Nothing known is 0.

    Raises
    ------
    Refused
        A negative amount.

    Notes
    -----
    House rule, not a published one; the same four weeks as the load rule.

    Examples
    --------
    >>> base_of([100, 100, 100, 100]), base_of([100, 100, 0, 0]), base_of([])
    (100.0, 50.0, 0.0)
    """
    if any(amount < 0 for amount in minutes):
        raise Refused("Write 0 minutes or more, such as 45.")
    last = list(minutes)[-BASE_WEEKS:]
    return sum(last) / len(last) if last else 0.0


def reached_after(ramp: Ramp) -> int | None:
    """The number of weeks after which the target stands; None if not within two years more."""
    goal = floor(ramp.target)
    for number, week in enumerate(weeks_of(ramp, ramp.weeks + MOST_WEEKS), start=1):
        if week.level == goal and week.kind in {RampKind.BUILDING, RampKind.HOLDING}:
            return number
    return None
