"""Balls typed in a box of a plain page, one line each, in the typist's own unit."""

import re
from collections.abc import Sequence
from typing import Any

from practice.log.shot_figures import FIGURES, LENGTHS, MOST_BALLS
from shared.kit.refused import Refused
from shared.kit.units import Unit

_NUMBER = re.compile(r"\d{1,3}(?:[.,]\d{1,4})?", re.ASCII)
EXAMPLE = "61.5, or with club and swing in front: 54 chest 61.5"


def read_balls(
    text: str, measure: str, unit: Unit, *, club: str, length: str, targets: Sequence[float] = ()
) -> list[dict[str, Any]]:
    """One ball a line in SI, as an entry of the phone log has them; empty lines are none.

    A line without club or swing has those given. Raises Refused, which names the line.
    """
    lines = [(number, line.split()) for number, line in enumerate(text.splitlines(), 1)]
    lines = [(number, words) for number, words in lines if words]
    if len(lines) > MOST_BALLS:
        raise Refused(f"These are {len(lines)} balls; one visit takes {MOST_BALLS}.")
    balls = []
    for place, (number, (*said, figure)) in enumerate(lines):
        ball: dict[str, Any] = {measure: _si(figure, measure, unit, number)}
        ball |= _swing(said, club, length, number)
        if targets:
            ball["target"] = targets[place % len(targets)]
        balls.append(ball)
    return balls


def _si(word: str, measure: str, unit: Unit, line: int) -> float:
    limit = FIGURES[measure]
    value = unit.to_si(float(word.replace(",", "."))) if _NUMBER.fullmatch(word) else -1.0
    if not limit.low <= value <= limit.high:
        least, most = unit.from_si(limit.low), unit.from_si(limit.high)
        raise Refused(
            f"Line {line}: “{word[:30]}” is no number from {least:.3g} to {most:.3g} {unit.sign}."
            f" Write {EXAMPLE}."
        )
    return round(value, 4)


def _swing(words: Sequence[str], club: str, length: str, line: int) -> dict[str, str]:
    names = [word for word in words if word.lower() not in LENGTHS]
    lengths = [word.lower() for word in words if word.lower() in LENGTHS]
    if len(names) > 1 or len(lengths) > 1 or len("".join(names)) > 20:
        raise Refused(f"Line {line} has more in it than club, swing and number. Write {EXAMPLE}.")
    swing = {"club": names[0] if names else club, "length": lengths[0] if lengths else length}
    return {key: value for key, value in swing.items() if value}
