"""A table with a row a club and its balls beside each other, as one row a ball. Pure.

What stands beside the balls (a club, an effort, a target) is said of each; a mean of them is not.
"""

import re
from collections.abc import Iterable, Iterator, Sequence

from practice.importing.by_club import figure_name
from practice.importing.cells import Cell, begins_with_others, is_of_others, text_of
from practice.importing.names import known_in

HEADS_LOOKED_AT, FEWEST_BALLS = 15, 3
_COUNTED = re.compile(r"(.*?)[\s._#-]*(\d{1,3})")
_MOSTLY = 0.6


def head_of(rows: Sequence[Sequence[Cell]]) -> int | None:
    """Which of the first rows counts balls (Shot 1, Shot 2, Shot 3) beside names of columns."""
    for index, row in enumerate(rows[:HEADS_LOOKED_AT]):
        counted = _counted(row)
        beside = [cell for at, cell in enumerate(row) if at not in counted and text_of(cell)]
        if len(counted) >= FEWEST_BALLS and known_in(beside):
            below = [line[at] for line in rows[index + 1 :] for at in counted if at < len(line)]
            full = [text for cell in below if (text := text_of(cell))]
            figures = sum(bool(re.fullmatch(r"[+-]?\d+(?:[.,]\d+)?\D{0,6}", text)) for text in full)
            if full and figures >= _MOSTLY * len(full):
                return index
    return None


def balls(rows: Iterable[Sequence[Cell]]) -> Iterator[list[Cell]]:
    """The rows above the names, the names with one for the figure, and a row for each ball."""
    above: list[Sequence[Cell]] = []
    counted: dict[int, str] = {}
    beside: list[int] = []
    for row in rows:
        if not counted:
            found = _counted(row)
            if len(found) < FEWEST_BALLS:
                above.append(row)
                yield [*row]
                continue
            counted = found
            beside = [at for at in range(min(counted)) if not _is_mean(row[at])]
            yield [*(row[at] for at in beside), figure_name([*above, row])]
            continue
        for at in counted:
            if at < len(row) and text_of(row[at]):
                yield [*(row[each] for each in beside), row[at]]


def _counted(row: Sequence[Cell]) -> dict[int, str]:
    """The columns that only count, by their place: one word, or none, and 1, 2, 3."""
    found = {
        at: each
        for at, cell in enumerate(row)
        if isinstance(cell, str) and (each := _COUNTED.fullmatch(cell.strip()))
    }
    names = [each[1].casefold().strip() for each in found.values()]
    usual = max(set(names), key=names.count, default="")
    kept = {at: each for at, each in found.items() if each[1].casefold().strip() == usual}
    figures = [int(each[2]) for each in kept.values()]
    return {at: each[0] for at, each in kept.items()} if _go_on(figures) else {}


def _go_on(figures: Sequence[int]) -> bool:
    return figures == [*range(1, len(figures) + 1)]


def _is_mean(cell: Cell) -> bool:
    return is_of_others(cell) or begins_with_others(cell)
