"""Load in words. It describes; it says nothing about who gets hurt."""

from dataclasses import dataclass

from practice.measures.answers import Estimate
from practice.numbers.kit import text as said
from practice.numbers.load.weeks import HardSwings, LoadAnswer, LoadWeek
from shared.kit.drawing import charts
from shared.kit.text import in_minutes


@dataclass(frozen=True, slots=True)
class WeekRow:
    week: str
    load: str
    sessions: str
    minutes: str
    clock: str
    hard: str


@dataclass(frozen=True, slots=True)
class LoadPage:
    """What templates/numbers/load.html needs, and nothing else."""

    answer: str
    care: str
    hard: str
    rolling: str
    unrated: str
    clock: tuple[str, ...]
    has_clock: bool
    rows: tuple[WeekRow, ...]
    has_hard: bool
    figure: charts.OverDays


def load_page(found: LoadAnswer, *, is_own: bool) -> LoadPage:
    return LoadPage(
        answer=_answer(found),
        care=_care(found) if is_own else "",
        hard=_hard(found.hard, is_own=is_own),
        rolling=_rolling(found),
        unrated=_unrated(found),
        clock=clock_words(found),
        has_clock=any(week.clock for week in found.weeks),
        rows=tuple(_row(week) for week in reversed(found.weeks)),
        has_hard=any(week.hard_swings for week in found.weeks),
        figure=_figure(found),
    )


def _answer(found: LoadAnswer) -> str:
    visits = said.many(found.now.sessions, "visit")
    now = f"This week’s load so far is {found.now.load:.0f}, from {visits}."
    band = found.band
    if band is None:
        more = said.many(found.band_missing, "more week")
        return f"{now} Too soon for a usual week: {more} of logging."
    place = "as in the weeks before"
    if found.now.load > band.high:
        place = "more than in any of them"
    elif found.now.load < band.low:
        place = "still less than in any of them"
    return (
        f"{now} Load is minutes times how hard they felt. The weeks before had {band.low:.0f} to "
        f"{band.high:.0f}, usually {band.middle:.0f}. So it is {place}."
    )


def _care(found: LoadAnswer) -> str:
    """What anybody would do after far more than usual, to the student and the family."""
    if found.band is None or found.now.load <= found.band.high:
        return ""
    return "After that, easier days are good practice. If anything hurts, tell the coach."


def _hard(hard: HardSwings, *, is_own: bool) -> str:
    now = f"Hard swings this week: {hard.now}."
    if hard.mean is None:
        return (
            f"{now} There is no usual before three weeks. In first weeks {hard.ceiling} is the "
            f"most."
        )
    words = f"{now} The {hard.weeks} weeks before had {hard.mean:.0f} a week."
    if hard.word == "jump":
        words += (
            " Many more than usual: a day off is practice too."
            if is_own
            else (" That is a jump. Ask about it.")
        )
    return words


def _rolling(found: LoadAnswer) -> str:
    if found.rolling is None:
        return f"Rolling load needs four weeks of days: {found.rolling_missing} more."
    return (
        f"A day’s load is {found.rolling.recent:.0f} over about a week. Over about four weeks it "
        f"is {found.rolling.longer:.0f} ({found.rolling.days} days known)."
    )


def _unrated(found: LoadAnswer) -> str:
    unrated = sum(week.unrated for week in found.weeks)
    if not unrated:
        return ""
    sessions = sum(week.sessions for week in found.weeks)
    return (
        f"{unrated} of {said.many(sessions, 'visit')} had no minutes or no felt effort. The "
        f"loads leave them out."
    )


def clock_words(found: LoadAnswer) -> tuple[str, ...]:
    """Minutes as written and by the clock, of one week where that can be told."""
    if found.checks_missing:
        if not found.checks:
            return ()
        visits = said.many(found.checks, "visit is", "visits are")
        return (f"{visits} checked. From 3 on, minutes by the clock stand here.",)
    week = _clocked(found)
    if week is None or week.clock is None:
        return ()
    when = "This week so far" if week.is_now else "In the newest whole week"
    return (
        f"{when} {in_minutes(week.minutes)} minutes are written.",
        f"By the clock that is about {week.clock.value:.0f}.",
        f"It is likely from {_ends(week.clock)}.",
        f"That is told from {said.many(found.checks, 'checked visit')}.",
    )


def clock_in_short(found: LoadAnswer) -> str:
    """'60 written, 45 to 58 by the clock.'; empty where it cannot be told."""
    week = _clocked(found)
    if week is None or week.clock is None:
        return ""
    return f"{in_minutes(week.minutes)} written, {_ends(week.clock)} by the clock."


def _clocked(found: LoadAnswer) -> LoadWeek | None:
    """The newest whole week whose minutes are known by the clock, else the present one."""
    known = [week for week in found.weeks if week.clock is not None]
    whole = [week for week in known if not week.is_now]
    return next(reversed(whole or known), None)


def _ends(clock: Estimate) -> str:
    return " to ".join(said.outward(clock.low, clock.high))


def _row(week: LoadWeek) -> WeekRow:
    return WeekRow(
        # Twelve weeks need no year, and the table has to stand on a phone.
        week=f"{week.opens.day} {week.opens:%b}{' so far' if week.is_now else ''}",
        load=f"{week.load:.0f}",
        sessions=str(week.sessions),
        minutes=str(in_minutes(week.minutes)),
        clock=f"{week.clock.value:.0f} ({_ends(week.clock)})" if week.clock else "",
        hard="not known" if week.hard_swings is None else str(week.hard_swings),
    )


def _figure(found: LoadAnswer) -> charts.OverDays:
    band = None
    if found.band is not None:
        words = f"the {found.band.weeks} weeks before"
        band = charts.Band(found.band.low, found.band.high, words)
    points = [
        charts.DayPoint(
            week.opens,
            week.load,
            note=f"{said.many(week.sessions, 'visit')}{', so far' if week.is_now else ''}",
            faint=week.is_now,
        )
        for week in found.weeks
    ]
    axis = charts.Axis("load of the week", "felt × min", 0)
    return charts.OverDays("Load by week", _answer(found), axis, points, band)
