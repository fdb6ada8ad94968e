"""Load in words. It describes; it says nothing about who gets hurt."""

from dataclasses import dataclass

from practice.progress import said
from practice.progress.load_weeks import HardSwings, LoadAnswer, LoadWeek
from shared.drawing import charts


@dataclass(frozen=True, slots=True)
class WeekRow:
    week: str
    load: str
    sessions: str
    minutes: str
    hard: str
    sameness: str
    product: str


@dataclass(frozen=True, slots=True)
class LoadPage:
    """What templates/progress/load.html needs, and nothing else."""

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
    now = (
        f"Load this week so far: {found.now.load:.0f} (felt effort × minutes),"
        f" from {said.many(found.now.sessions, 'session')}."
    )
    band = found.band
    if band is None:
        more = said.many(found.band_missing, "more week")
        return f"{now} Too soon for a usual week: {more} of logging."
    return (
        f"{now} The {band.weeks} weeks before ran from {band.low:.0f} to {band.high:.0f},"
        f" the middle one {band.middle:.0f}."
    )


def _hard(hard: HardSwings, *, is_own: bool) -> str:
    now = f"Hard swings this week: {hard.now}."
    if hard.mean is None:
        return (
            f"{now} Fewer than three weeks are known, so there is no usual; in first weeks"
            f" {hard.ceiling} is the ceiling."
        )
    words = f"{now} The {hard.weeks} weeks before had {hard.mean:.0f} a week."
    if hard.word == "jump":
        words += (
            " Many more than usual: a day off is practice too."
            if is_own
            else (" A jump: a reason to ask, not a forecast.")
        )
    return words


def _rolling(found: LoadAnswer) -> str:
    if found.rolling is None:
        return f"Rolling load needs four weeks of days: {found.rolling_missing} more."
    return (
        f"A day’s load, the last days weighing most: {found.rolling.recent:.0f} over about a week,"
        f" {found.rolling.longer:.0f} over about four weeks ({found.rolling.days} days are known)."
    )


def _unrated(found: LoadAnswer) -> str:
    unrated = sum(week.unrated for week in found.weeks)
    if not unrated:
        return ""
    sessions = sum(week.sessions for week in found.weeks)
    return (
        f"{unrated} of {said.many(sessions, 'session')} without minutes or how hard it felt are"
        " not in these loads: they are at least this."
    )


def _row(week: LoadWeek) -> WeekRow:
    return WeekRow(
        week=said.day(week.opens) + (" so far" if week.is_now else ""),
        load=f"{week.load:.0f}",
        sessions=str(week.sessions),
        minutes=f"{week.minutes:.0f}",
        hard="not known" if week.hard_swings is None else str(week.hard_swings),
        sameness="" if week.sameness is None else f"{week.sameness:.1f}",
        product="" if week.product is None else f"{week.product:.0f}",
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
