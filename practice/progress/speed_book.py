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
from practice.progress.speed_read import Line, SpeedDay, SpeedFacts

if TYPE_CHECKING:
    from practice.measures.change import Change, Steadiness
    from practice.measures.chart import Limits, Rule
    from practice.measures.trend import GoalDays
    from practice.measures.trend import Line as Fit

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


class Outlook(StrEnum):
    """What can be said of the aim at this trend."""

    REACHED = "reached"
    ON_TREND = "on this trend"
    NOT_ON_TREND = "not on this trend"
    TOO_SOON = "too soon to say"


@dataclass(frozen=True, slots=True)
class Goal:
    """The aim, and the days by which a straight line would reach it; None: beyond the horizon."""

    aim: float
    outlook: Outlook
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

    line: Line
    days: tuple[SpeedDay, ...]
    others: tuple[SpeedDay, ...]
    evidence: Evidence | None
    change: "Change | TooLittle"
    recent: "Change | TooLittle"
    steady: "Steadiness | TooLittle"
    spreads: Spreads | TooLittle
    limits: "Limits | TooLittle"
    signals: tuple[tuple[date, "Rule"], ...]
    trend: Trend | TooLittle
    goal: Goal | None
    top: Top
    # Day-to-day standard deviation that is taken for usual in this quantity, m/s.
    usual_spread: float

    @property
    def everyday(self) -> float | None:
        """The mean of the last three day figures."""
        last = [each.figure for each in self.days[-3:]]
        return sum(last) / len(last) if last else None

    @property
    def held(self) -> "Change | None":
        """The verdict that may be told: a recent change that held, else that since the start."""
        return held_of(self.change, self.recent)


def held_of(change: "Change | TooLittle", recent: "Change | TooLittle") -> "Change | None":
    """Of the change since the start and the recent one, the verdict that may be told."""
    held = change if not isinstance(change, TooLittle) and change.held else None
    if isinstance(recent, TooLittle) or not recent.held or recent.verdict == "Level":
        return held
    return held if held is not None and held.verdict is recent.verdict else recent


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
            speed_line(line, days, starts_on=facts.starts_on, aim=facts.aims.get(line.quantity))
            for line, days in shown
        ),
        more=len(facts.lines) - len(shown),
        starts_on=facts.starts_on,
        elsewhere=facts.elsewhere,
        is_cut=facts.is_cut,
    )


def speed_line(
    line: Line,
    days: tuple[SpeedDay, ...],
    *,
    starts_on: date | None = None,
    aim: float | None = None,
) -> SpeedLine:
    """Everything about one line; `days` in time order, at least one."""
    from practice.measures.change import (
        USUAL_BALL_SPREAD,
        USUAL_CLUB_SPREAD,
        against_before,
        against_start,
        steadiness,
    )
    from practice.measures.chart import individuals

    judged, others = _split(days, starts_on)
    figures = [each.figure for each in judged]
    usual = USUAL_BALL_SPREAD if line.quantity == "ball_speed" else USUAL_CLUB_SPREAD
    limits = individuals(figures)
    trend = _trend(judged)
    return SpeedLine(
        line=line,
        days=judged,
        others=others,
        evidence=_evidence(judged),
        change=against_start(figures, usual),
        recent=against_before(figures, usual),
        steady=steadiness(figures, usual),
        spreads=_spreads(judged),
        limits=limits,
        signals=_signals(judged, limits),
        trend=trend,
        goal=_goal(judged, trend, aim) if aim is not None else None,
        top=_top(days),
        usual_spread=usual,
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
    days: tuple[SpeedDay, ...], limits: "Limits | TooLittle"
) -> tuple[tuple[date, "Rule"], ...]:
    from practice.measures.chart import signals

    if isinstance(limits, TooLittle):
        return ()
    found = signals([(each.figure - limits.centre) / limits.sigma for each in days])
    return tuple(sorted((days[i].day, rule) for rule, places in found.items() for i in places))


def _trend(days: tuple[SpeedDay, ...]) -> Trend | TooLittle:
    from practice.measures.trend import LEAST_SESSIONS, LEAST_SPAN_DAYS, line, robust_slope

    if not days:
        return TooLittle("A trend needs more test days.", 0, LEAST_SESSIONS)
    start = days[0].day
    offsets = [(each.day - start).days for each in days]
    figures = [each.figure for each in days]
    slope = robust_slope(offsets, figures, "m/s")
    fit = line(offsets, figures, least=LEAST_SESSIONS)
    if isinstance(slope, TooLittle):
        return slope
    if isinstance(fit, TooLittle):
        return fit
    if offsets[-1] < LEAST_SPAN_DAYS:
        return TooLittle(f"A trend needs {LEAST_SPAN_DAYS} days.", len(days), len(days) + 1)
    return Trend(slope, fit, start)


def _goal(days: tuple[SpeedDay, ...], trend: Trend | TooLittle, aim: float) -> Goal:
    from practice.measures.trend import goal_days

    last = [each.figure for each in days[-3:]]
    if len(last) == 3 and sum(last) / 3 >= aim:
        return Goal(aim, Outlook.REACHED)
    if isinstance(trend, TooLittle):
        return Goal(aim, Outlook.TOO_SOON)
    if trend.fit.slope <= 0:
        return Goal(aim, Outlook.NOT_ON_TREND)
    span = (days[-1].day - trend.start).days
    found = goal_days(trend.fit, aim, horizon=2 * span)
    if found is None or found.likely is None:
        return Goal(aim, Outlook.NOT_ON_TREND)
    return _dated(aim, found, trend.start, days[-1].day)


def _dated(aim: float, found: "GoalDays", start: date, last: date) -> Goal:
    def on(offset: float | None) -> date | None:
        """Never a day that has passed: the aim is not reached yet."""
        return None if offset is None else max(last, start + timedelta(days=round(offset)))

    return Goal(aim, Outlook.ON_TREND, on(found.earliest), on(found.likely), on(found.secure))


def _top(days: tuple[SpeedDay, ...]) -> Top:
    best = max(days, key=lambda each: max(each.swings))
    return Top(max(best.swings), best.day, sum(len(each.swings) for each in days))
