"""What a studio's past weeks say about practising: the start for a student with few of their own.

Plain numbers, made once a week from the tallies by `rhythm_fit` and kept; a studio
without any has HOUSE, which is our own choice.
"""

from dataclasses import asdict, dataclass, field, fields, replace
from datetime import date
from functools import lru_cache
from math import exp, inf
from typing import Any

DAYS = 7
WEEKEND = frozenset({5, 6})
# Practice after the week is nearly done says nothing about who would have practised.
NEARLY_ALL = 0.90
ALL = 0.98  # A day that brings the week here may have been cut short by its end.


@dataclass(frozen=True, slots=True)
class Shares:
    """A day's work as percent of the week asked; the names mean what they mean in Rhythm."""

    amount: float = 25.0
    amounts: tuple[float, ...] = (1.0,) * DAYS
    spread: float = 0.4
    week_spread: float = 0.15
    own_amount: float = 4.0
    own_amounts: float = 12.0


@dataclass(frozen=True, slots=True)
class WorkLeft:
    """Chances of practice by day of the week and by what is left of it, and the parts of that
    which are taken at one go, by what is left; see `work_left`."""

    chances: tuple[tuple[float, ...], ...]
    parts: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class Rhythm:
    """The studio's way of practising.

    Attributes
    ----------
    level : float
        Log-odds that an ordinary student practises on an ordinary open day.
    weekdays : tuple of seven floats
        Added to it on Monday, Tuesday, … Sunday.
    usually_asked : float
        Logarithm of the practice days asked for: the week's minutes by a day's.
    asking_tells : float
        How much it says of a student to be asked for more or less than that: one by the
        variance with which the days asked for lie around those done, as logarithms.
    levels_differ, weekends_differ, weekdays_differ : float
        Standard deviations, in log-odds, between students: of how often they practise, of
        what the weekend adds, and of single weekdays.
    own_amount, own_amounts : float
        After how many practice days of their own a student's minutes weigh as much as
        what they start from; and those of one weekday, after how many of that weekday.
    weeks_differ : float
        Standard deviation, in log-odds, of a student's good and bad weeks.
    lost_weeks : float
        Share of the weeks in which nothing more comes, for no reason told.
    fade : float
        Weight of a week beside the one after it, in (0, 1].
    amount : float
        Minutes of a day's practice.
    amounts : tuple of seven floats
        The same by weekday, beside that mean.
    spread, week_spread : float
        Coefficient of variation of a day's minutes, and of what a week has in common.
    late : tuple of seven floats
        Share of practice still unwritten at the end of its day, one day later, two, …
    shares : Shares
        The same of minutes as shares of the week asked.
    pooled : tuple of floats
        A logistic regression over all weeks here: see `panel.standing`.
    reached, rest : float
        Share of the weeks here that reach the line, and of a week that its days bring, on
        average over those of the mean student.
    cycles : tuple of pairs
        Periods in days, and the share of the students here that go by each.
    work : WorkLeft or None
        How a week's work is done here, day after day.
    ends : tuple of floats
        Of weeks here without the line when 1, 2, … days were left, the shares that reached it.
    trust : tuple of floats
        How the forecasters of the panel came out here: mean log scores, beside the best.
    tilt, stretch : float
        Log-odds of the chance as reckoned become tilt + stretch × those log-odds.
    weeks, students : int
        What it was made from.
    """

    level: float = -0.35
    weekdays: tuple[float, ...] = (0.0,) * DAYS
    usually_asked: float = 1.1
    asking_tells: float = 0.0
    levels_differ: float = 1.6
    weekends_differ: float = 0.6
    weekdays_differ: float = 0.5
    own_amount: float = 4.0
    own_amounts: float = 12.0
    weeks_differ: float = 0.6
    lost_weeks: float = 0.02
    fade: float = 0.94
    amount: float = 22.0
    amounts: tuple[float, ...] = (1.0,) * DAYS
    spread: float = 0.4
    week_spread: float = 0.15
    late: tuple[float, ...] = (0.06, 0.03, 0.015, 0.01, 0.005, 0.0, 0.0)
    shares: Shares = field(default_factory=Shares)
    pooled: tuple[float, ...] = (0.0, -1.0, 0.3, -0.2, 0.6, 2.0, 0.3, 0.0, 0.0, 0.0, 0.5)
    reached: float = 0.5
    rest: float = 0.8
    cycles: tuple[tuple[int, float], ...] = ()
    work: WorkLeft | None = None
    ends: tuple[float, ...] = (0.25, 0.35)
    trust: tuple[float, ...] = (0.0,) * 7
    tilt: float = 0.0
    stretch: float = 1.0
    weeks: int = 0
    students: int = 0

    def as_json(self) -> dict[str, Any]:
        return asdict(self)


HOUSE = Rhythm()
_NAMES = frozenset(each.name for each in fields(Rhythm))


def from_json(kept: dict[str, Any] | None) -> Rhythm:
    """The rhythm as it was kept; HOUSE for none. Names it does not know are left out."""
    if not kept:
        return HOUSE
    known = _tuples({name: value for name, value in kept.items() if name in _NAMES})
    if "shares" in known:
        known["shares"] = Shares(**_tuples(known["shares"]))
    if known.get("work"):
        known["work"] = WorkLeft(**_tuples(known["work"]))
    for name in ("trust", "pooled", "ends"):
        if len(known.get(name, getattr(HOUSE, name))) != len(getattr(HOUSE, name)):
            del known[name]  # Of a release with another panel.
    return Rhythm(**known)


def _tuples(kept: dict[str, Any]) -> dict[str, Any]:
    return {name: _tupled(it) for name, it in kept.items()}


def _tupled(kept: Any) -> Any:
    return tuple(_tupled(each) for each in kept) if isinstance(kept, list) else kept


@lru_cache(maxsize=64)
def of_shares(rhythm: Rhythm) -> Rhythm:
    """The rhythm for weeks of which every one asks for 100: minutes as percent of the week."""
    return replace(rhythm, **asdict(rhythm.shares))


@dataclass(frozen=True, slots=True)
class DoneWeek:
    """One past open week: minutes asked, credited by day, and the days that were excused."""

    opens: date
    asked: float
    by_day: tuple[float, ...]
    shut: frozenset[int] = frozenset()

    def days(self) -> list[tuple[int, float, bool]]:
        """Days that say something: (weekday, minutes, whether that ended the week).

        Not those excused without work, nor those after the week was nearly done.
        """
        found, so_far = [], 0.0
        enough, all_of_it = NEARLY_ALL * self.asked, ALL * self.asked
        weekday = self.opens.weekday()
        for day, minutes in enumerate(self.by_day):
            if minutes > 0 or day not in self.shut:
                so_far += minutes
                found.append(((weekday + day) % DAYS, minutes, so_far >= all_of_it))
                if so_far >= enough:
                    break
        return found


def remembered_week(opens: date, by_day: tuple[float, ...]) -> DoneWeek:
    """A week of which nothing was asked: it is never nearly done, and no share of it is known."""
    return DoneWeek(opens, inf, by_day)


def in_percent(week: DoneWeek) -> DoneWeek:
    """The same week with its minutes as percent of what was asked."""
    return replace(
        week, asked=100.0, by_day=tuple([100 * each / week.asked for each in week.by_day])
    )


def chance_of(log_odds: float) -> float:
    """The logistic function, safe at both ends."""
    if log_odds < -35:
        return 0.0
    return 1 / (1 + exp(-log_odds)) if log_odds < 35 else 1.0
