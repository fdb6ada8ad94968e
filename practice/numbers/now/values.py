"""What the newest tests of a student say, as plain figures in SI: metres, m/s. No Django."""

from dataclasses import asdict, dataclass
from datetime import date
from enum import StrEnum
from typing import Any

# Whoever changes a field below, or what it stands for, raises this: older rows say nothing until
# they are made anew.
FORMAT = 6


class Verdict(StrEnum):
    """What is claimed of a speed; nothing while it cannot be told."""

    UP = "Up"
    DOWN = "Down"
    LEVEL = "Level"
    UNTOLD = ""


@dataclass(frozen=True, slots=True)
class SpeedNow:
    """The claim on one line of the speed book, and what it stands on.

    `verdict`: Up, Down, Level, or empty while it cannot be told. `before` is the mean of the
    first four test days and `now` of those since, or with `is_recent` of the last three and
    the three before; `together` is what everybody here changed by meanwhile, which is no
    part of the change; `since` the first of the test days in a row on which it was said.
    """

    quantity: str
    verdict: Verdict
    is_recent: bool
    before: float
    now: float
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
    together: float = 0.0

    @property
    def change(self) -> float:
        return self.now - self.before - self.together


@dataclass(frozen=True, slots=True)
class Missed:
    """A distance that balls fly long (+) or short (-) of, and the hole of the card around it."""

    target: float
    error: float
    n: int
    newest: date
    hole: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Said:
    """Up or Down, as it was first said of speed on a test day, and whether it still held a
    month later; None while no test day lies so much later."""

    word: Verdict
    on: date
    still: bool | None


@dataclass(frozen=True, slots=True)
class MovedNow:
    """What *What moved* says of one drill that was asked lately."""

    drill: str
    verdict: str


@dataclass(frozen=True, slots=True)
class NumbersTold:
    """What the first lines of the speed book and the wedge card say, by unit: to a coach, and in
    the words that a student reads.

    `speed`: title and answer of each line; `wedges`: the answer, empty without a card.
    """

    speed: dict[str, tuple[tuple[str, str], ...]]
    wedges: dict[str, str]
    own_speed: dict[str, tuple[tuple[str, str], ...]]
    own_wedges: dict[str, str]


@dataclass(frozen=True, slots=True)
class Numbers:
    """`missed` worst first, `said` oldest first, `moved` most important first."""

    speed: SpeedNow | None = None
    missed: tuple[Missed, ...] = ()
    said: tuple[Said, ...] = ()
    moved: tuple[MovedNow, ...] = ()


NO_NUMBERS = Numbers()


def to_json(numbers: Numbers) -> dict[str, Any]:
    """As it is kept: days as ISO dates."""
    speed = asdict(numbers.speed) if numbers.speed else None
    missed = [asdict(each) for each in numbers.missed]
    return {
        "format": FORMAT,
        "speed": _dated(speed),
        "missed": [_dated(each) for each in missed],
        "said": [_dated(asdict(each)) for each in numbers.said],
        "moved": [asdict(each) for each in numbers.moved],
    }


def _dated(values: dict[str, Any] | None) -> dict[str, Any] | None:
    if values is None:
        return None
    return {key: str(v) if isinstance(v, date) else v for key, v in values.items()}


def from_json(kept: dict[str, Any] | None) -> Numbers:
    """What was kept; nothing if there is none, or if it is of another format."""
    if kept is None or kept["format"] != FORMAT:
        return NO_NUMBERS
    return Numbers(
        speed=_speed(kept["speed"]),
        missed=tuple(_missed(each) for each in kept["missed"]),
        said=tuple(_said(each) for each in kept["said"]),
        moved=tuple(MovedNow(**each) for each in kept["moved"]),
    )


def told_from(kept: dict[str, Any]) -> NumbersTold | None:
    """What is kept beside the figures, under `told`; None in rows of before it was."""
    values = kept.get("told")
    if values is None or "own_speed" not in values:
        return None
    lines, own = (
        {unit: tuple((t, a) for t, a in said) for unit, said in values[name].items()}
        for name in ("speed", "own_speed")
    )
    return NumbersTold(lines, values["wedges"], own, values["own_wedges"])


def _speed(values: dict[str, Any] | None) -> SpeedNow | None:
    if values is None:
        return None
    days = {name: date.fromisoformat(values[name]) for name in ("newest", "since", "best_on")}
    return SpeedNow(**values | days | {"verdict": Verdict(values["verdict"])})


def _said(values: dict[str, Any]) -> Said:
    return Said(Verdict(values["word"]), date.fromisoformat(values["on"]), values["still"])


def _missed(values: dict[str, Any]) -> Missed:
    hole = values["hole"]
    newest = date.fromisoformat(values["newest"])
    return Missed(**values | {"newest": newest, "hole": tuple(hole) if hole else None})
