"""What of a student's tests is news: few things, and each ends by itself or by new tests.

House choices, common practice, no source: a held change of speed is news for fourteen
days; tests older than 28 days are none.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from practice.numbers.now.values import Missed, Numbers, SpeedNow, Verdict

NEWS_DAYS = 14
TESTED_DAYS = 28


class NewsKind(StrEnum):
    DOWN = "down"
    LEVEL = "level"
    UP = "up"
    MISSED = "missed"


@dataclass(frozen=True, slots=True)
class News:
    """One of `speed` and `missed` is given, as the kind says."""

    kind: NewsKind
    speed: SpeedNow | None = None
    missed: Missed | None = None


def news_of(numbers: Numbers, today: date) -> News | None:
    """The gravest news: speed that is down, a missed distance, a best day that means
    nothing yet, speed that is up."""
    changed = _changed(numbers, today)
    if changed and changed.verdict is Verdict.DOWN:
        return News(NewsKind.DOWN, speed=changed)
    if gap := missed_lately(numbers, today):
        return News(NewsKind.MISSED, missed=gap)
    if best := _best_of_level(numbers, today):
        return News(NewsKind.LEVEL, speed=best)
    return News(NewsKind.UP, speed=changed) if changed and changed.verdict is Verdict.UP else None


def _changed(numbers: Numbers, today: date) -> SpeedNow | None:
    speed = numbers.speed
    return speed if speed and today - speed.since <= timedelta(days=NEWS_DAYS) else None


def _best_of_level(numbers: Numbers, today: date) -> SpeedNow | None:
    """A new best day of somebody whose days differ as much as usual, and who is not surely up."""
    speed = numbers.speed
    if (
        speed is None
        or speed.verdict in {Verdict.UP, Verdict.DOWN}
        or not _is_recent(speed.newest, today)
    ):
        return None
    wide = speed.spread is not None and speed.spread >= speed.usual_spread
    return speed if speed.is_new_best and wide else None


def missed_lately(numbers: Numbers, today: date) -> Missed | None:
    """The distance that recent balls are farthest off."""
    return next((each for each in numbers.missed if _is_recent(each.newest, today)), None)


def speed_up(numbers: Numbers, today: date) -> SpeedNow | None:
    """Speed that is up and held, news or not, while it is tested."""
    speed = numbers.speed
    up = speed and speed.verdict is Verdict.UP and _is_recent(speed.newest, today)
    return speed if up else None


def speed_down(numbers: Numbers, today: date) -> SpeedNow | None:
    """Speed that is down and held, while it is tested."""
    speed = numbers.speed
    down = speed and speed.verdict is Verdict.DOWN and _is_recent(speed.newest, today)
    return speed if down else None


def _is_recent(day: date, today: date) -> bool:
    return today - day <= timedelta(days=TESTED_DAYS)
