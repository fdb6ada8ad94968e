"""News of tests in words: figures in the reader's units, with what they stand on."""

from dataclasses import dataclass
from datetime import date

from coaching.board.rules.news import News, NewsKind
from practice.numbers.kit.text import bare, metres
from practice.numbers.now.values import Missed, SpeedNow, Verdict
from shared.kit.text import weekday_words
from shared.kit.units import SPEED

TELL = "Tell the student."
QUANTITIES = {"ball_speed": "ball speed", "club_speed": "club speed"}


@dataclass(frozen=True, slots=True)
class NewsUnits:
    """Keys of shared.kit.units."""

    speed: str = "mph"
    distance: str = "m"


HOUSE = NewsUnits()


def of_news(news: News, today: date, units: NewsUnits) -> tuple[str, str, str]:
    """The reason, since when, and the next step."""
    if news.missed:
        step = (
            f"Give {far(news.missed.target, units)} a stock swing of its own."
            if news.missed.hole
            else f"Choose a swing for {far(news.missed.target, units)} together."
        )
        return missed(news.missed, units), "", step
    if news.speed is None:
        raise ValueError(f"News without figures: {news.kind}")
    return _of_speed(news.kind, news.speed, today, units)


def _of_speed(
    kind: NewsKind, speed: SpeedNow, today: date, units: NewsUnits
) -> tuple[str, str, str]:
    if kind is NewsKind.LEVEL:
        reason = (
            f"The best day, {_speed(speed.best, units)}, means nothing yet. {_of(speed)} is "
            f"{_speed(speed.now, units)}, and began at {_bare(speed.before, units)}. "
            f"{_not_up(speed, units)}"
        )
        step = "Aim at steady days, not at more swings."
        return reason, f"since {weekday_words(speed.best_on, today)}", step
    ask = "Ask about sleep, travel, gym and events before changing anything."
    return (
        speed_changed(speed, units),
        f"since {weekday_words(speed.since, today)}",
        TELL if kind is NewsKind.UP else ask,
    )


def _not_up(speed: SpeedNow, units: NewsUnits) -> str:
    if speed.verdict is Verdict.LEVEL:
        return "It did not move."
    return f"A real change begins at {_speed(speed.needed, units)}."


def speed_changed(speed: SpeedNow, units: NewsUnits) -> str:
    """'Ball speed is up 3.9 mph since the start, and has stayed up.'"""
    way = "up" if speed.change > 0 else "down"
    by = _speed(abs(speed.change), units)
    is_told = _bare(abs(speed.together), units) != _bare(0.0, units)
    beside = " What moved all students here is taken off." if is_told else ""
    if speed.is_recent:
        return f"{_of(speed)} is {way} {by}, and has stayed {way} for three test days.{beside}"
    return f"{_of(speed)} is {way} {by} since the start, and has stayed {way}.{beside}"


def beside_care(speed: SpeedNow, units: NewsUnits, *, minor: bool) -> str:
    """The same beside pain; of a child, that growth may be why."""
    growth = " In a child, growth may be why." if minor else ""
    return f"{speed_changed(speed, units)}{growth}"


def _of(speed: SpeedNow) -> str:
    words = QUANTITIES[speed.quantity]
    return words[:1].upper() + words[1:]


def _bare(speed: float, units: NewsUnits) -> str:
    return f"{SPEED[units.speed].from_si(speed):.1f}"


def _speed(speed: float, units: NewsUnits) -> str:
    return f"{_bare(speed, units)} {SPEED[units.speed].sign}"


def missed(gap: Missed, units: NewsUnits) -> str:
    """'65 m lies in the gap from 60 to 71. Balls there fly 4.2 m long (10 balls).'"""
    way = "long" if gap.error > 0 else "short"
    off = metres(abs(gap.error), units.distance)
    balls = f"{off} {way} ({gap.n} balls)."
    if gap.hole is None:
        return f"Balls at {far(gap.target, units)} fly {balls}"
    low, high = (bare(end, units.distance, _places(units)) for end in gap.hole)
    where = f"{far(gap.target, units)} lies in the gap from {low} to {high}."
    return f"{where} Balls there fly {balls}"


def far(target: float, units: NewsUnits) -> str:
    return metres(target, units.distance, _places(units))


def _places(units: NewsUnits) -> int:
    """Whole yards; metres as they were asked for."""
    return 0 if units.distance == "yd" else 1
