"""How much days differ by themselves, as known beforehand. Loads nothing else."""

from dataclasses import dataclass
from math import isfinite

from practice.measures.answers import BadData

# Worth of what is known beforehand, in days of one's own (house rule).
USUAL_FREEDOM = 6
# Day-to-day spread of a speed test, in m/s: 1.9 mph of ball speed and 1.3 mph of club speed
# (common practice, no source).
USUAL_BALL_SPREAD = 1.9 * 0.44704
USUAL_CLUB_SPREAD = 1.3 * 0.44704


@dataclass(frozen=True, slots=True)
class Together:
    """What moves everybody in one place in the same month: a season, other balls, a wet range.

    `months` are counted from the year 0, in order; `shifts` are how far everybody lies from
    their own level in each, in the unit of the figures, and `errors` the covariance of what is
    not known of them. `spread`: standard deviation of such a shift, 0 where nothing
    moves all alike.
    """

    months: tuple[int, ...] = ()
    shifts: tuple[float, ...] = ()
    errors: tuple[tuple[float, ...], ...] = ()
    spread: float = 0.0


@dataclass(frozen=True, slots=True)
class DaySpread:
    """How much days of one student differ by themselves, as known beforehand.

    `ratio`: standard deviation between days, in units of that of a single ball within a
    day (of one figure a day in its own unit); `freedom`: for how many days of one's own
    that knowledge stands; `alike`: correlation of neighbouring days; `students`: from how
    many in one place it is, 0 for a house rule; `together`: what moves all of them alike.
    """

    ratio: float
    freedom: float = USUAL_FREEDOM
    alike: float = 0.0
    students: int = 0
    together: Together = Together()

    def __post_init__(self) -> None:
        if not all(map(isfinite, (self.ratio, self.freedom, self.alike))) or self.ratio < 0:
            raise BadData("A spread is a finite number, not below zero.")
        if not self.freedom > 0:
            raise BadData("What is known beforehand must be worth something.")
        if not -1 < self.alike < 1:
            raise BadData("The likeness of neighbouring days lies between -1 and 1.")


# House choices for measured balls, and for reps scored clean or not (common practice, no
# source). Neighbouring days are taken for half alike until the studio's own are known: where
# they are less so, the intervals are wider than they need be.
USUAL_BALLS = DaySpread(0.7, alike=0.5)
USUAL_REPS = DaySpread(0.3, alike=0.5)


@dataclass(frozen=True, slots=True)
class UsualPrior:
    """What is known beforehand, by kind of figure: the house's own, or learnt in one place.

    Speeds in m/s from test day to test day; carries, misses and reps in the spread of one
    ball or rep.
    """

    ball_speed: DaySpread = DaySpread(USUAL_BALL_SPREAD, alike=0.5)
    club_speed: DaySpread = DaySpread(USUAL_CLUB_SPREAD, alike=0.5)
    carries: DaySpread = USUAL_BALLS
    misses: DaySpread = USUAL_BALLS
    reps: DaySpread = USUAL_REPS

    def of_speed(self, quantity: str) -> DaySpread:
        return self.ball_speed if quantity == "ball_speed" else self.club_speed


HOUSE = UsualPrior()
