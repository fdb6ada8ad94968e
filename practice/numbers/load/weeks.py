"""How much, and how fast it grew: a description. Loads are how hard it felt (0-10) × minutes."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median
from typing import TYPE_CHECKING

from practice.care.load import load_jump
from practice.measures.answers import Estimate, TooLittle
from practice.numbers.load.queries import WEEK, WEEKS, LoadFacts, Session
from shared.kit.weeks import week_days

if TYPE_CHECKING:
    from practice.measures.diary import Overcount

BAND_WEEKS, LEAST_WEEKS = 8, 4
HARD_WEEKS = 4


@dataclass(frozen=True, slots=True)
class LoadWeek:
    """One week. `sameness` is the daily mean over its standard deviation (n - 1), `product`
    the load times that; None where the days are all alike or the week is not over.
    `hard_swings` is None for a week of which nothing is known. `clock`: what its minutes are
    likely to have been by the clock; None where none were told, or too few were checked."""

    opens: date
    load: float
    minutes: float
    sessions: int
    unrated: int
    sameness: float | None
    product: float | None
    hard_swings: int | None
    is_now: bool
    clock: Estimate | None = None


@dataclass(frozen=True, slots=True)
class LoadBand:
    """Lowest, middle and highest weekly load of the whole weeks before, at most eight."""

    low: float
    middle: float
    high: float
    weeks: int


@dataclass(frozen=True, slots=True)
class RollingLoad:
    """Exponentially weighted load a day over about 7 and about 28 days, up to yesterday."""

    recent: float
    longer: float
    days: int


@dataclass(frozen=True, slots=True)
class HardSwings:
    """This week beside the mean of up to four before. `word`: usual, jump, no base, or no
    base with the ceiling of first weeks passed."""

    now: int
    mean: float | None
    word: str
    ceiling: int | None
    weeks: int


@dataclass(frozen=True, slots=True)
class LoadAnswer:
    """`band_missing` and `rolling_missing`: how many more weeks or days it takes."""

    today: date
    weeks: tuple[LoadWeek, ...]
    band: LoadBand | None
    band_missing: int
    rolling: RollingLoad | None
    rolling_missing: int
    hard: HardSwings
    checks: int = 0
    checks_missing: int = 0

    @property
    def now(self) -> LoadWeek:
        return self.weeks[-1]


def load_answer(facts: LoadFacts) -> LoadAnswer:
    weight = _weight(facts)
    weeks = tuple(
        _week(opens, facts, weight)
        for n in reversed(range(WEEKS))
        if _is_known(opens := facts.opens - n * WEEK, facts)
    )
    before = [week.load for week in weeks[:-1]][-BAND_WEEKS:]
    band = None
    if len(before) >= LEAST_WEEKS:
        band = LoadBand(min(before), median(before), max(before), len(before))
    rolling, missing = _rolling(facts)
    return LoadAnswer(
        today=facts.today,
        weeks=weeks,
        band=band,
        band_missing=max(0, LEAST_WEEKS - len(before)),
        rolling=rolling,
        rolling_missing=missing,
        hard=_hard(facts),
        checks=len(facts.checks.own),
        checks_missing=weight.missing if isinstance(weight, TooLittle) else 0,
    )


def _weight(facts: LoadFacts) -> "Overcount | TooLittle":
    from practice.measures.diary import overcount

    return overcount(facts.checks.own, facts.checks.others)


def _by_the_clock(sessions: Sequence[Session], weight: "Overcount | TooLittle") -> Estimate | None:
    from practice.measures.diary import by_the_clock

    if isinstance(weight, TooLittle):
        return None
    untimed = [session.untimed for session in sessions]
    found = by_the_clock(untimed, weight, timed=sum(session.timed for session in sessions))
    return None if isinstance(found, TooLittle) else found


def _is_known(opens: date, facts: LoadFacts) -> bool:
    """A week since logging began, or the present one."""
    return opens == facts.opens or (facts.first is not None and facts.first < opens + WEEK)


def _load(session: Session) -> float | None:
    from practice.measures.load import session_load

    if session.felt is None or not session.minutes:
        return None
    return session_load(session.felt, session.minutes)


def _days(facts: LoadFacts) -> dict[date, float]:
    days: dict[date, float] = {}
    for session in facts.sessions:
        days[session.day] = days.get(session.day, 0.0) + (_load(session) or 0.0)
    return days


def _week(opens: date, facts: LoadFacts, weight: "Overcount | TooLittle") -> LoadWeek:
    from practice.measures.load import week_load

    days, by_day = week_days(opens), _days(facts)
    sessions = [session for session in facts.sessions if opens <= session.day < opens + WEEK]
    is_now = opens == facts.opens
    found = week_load([by_day.get(day, 0.0) for day in days])
    return LoadWeek(
        opens=opens,
        load=found.total,
        minutes=sum(session.minutes or 0.0 for session in sessions),
        sessions=len(sessions),
        unrated=sum(_load(session) is None for session in sessions),
        sameness=None if is_now else found.monotony,
        product=None if is_now else found.strain,
        hard_swings=facts.hard.get(opens),
        is_now=is_now,
        clock=_by_the_clock(sessions, weight),
    )


def _rolling(facts: LoadFacts) -> tuple[RollingLoad | None, int]:
    """Whole days only: today is not over."""
    from practice.measures.load import LONG_DAYS, rolling_load

    if facts.first is None:
        return None, LONG_DAYS
    since = max(facts.first, facts.opens - (WEEKS - 1) * WEEK)
    by_day = _days(facts)
    days = [by_day.get(since + timedelta(days=n), 0.0) for n in range((facts.today - since).days)]
    found = rolling_load(days)
    if isinstance(found, TooLittle):
        return None, found.missing
    return RollingLoad(found.recent, found.longer, found.n), 0


def _hard(facts: LoadFacts) -> HardSwings:
    before = [facts.hard.get(facts.opens - n * WEEK) for n in range(1, HARD_WEEKS + 1)]
    now = facts.hard.get(facts.opens, 0)
    found = load_jump(before, now, under_16=facts.under_16)
    known = sum(swings is not None for swings in before)
    return HardSwings(now, found.mean, str(found.load), found.ceiling, known)
