"""At which called distances ending nearer pays most, by published strokes to hole out. Metres."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from math import hypot
from typing import TYPE_CHECKING

from practice.measures.answers import TooLittle
from practice.numbers.wedges.facts import Ball, WedgeFacts

if TYPE_CHECKING:
    from practice.measures.strokes import Saved

NEARER = 0.2  # House rule: a fifth of the distance, which is a season's good work.
LEAST_BALLS = 10


@dataclass(frozen=True, slots=True)
class Worth:
    """A called distance, the days on which it was called, and what nearer would save there."""

    about: float
    days: int
    saved: "Saved"


def worth_of(facts: WedgeFacts, step: float) -> tuple[Worth, ...]:
    """Distances in whole `step` metres with balls and days enough; what pays most first."""
    from practice.measures.strokes import saved_by_nearer

    called: dict[int, list[Ball]] = defaultdict(list)
    for ball in facts.balls:
        if ball.target and ball.side is not None:
            called[round(ball.target / step)].append(ball)
    found = []
    for steps, balls in called.items():
        days = _ends_by_day(balls)
        saved = saved_by_nearer(days, NEARER)
        if len(balls) >= LEAST_BALLS and not isinstance(saved, TooLittle):
            found.append(Worth(steps * step, len(days), saved))
    return tuple(sorted(found, key=lambda each: -each.saved.saves.value))


def _ends_by_day(balls: Iterable[Ball]) -> list[list[float]]:
    """How far from the called spot each ball came down."""
    days = defaultdict(list)
    for ball in balls:
        days[ball.day].append(hypot(ball.carry - (ball.target or 0.0), ball.side or 0.0))
    return list(days.values())
