"""A table whose columns are clubs, the balls of each below its name, as one row a ball. Pure."""

import re
from collections.abc import Iterable, Iterator, Sequence

from practice.importing.cells import Cell, is_of_others, split_unit, text_of
from practice.importing.meaning import things_in
from practice.importing.names import bare
from practice.importing.preamble import units_said
from practice.shots.club_names import is_club
from shared.kit.units import DISTANCE

HEADS_LOOKED_AT = 15
FEWEST_CLUBS = 3
# What may stand in the title above such a table, and how the column of figures is then called.
_MEASURES = {"carry": "Carry", "total": "Total"}
UNNAMED = "Figure"
LONGEST_CLUB = 20
# What a column beside the clubs may be.
_BESIDES = frozenset({"ball", "shot", "number", "date", "time", "note", "club", "player"})
# So that a row of bare numbers and short names counts as clubs beside two that are plain.
_SHORT_NAME = re.compile(r"[2-9](?:\s?(?:h|hy|hyb|w|wd|i))?|[4-6]\d|dr", re.IGNORECASE)
# A row of such words beside the balls of each club holds none of them.
_NO_BALLS = frozenset({"loft", "rest", "height", "smash", "roll", "note", "effort"})


def head_of(rows: Sequence[Sequence[Cell]]) -> int | None:
    """Which of the first rows names clubs, one a column, with figures below; None if none does."""
    for index, row in enumerate(rows[:HEADS_LOOKED_AT]):
        clubs = _clubs(row)
        full = [cell for cell in row if text_of(cell)]
        if len(clubs) >= FEWEST_CLUBS and 2 * len(clubs) > len(full):
            below = [line[at] for line in rows[index + 1 :] for at in clubs if at < len(line)]
            if _are_figures([cell for cell in below if text_of(cell)]):
                return index
    return None


def balls(rows: Iterable[Sequence[Cell]]) -> Iterator[list[Cell]]:
    """A heading, and for each ball its club and its figure; rows of means are left out."""
    above: list[Sequence[Cell]] = []
    clubs: dict[int, Cell] = {}
    for row in rows:
        if not clubs:
            found = _clubs(row)
            if len(found) < FEWEST_CLUBS:
                above.append(row)
                continue
            # Each is one then, also those that are called as nobody else calls them.
            clubs = {at: cell for at, cell in enumerate(row) if _may_be_club(cell)}
            yield ["Club", figure_name([*above, row])]
        elif not any(is_of_others(cell, is_first=at == 0) for at, cell in enumerate(row)):
            if _holds_no_balls(row[: min(clubs)]):
                continue
            for at, club in clubs.items():
                if at < len(row) and text_of(row[at]):
                    yield [club, row[at]]


def _holds_no_balls(beside: Sequence[Cell]) -> bool:
    return any(things_in(bare(text_of(cell))[0]) & _NO_BALLS for cell in beside)


def _clubs(row: Sequence[Cell]) -> dict[int, Cell]:
    """The clubs in a row, by their place; none where one is named twice, as in a row of shots."""
    texts = {at: text_of(cell) for at, cell in enumerate(row)}
    sure = [at for at, text in texts.items() if isinstance(row[at], str) and is_club(text)]
    found: dict[int, Cell] = {
        at: row[at]
        for at, text in texts.items()
        if at in sure or (len(sure) > 1 and _SHORT_NAME.fullmatch(text))
    }
    return found if len({str(cell).casefold() for cell in found.values()}) == len(found) else {}


def _may_be_club(cell: Cell) -> bool:
    """Beside other clubs: anything but a word for the count, the day or a mean, or a sentence."""
    text = text_of(cell)
    is_short = 0 < len(text) <= LONGEST_CLUB
    return is_short and not is_of_others(cell) and not things_in(bare(text)[0]) & _BESIDES


def _are_figures(cells: Sequence[Cell]) -> bool:
    figures = [split_unit(cell)[0] for cell in cells]
    plain = sum(
        not isinstance(each, str) or each.replace(",", ".").replace(".", "", 1).isdigit()
        for each in figures
    )
    return len(cells) >= FEWEST_CLUBS and 3 * plain > 2 * len(cells)


def figure_name(rows: Sequence[Sequence[Cell]]) -> str:
    """What the figures are, with their unit, if the words above the clubs say it."""
    said_above = units_said(rows).get("distance", "")
    for text in (cell for row in rows for cell in row if isinstance(cell, str)):
        said, unit = bare(text)
        things = things_in(said)
        if named := [words for thing, words in _MEASURES.items() if thing in things]:
            unit = unit if unit in DISTANCE else said_above
            return f"{named[0]} ({unit})" if unit else named[0]
    return UNNAMED
