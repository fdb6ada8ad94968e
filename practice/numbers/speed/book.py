"""The speed book of one student as an answer: level, change, steadiness, trend. SI: m/s.

House rules: a day figure is the median of at least six counted swings; a day with fewer,
or written from memory, is shown and feeds no verdict; lines of different device, ball,
place, roof or club are never joined.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from math import sqrt
from typing import TYPE_CHECKING

from practice.measures.answers import Estimate, Evidence, TooLittle, weakest
from practice.measures.usual import HOUSE, DaySpread
from practice.numbers.speed.queries import JoinedLine, SpeedDay, SpeedFacts
from shared.kit.units import METRES_A_SECOND_IN_MPH

if TYPE_CHECKING:
    from practice.measures.change import Steadiness
    from practice.measures.chart import ControlLimits, Rule
    from practice.measures.claim import Claim
    from practice.measures.trend import FittedLine as Fit
    from practice.measures.trend import GoalDays

MOST_LINES = 6
LEAST_SPREAD_DAYS = 6


@dataclass(frozen=True, slots=True)
class Top:
    """The fastest swing and how many it is the fastest of: it rises with their number."""

    speed: float
    day: date
    swings: int


@dataclass(frozen=True, slots=True)
class Spreads:
    """Standard deviations between days and within a day; `between` None: not above zero."""

    between: float | None
    within: float
    days: int
    swings: int


class SpeedOutlook(StrEnum):
    """What can be said of the aim at this trend."""

    REACHED = "reached"
    ON_TREND = "on this trend"
    NOT_ON_TREND = "not on this trend"
    TOO_FAR = "further off than has been watched"
    AT_THE_LINE = "the line is there"
    TOO_SOON = "too soon to say"


# What a line says of an aim that the last three days have not reached.
_OUTLOOK = {
    "reached": SpeedOutlook.AT_THE_LINE,
    "further off than has been watched": SpeedOutlook.TOO_FAR,
    "not on this trend": SpeedOutlook.NOT_ON_TREND,
}


@dataclass(frozen=True, slots=True)
class Goal:
    """The aim, and the days by which a straight line would reach it; None: beyond the horizon."""

    aim: float
    outlook: SpeedOutlook
    earliest: date | None = None
    likely: date | None = None
    secure: date | None = None


@dataclass(frozen=True, slots=True)
class Trend:
    """The slope per day with its interval, and the line that is drawn: days since `start`."""

    slope: Estimate
    fit: "Fit"
    start: date


@dataclass(frozen=True, slots=True)
class SpeedLine:
    """One line of the book. `days` feed the verdicts; `others` are shown only."""

    line: JoinedLine
    days: tuple[SpeedDay, ...]
    others: tuple[SpeedDay, ...]
    evidence: Evidence | None
    claim: "Claim | TooLittle"
    steady: "Steadiness | TooLittle"
    # Of the days that `steady` speaks of, with its interval.
    day_spread: Estimate | TooLittle
    spreads: Spreads | TooLittle
    limits: "ControlLimits | TooLittle"
    signals: tuple[tuple[date, "Rule"], ...]
    trend: Trend | TooLittle
    goal: Goal | None
    top: Top
    usual: DaySpread  # From day to day, m/s.

    @property
    def everyday(self) -> float | None:
        """The mean of the last three day figures."""
        last = [each.figure for each in self.days[-3:]]
        return sum(last) / len(last) if last else None


@dataclass(frozen=True, slots=True)
class SpeedBook:
    """Lines newest first, at most MOST_LINES; `more` says how many are left out."""

    lines: tuple[SpeedLine, ...]
    more: int
    starts_on: date | None
    elsewhere: int
    is_cut: bool


def speed_book(facts: SpeedFacts) -> SpeedBook:
    """The whole book from what was read."""
    shown = facts.lines[:MOST_LINES]
    return SpeedBook(
        lines=tuple(
            speed_line(
                line,
                days,
                facts.usual.of_speed(line.quantity),
                starts_on=facts.starts_on,
                aim=facts.aims.get(line.quantity),
            )
            for line, days in shown
        ),
        more=len(facts.lines) - len(shown),
        starts_on=facts.starts_on,
        elsewhere=facts.elsewhere,
        is_cut=facts.is_cut,
    )


def speed_line(
    line: JoinedLine,
    days: tuple[SpeedDay, ...],
    usual: DaySpread | None = None,
    *,
    starts_on: date | None = None,
    aim: float | None = None,
) -> SpeedLine:
    """Everything about one line; `days` in time order, at least one.

    `usual`: how much such days differ, the house's own where it is not given.
    """
    from practice.measures.change import STEADY_DAYS, steadiness
    from practice.measures.chart import individuals
    from practice.measures.spread import spread

    judged, others = _split(days, starts_on)
    figures = [each.figure for each in judged]
    usual = usual or HOUSE.of_speed(line.quantity)
    limits = individuals(figures)
    trend = _trend(judged, usual.alike)
    return SpeedLine(
        line=line,
        days=judged,
        others=others,
        evidence=_evidence(judged),
        claim=claim_on(judged, line.quantity, usual),
        steady=steadiness(figures, usual.ratio, usual),
        day_spread=spread(figures[-STEADY_DAYS:], "m/s"),
        spreads=_spreads(judged),
        limits=limits,
        signals=_signals(judged, limits),
        trend=trend,
        goal=_goal(judged, trend, aim) if aim is not None else None,
        top=_top(days),
        usual=usual,
    )


def claim_on(days: tuple[SpeedDay, ...], quantity: str, usual: DaySpread) -> "Claim | TooLittle":
    """What can be claimed of these days: the one answer that every page, board and mail gives.

    The smallest change worth having is what days differ by in most studios, or what is real
    for this player where that is more (house rule).
    """
    from practice.measures.change import BASELINE_DAYS, worth_of
    from practice.measures.lately import change_of_figures
    from practice.measures.together import shared_by

    figures = [each.figure for each in days]
    balls = sum(len(each.swings) for each in days)
    shared = shared_by([each.day for each in days], usual.together)
    worth = worth_of(figures, HOUSE.of_speed(quantity).ratio)
    return change_of_figures(
        figures,
        usual.ratio,
        "m/s",
        worth,
        balls=balls,
        usual=usual,
        start=BASELINE_DAYS,
        shared=shared,
    )


def _split(
    days: tuple[SpeedDay, ...], starts_on: date | None
) -> tuple[tuple[SpeedDay, ...], tuple[SpeedDay, ...]]:
    """Days that feed verdicts, and those that are shown only."""
    counts = [d.feeds_verdicts and (starts_on is None or d.day >= starts_on) for d in days]
    pairs = list(zip(days, counts, strict=True))
    return tuple(d for d, yes in pairs if yes), tuple(d for d, yes in pairs if not yes)


def _evidence(days: tuple[SpeedDay, ...]) -> Evidence | None:
    kinds = [Evidence.COUNTED if each.is_seen else Evidence.MEASURED for each in days]
    return weakest(*kinds) if kinds else None


def _spreads(days: tuple[SpeedDay, ...]) -> Spreads | TooLittle:
    """Between and within days; six days at least, since fewer say next to nothing."""
    from practice.measures.spread import components

    if len(days) < LEAST_SPREAD_DAYS:
        return TooLittle("Spread needs six test days.", len(days), LEAST_SPREAD_DAYS)
    if all(max(each.swings) == min(each.swings) for each in days):
        return TooLittle("Every swing of a day was the same.", len(days), len(days) + 1)
    found = components([each.swings for each in days])
    if isinstance(found, TooLittle):
        return found
    between = sqrt(found.between) if found.distinguishable and found.between > 0 else None
    return Spreads(between, sqrt(found.within), found.sessions, found.n)


def _signals(
    days: tuple[SpeedDay, ...], limits: "ControlLimits | TooLittle"
) -> tuple[tuple[date, "Rule"], ...]:
    from practice.measures.chart import signals

    if isinstance(limits, TooLittle):
        return ()
    found = signals([(each.figure - limits.centre) / limits.sigma for each in days])
    return tuple(sorted((days[i].day, rule) for rule, places in found.items() for i in places))


def _trend(days: tuple[SpeedDay, ...], alike: float) -> Trend | TooLittle:
    from practice.measures.trend import LEAST_SESSIONS, LEAST_SPAN_DAYS, line, robust_slope

    if not days:
        return TooLittle("A trend needs more test days.", 0, LEAST_SESSIONS)
    start = days[0].day
    offsets = [(each.day - start).days for each in days]
    figures = [each.figure for each in days]
    slope = robust_slope(offsets, figures, "m/s", alike=alike, coarsest=METRES_A_SECOND_IN_MPH)
    fit = line(offsets, figures, least=LEAST_SESSIONS)
    if isinstance(slope, TooLittle):
        return slope
    if isinstance(fit, TooLittle):
        return fit
    if offsets[-1] < LEAST_SPAN_DAYS:
        return TooLittle(f"A trend needs {LEAST_SPAN_DAYS} days.", len(days), len(days) + 1)
    return Trend(slope, fit, start)


def _goal(days: tuple[SpeedDay, ...], trend: Trend | TooLittle, aim: float) -> Goal:
    from practice.measures.trend import when_reached

    last = [each.figure for each in days[-3:]]
    if len(last) == 3 and sum(last) / 3 >= aim:
        return Goal(aim, SpeedOutlook.REACHED)
    if isinstance(trend, TooLittle):
        return Goal(aim, SpeedOutlook.TOO_SOON)
    offsets = [(each.day - trend.start).days for each in days]
    found = when_reached(offsets, [each.figure for each in days], aim)
    if isinstance(found, TooLittle):
        return Goal(aim, SpeedOutlook.TOO_SOON)
    if found.days is not None:
        return _dated(aim, found.days, trend.start, days[-1].day)
    return Goal(aim, _OUTLOOK[str(found.goal)])


def _dated(aim: float, found: "GoalDays", start: date, last: date) -> Goal:
    def on(offset: float | None) -> date | None:
        """Never a day that has passed: the aim is not reached yet."""
        return None if offset is None else max(last, start + timedelta(days=round(offset)))

    return Goal(aim, SpeedOutlook.ON_TREND, on(found.earliest), on(found.likely), on(found.secure))


def _top(days: tuple[SpeedDay, ...]) -> Top:
    best = max(days, key=lambda each: max(each.swings))
    return Top(max(best.swings), best.day, sum(len(each.swings) for each in days))
