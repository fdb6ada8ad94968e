"""Rows that are reckoned from those above them, found by their figures, whatever their name.

A row of means or spreads lacks what each shot says (its number, its time), and all of its figures
are the same thing of the rows above: of all of them, of those since the last such row, or of those
of its club. Pure.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import compress
from statistics import fmean, median, pstdev, stdev

# Of a column that most rows fill, and with a figure: a shot fills it too.
_MOST = 0.6
_MOST_ODD = 0.4
FEWEST_ROWS, FEWEST_FIGURES = 2, 2
Figures = Mapping[str, Sequence[float | None]]

_RECKONED: tuple[Callable[[Sequence[float]], float], ...] = (fmean, stdev, pstdev)
# One of the shots may be so too, the more easily the fewer figures there are.
_ALSO_SHOTS: tuple[Callable[[Sequence[float]], float], ...] = (median, min, max)
_MANY_FIGURES = 3


def says_little(text: str) -> tuple[bool, bool]:
    """Whether a cell is empty, and whether it holds no digit."""
    return not text, not any(sign.isdigit() for sign in text)


def odd_rows(lacking: Iterable[Sequence[bool]], rows: int) -> list[int]:
    """Rows that lack what most others have, of any of these; few, or none."""
    odd: set[int] = set()
    for each in lacking:
        if rows - sum(each) >= _MOST * rows:
            odd.update(compress(range(rows), each))
    return sorted(odd) if len(odd) <= _MOST_ODD * rows else []


def counts(odd: Sequence[int], figures: Figures, rows: int) -> set[int]:
    """The odd rows with one figure alone, where shots have several: how many there were."""
    filled = [sum(values[row] is not None for values in figures.values()) for row in range(rows)]
    usual = median(filled) if filled else 0
    return {row for row in odd if usual >= _MANY_FIGURES and filled[row] <= 1}


def reckoned(
    odd: Sequence[int],
    figures: Figures,
    steps: Mapping[str, Sequence[float]],
    clubs: Sequence[str],
    left_out: frozenset[int],
) -> set[int]:
    """Which of the odd rows are reckoned from others. `steps`: the smallest difference that each
    figure of a row is written with; rows of `left_out` are no shots already."""
    found: set[int] = set()
    shots: list[int] = []
    since, at = 0, 0
    for row in odd:
        shots += [each for each in range(at, row) if each not in left_out]
        at = row + 1
        own = {
            name: (value, steps[name][row])
            for name, values in figures.items()
            if (value := values[row]) is not None
        }
        groups = [shots, shots[since:], [each for each in shots if clubs[each] == clubs[row]]]
        if len(own) >= FEWEST_FIGURES and any(_is_of(group, own, figures) for group in groups):
            found.add(row)
            since = len(shots)
        elif row in left_out:
            since = len(shots)
        else:
            shots.append(row)
    return found


def _is_of(rows: Sequence[int], own: Mapping[str, tuple[float, float]], figures: Figures) -> bool:
    above = {
        name: [value for row in rows if (value := figures[name][row]) is not None] for name in own
    }
    if any(len({*values}) < FEWEST_ROWS for values in above.values()):
        return False
    by = _RECKONED + (_ALSO_SHOTS if len(own) >= _MANY_FIGURES else ())
    return any(
        all(abs(reckon(above[name]) - value) <= step for name, (value, step) in own.items())
        for reckon in by
    )
