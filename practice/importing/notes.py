"""Balls noted a line each, as on a phone: how far, how far to the side, a word or two. Pure.

    151 13L
    106 4 R pured it

A name of a club stands above its balls; what the figures are is said above them or asked.
"""

import re
from collections.abc import Iterator, Sequence

from practice.importing.by_club import figure_name
from practice.importing.cells import Bad, Cell, says_side, side

FEWEST_BALLS, _HALF = 5, 0.5
_FIGURE = re.compile(r"\d{1,3}(?:[.,]\d{1,2})?")
_LONGEST = 80


def are_notes(lines: Sequence[str]) -> bool:
    """Whether most of the lines are balls, and most of these say to which side."""
    full = [line for line in lines if line.strip()]
    if 2 * sum(line.count("\t") > 2 for line in full) > len(full):
        return False  # Cells that are parted are a table.
    balls = [ball for line in full if (ball := _ball(line))]
    sided = sum(says_side(ball[1]) for ball in balls)
    return len(balls) >= max(FEWEST_BALLS, _HALF * len(full)) and sided > _HALF * len(balls)


def rows_of(lines: Sequence[str]) -> Iterator[list[Cell]]:
    """Names of the columns, and a row for each line: a ball, or words that are none."""
    first = next((at for at, line in enumerate(lines) if _ball(line)), len(lines))
    yield [figure_name([[line] for line in lines[:first]]), "Side", "Note"]
    for line in lines:
        if line.strip():
            yield [*(_ball(line) or (line.strip(),))]


def _ball(line: str) -> tuple[str, str, str] | None:
    words = line[:_LONGEST].split()
    if len(words) < 2 or not _FIGURE.fullmatch(words[0]):
        return None
    for many in (2, 1):
        text = " ".join(words[1 : 1 + many])
        if any(sign.isdigit() for sign in text) and _is_side(text):
            return words[0], text, " ".join(words[1 + many :])
    return None


def _is_side(text: str) -> bool:
    try:
        return side(text, "," if "," in text else ".") is not None
    except Bad:
        return False
