"""What the newest tests of a student say, as plain figures in SI: metres, m/s. No Django."""

from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

# Whoever changes a field below raises this; older rows say nothing until they are made anew.
FORMAT = 1


@dataclass(frozen=True, slots=True)
class SpeedNow:
    """The verdict on one line of the speed book, once it is held, and what it stands on.

    `before` is the mean of the first four test days, or with `is_recent` of the three
    before the last three; `since` the first test day of those on which it was held.
    """

    quantity: str
    verdict: str
    is_recent: bool
    before: float
    everyday: float
    change: float
    needed: float
    days: int
    newest: date
    since: date
    best: float
    best_on: date
    # Set after the start, and among the six days that `spread` is of.
    is_new_best: bool
    spread: float | None
    usual_spread: float


@dataclass(frozen=True, slots=True)
class Missed:
    """A distance that balls fly long (+) or short (-) of, and the hole of the card around it."""

    target: float
    error: float
    n: int
    newest: date
    hole: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Numbers:
    """`missed` worst first."""

    speed: SpeedNow | None = None
    missed: tuple[Missed, ...] = ()


NO_NUMBERS = Numbers()


def to_json(numbers: Numbers) -> dict[str, Any]:
    """As it is kept: days as ISO dates."""
    speed = asdict(numbers.speed) if numbers.speed else None
    missed = [asdict(each) for each in numbers.missed]
    return {"format": FORMAT, "speed": _dated(speed), "missed": [_dated(each) for each in missed]}


def _dated(values: dict[str, Any] | None) -> dict[str, Any] | None:
    if values is None:
        return None
    return {key: str(v) if isinstance(v, date) else v for key, v in values.items()}


def from_json(kept: dict[str, Any] | None) -> Numbers:
    """What was kept; nothing if there is none, or if it is of another format."""
    if kept is None or kept["format"] != FORMAT:
        return NO_NUMBERS
    return Numbers(
        speed=_speed(kept["speed"]), missed=tuple(_missed(each) for each in kept["missed"])
    )


def _speed(values: dict[str, Any] | None) -> SpeedNow | None:
    if values is None:
        return None
    days = {name: date.fromisoformat(values[name]) for name in ("newest", "since", "best_on")}
    return SpeedNow(**values | days)


def _missed(values: dict[str, Any]) -> Missed:
    hole = values["hole"]
    newest = date.fromisoformat(values["newest"])
    return Missed(**values | {"newest": newest, "hole": tuple(hole) if hole else None})
