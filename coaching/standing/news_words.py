"""News of tests in words: figures in the reader's units, with what they stand on."""

from dataclasses import dataclass
from datetime import date

from coaching.standing.news import Kind, News
from coaching.standing.phrases import day_words
from practice.progress.numbers_now import Missed, SpeedNow
from practice.progress.said import bare, metres
from shared.units import SPEED

TELL = "Tell the student."
QUANTITIES = {"ball_speed": "ball speed", "club_speed": "club speed"}


@dataclass(frozen=True, slots=True)
class Units:
    """Keys of shared.units."""

    speed: str = "mph"
    distance: str = "m"


HOUSE = Units()


def of_news(news: News, today: date, units: Units) -> tuple[str, str, str]:
    """The reason, since when, and the next step."""
    if news.missed:
        step = (
            f"Give {far(news.missed.target, units)} a stock swing of its own."
            if news.missed.hole
            else f"Choose a swing for {far(news.missed.target, units)} together."
        )
        words = missed(news.missed, units)
        return f"{words[:1].upper()}{words[1:]}", "", step
    if news.speed is None:
        raise ValueError(f"News without figures: {news.kind}")
    return _of_speed(news.kind, news.speed, today, units)


def _of_speed(kind: Kind, speed: SpeedNow, today: date, units: Units) -> tuple[str, str, str]:
    if kind is Kind.LEVEL:
        reason = (
            f"{_of(speed)}: the best day, {_speed(speed.best, units)}, means nothing yet. "
            f"{_change(speed, units)} Level; days spread by {_bare(speed.spread or 0, units)} "
            f"({_basis(speed)})."
        )
        step = "Aim at steady days, not at more swings."
        return reason, f"since {day_words(speed.best_on, today)}", step
    ask = "Ask about sleep, travel, gym and events before changing anything."
    return (
        speed_changed(speed, units),
        f"since {day_words(speed.since, today)}",
        TELL if kind is Kind.UP else ask,
    )


def speed_changed(speed: SpeedNow, units: Units) -> str:
    """'Ball speed: everyday 152.1 mph, start 147.0: +5.2, needed 2.5. Up, held (14 test days).'"""
    verdict = f"{speed.verdict}, held ({_basis(speed)})."
    return f"{_of(speed)}: {_change(speed, units, first='everyday')} {verdict}"


def beside_care(speed: SpeedNow, units: Units, *, minor: bool) -> str:
    """'ball speed −5.3 mph, needed 2.8: Down, held'; of a child, that growth may be why."""
    change = f"−{_bare(abs(speed.change), units)} {SPEED[units.speed].sign}"
    growth = " (in a child, growth may be why)" if minor else ""
    words = f"{change}, needed {_bare(speed.needed, units)}: {speed.verdict}, held"
    return f"{QUANTITIES[speed.quantity]} {words}{growth}"


def _change(speed: SpeedNow, units: Units, first: str = "Everyday") -> str:
    """Rounded apart from each other: the change may differ from theirs by a tenth."""
    before = "three days before" if speed.is_recent else "start"
    sign = "−" if speed.change < 0 else "+"
    return (
        f"{first} {_speed(speed.everyday, units)}, {before} {_bare(speed.before, units)}: "
        f"{sign}{_bare(abs(speed.change), units)}, needed {_bare(speed.needed, units)}."
    )


def _of(speed: SpeedNow) -> str:
    words = QUANTITIES[speed.quantity]
    return words[:1].upper() + words[1:]


def _basis(speed: SpeedNow) -> str:
    return f"{speed.days} test days"


def _bare(speed: float, units: Units) -> str:
    return f"{SPEED[units.speed].from_si(speed):.1f}"


def _speed(speed: float, units: Units) -> str:
    return f"{_bare(speed, units)} {SPEED[units.speed].sign}"


def missed(gap: Missed, units: Units) -> str:
    """'65 m sits in the hole between 60 and 71, balls fly 4.2 m long (10 balls).'"""
    way = "long" if gap.error > 0 else "short"
    off = metres(abs(gap.error), units.distance)
    balls = f"{off} {way} ({gap.n} balls)."
    if gap.hole is None:
        return f"balls at {far(gap.target, units)} fly {balls}"
    low, high = (bare(end, units.distance, _places(units)) for end in gap.hole)
    return f"{far(gap.target, units)} sits in the hole between {low} and {high}, balls fly {balls}"


def far(target: float, units: Units) -> str:
    return metres(target, units.distance, _places(units))


def _places(units: Units) -> int:
    """Whole yards; metres as they were asked for."""
    return 0 if units.distance == "yd" else 1
