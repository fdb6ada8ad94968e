"""Which column is what, from all that a file says: words x unit x cells, solved as an assignment.

A column that fits none of our fields well enough is left out and shown; nothing is named on a
guess. A column in a unit of speed can only be a speed, whatever it is called.
"""

from collections.abc import Sequence
from math import sqrt

from practice.importing import cells
from practice.importing.assignment import assigned
from practice.importing.cells import Bad, Cell, text_of
from practice.importing.columns import FIELDS, UNITS, Column
from practice.importing.names import ENOUGH, OTHER, SPEED_OF, bare, likeness, unit_of
from practice.shots.limits import LIMITS

LOOKED_AT = 40
NO_UNIT = 0.9
NO_CELLS = 0.7
_OTHER_UNITS = {"launch": "deg", "spin": "rpm", "effort": "percent"}
_NAMES = frozenset({"device", "ball", "place", "player"})
_NUMBERS = (
    "target",
    "carry",
    "total",
    "side",
    "ball_speed",
    "club_speed",
    "launch",
    "spin",
    "effort",
)


def guess_columns(
    header: Sequence[str],
    units_row: Sequence[Cell],
    rows: Sequence[Sequence[Cell]],
    usual: dict[str, str],
    decimal: str,
) -> dict[int, Column]:
    """What each column is; those that are not sure are left out.

    `rows` are some rows below the header, `usual` has the unit for each kind of measure where
    the file says none.
    """
    names = list(FIELDS)
    looked = [_Looked(i, header, units_row, rows, decimal) for i in range(len(header))]
    looked = [each for each in looked[: cells.MOST_COLUMNS] if each.text]
    if not looked:
        return {}
    scores = [[each.score(name, usual) for name in names] for each in looked]
    found = {}
    for row, place in assigned(scores, ENOUGH).items():
        each, name = looked[row], names[place]
        found[each.index] = Column(name, each.unit_for(name, usual))
    return dict(sorted(found.items()))


class _Looked:
    """One column as it is looked at: its bare name, its unit, and some of its cells."""

    def __init__(
        self,
        index: int,
        header: Sequence[str],
        units_row: Sequence[Cell],
        rows: Sequence[Sequence[Cell]],
        decimal: str,
    ) -> None:
        self.index, self.decimal = index, decimal
        self.text, unit = bare(header[index])
        below = unit_of(text_of(units_row[index])) if index < len(units_row) else ""
        full = [row[index] for row in rows if index < len(row) and text_of(row[index])]
        self.cells = full[:LOOKED_AT]
        self.unit = unit or below or self._unit_in_cells()
        self.numbers = [value for cell in self.cells if (value := self._number(cell)) is not None]
        self.near = dict(likeness(self.text))
        if self.unit in UNITS["speed"] or self._has_decimals():
            for noun, speed in SPEED_OF.items():
                if noun in self.near:
                    self.near[speed] = max(self.near.get(speed, 0.0), 0.95 * self.near.pop(noun))

    def _unit_in_cells(self) -> str:
        units = {cells.split_unit(cell)[1] for cell in self.cells if isinstance(cell, str)}
        return next(iter(units)) if len(units) == 1 else ""

    def _number(self, cell: Cell) -> float | None:
        try:
            return cells.side(cells.split_unit(cell)[0], self.decimal)
        except Bad:
            return None

    def _has_decimals(self) -> bool:
        return bool(self.numbers) and (
            sum(value != round(value) for value in self.numbers) * 2 > len(self.cells)
        )

    def score(self, name: str, usual: dict[str, str]) -> float:
        """From 0 to 1: how likely this column is this field."""
        words = self.near.get(name, 0.0)
        if words <= self.near.get(OTHER, 0.0):
            return 0.0
        return words * self._by_unit(name) * self._by_cells(name, usual)

    def _by_unit(self, name: str) -> float:
        measure = FIELDS[name].measure
        fits = set(UNITS[measure]) if measure else {_OTHER_UNITS.get(name, "")}
        if self.unit:
            return float(self.unit in fits)
        return NO_UNIT if fits != {""} else 1.0

    def unit_for(self, name: str, usual: dict[str, str]) -> str:
        measure = FIELDS[name].measure
        if not measure:
            return ""
        return self.unit if self.unit in UNITS[measure] else usual[measure]

    def _by_cells(self, name: str, usual: dict[str, str]) -> float:
        """The root of the share of cells that can be this: some bad rows do not hide a column."""
        if not self.cells:
            return NO_CELLS
        return sqrt(sum(self._fits(cell, name, usual) for cell in self.cells) / len(self.cells))

    def _fits(self, cell: Cell, name: str, usual: dict[str, str]) -> bool:
        if name in _NUMBERS:
            value = self._number(cell)
            unit = self.unit_for(name, usual)
            if value is None:
                return False
            si = UNITS[FIELDS[name].measure][unit].to_si(value) if unit else value
            _, low, high = LIMITS[name]
            return low <= si <= high
        if name in _NAMES:
            return self._number(cell) is None
        return _reads(cell, name)


def _reads(cell: Cell, name: str) -> bool:
    try:
        if name == "day":
            return any(_is_day(cell, order) for order in cells.Order)
        if name == "length":
            return bool(cells.length(cell))
        if name == "is_clean":
            return cells.yes_or_no(cell) is not None
    except Bad:
        return False
    return len(text_of(cell)) <= cells.LONGEST


def _is_day(cell: Cell, order: cells.Order) -> bool:
    try:
        return cells.day(cell, order) is not None
    except Bad:
        return False
