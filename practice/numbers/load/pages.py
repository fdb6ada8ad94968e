"""Load in words. It describes; it says nothing about who gets hurt."""

from dataclasses import dataclass

from practice.numbers.kit import text as said
from practice.numbers.load.weeks import HardSwings, LoadAnswer, LoadWeek
from shared.kit.drawing import charts


@dataclass(frozen=True, slots=True)
class WeekRow:
    week: str
    load: str
    sessions: str
    minutes: str
    hard: str


@dataclass(frozen=True, slots=True)
class LoadPage:
    """What templates/numbers/load.html needs, and nothing else."""

    answer: str
    hard: str
    rolling: str
    unrated: str
    rows: tuple[WeekRow, ...]
    figure: charts.OverDays


def load_page(found: LoadAnswer, *, is_own: bool) -> LoadPage:
    return LoadPage(
        answer=_answer(found),
        hard=_hard(found.hard, is_own=is_own),
        rolling=_rolling(found),
        unrated=_unrated(found),
        rows=tuple(_row(week) for week in reversed(found.weeks)),
        figure=_figure(found),
    )


def _answer(found: LoadAnswer) -> str:
    now = f"The load so far is {found.now.load:.0f}, from {said.many(found.now.sessions, 'visit')}."
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
        f"{now} The weeks before had {band.low:.0f} to {band.high:.0f}, usually "
        f"{band.middle:.0f}. So it is {place}."
    )


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


def _row(week: LoadWeek) -> WeekRow:
    return WeekRow(
        week=said.day(week.opens) + (" so far" if week.is_now else ""),
        load=f"{week.load:.0f}",
        sessions=str(week.sessions),
        minutes=f"{week.minutes:.0f}",
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
            note=f"{said.many(week.sessions, 'session')}{', so far' if week.is_now else ''}",
            faint=week.is_now,
        )
        for week in found.weeks
    ]
    axis = charts.Axis("load of the week", "felt × min", 0)
    return charts.OverDays("Load by week", _answer(found), axis, points, band)
