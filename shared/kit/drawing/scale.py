"""From amounts to places on a drawing: round ticks and straight scales."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import floor, isfinite, log10

_ROUND = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight scale: `low` of the data stands at `start` of the drawing, `high` at `end`."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)

    def ticks(self, about: int = 4) -> tuple[float, ...]:
        """Round values within the scale, about so many."""
        step = round_step((self.high - self.low) / max(about, 1))
        first, last = -(-self.low // step), self.high // step
        return tuple(k * step for k in range(int(first), int(last) + 1))


def scale_over(values: Iterable[float], start: float, end: float, *, margin: float = 0.06) -> Scale:
    """A scale that holds every value with a little room; equal values stand in its middle.

    Raises ValueError for a value that is not finite.
    """
    found = list(values)
    if not all(isfinite(value) for value in found):
        raise ValueError("Only finite numbers can be drawn.")
    low, high = min(found, default=0.0), max(found, default=1.0)
    # A range lost in the rounding of its own size is as good as none.
    room = (high - low) * margin
    if high - low <= max(abs(low), abs(high), 1e-9) * 1e-9:
        room = max(abs(high) * 0.02, 0.5)
    return Scale(low - room, high + room, start, end)


def round_step(rough: float) -> float:
    """The round number (1, 2, 2.5 or 5 times a power of ten) at or above `rough`."""
    power = 10.0 ** floor(log10(rough))
    return next(each * power for each in _ROUND if each * power >= rough * (1 - 1e-9))


def plain(value: float, places: int) -> str:
    """A number as people write it: fixed places and a real minus sign, never minus zero."""
    return f"{round(value, places) + 0.0:.{places}f}".replace("-", "−")


def tick_places(ticks: tuple[float, ...]) -> int:
    """Decimals that tell neighbouring ticks apart, at most 3."""
    if len(ticks) < 2:
        return 1
    step = ticks[1] - ticks[0]
    return next(
        (n for n in range(3) if abs(round(step, n) - step) < abs(step) * 1e-6),
        3,
    )


def n(value: float) -> str:
    """A coordinate: one decimal, none if whole; the same string on every machine."""
    return f"{round(value, 1) + 0.0:.1f}".removesuffix(".0")
