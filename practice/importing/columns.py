"""Which column is what: our fields, the units, and what the header and the cells suggest."""

import re
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from hashlib import blake2b
from itertools import pairwise
from typing import Any

from practice.importing.cells import Cell, split_unit, text_of
from practice.importing.days import DateOrder
from practice.importing.meaning import OTHER, things_in
from practice.importing.names import bare, known_in, likeness, unit_of
from shared.kit.units import DISTANCE, SPEED, Unit

FOOT = 0.3048  # NIST SP 811 (2008), appendix B.8: exact.
DISTANCES = {
    **DISTANCE,
    "ft": Unit("ft", FOOT),
    "cm": Unit("cm", 0.01),
    "in": Unit("in", FOOT / 12),
}
SPEEDS = {**SPEED, "fps": Unit("ft/s", FOOT)}
UNITS = {"distance": DISTANCES, "speed": SPEEDS}


@dataclass(frozen=True, slots=True)
class Field:
    """One of our fields: its words, and the kind of unit its numbers have, if any."""

    name: str
    words: str
    measure: str = ""


FIELDS = {
    each.name: each
    for each in (
        Field("day", "Day"),
        Field("session", "Session"),
        Field("device", "Device"),
        Field("ball", "Ball"),
        Field("place", "Place"),
        Field("player", "Player"),
        Field("club", "Club"),
        Field("length", "Swing length"),
        Field("target", "Target", "distance"),
        Field("effort", "Felt effort, percent"),
        Field("carry", "Carry", "distance"),
        Field("total", "Total", "distance"),
        Field("side", "To the side (right is plus)", "distance"),
        Field("left_right", "Left or right, of the column to the side"),
        Field("ball_speed", "Ball speed", "speed"),
        Field("club_speed", "Club speed", "speed"),
        Field("launch", "Launch angle, degrees"),
        Field("spin", "Spin, turns a minute"),
        Field("is_clean", "Clean, yes or no"),
    )
}
# One of these makes a row a shot.
MEASURED = ("carry", "total", "ball_speed", "club_speed", "is_clean")


@dataclass(frozen=True, slots=True)
class Column:
    """What one column is: the name of one of our fields, and the unit of its numbers.

    `is_down`: an empty cell means what stands above it. `is_left_plus`: of the figures to the
    side those without a sign went left.
    """

    field: str
    unit: str = ""
    is_down: bool = False
    is_left_plus: bool = False


@dataclass(frozen=True, slots=True)
class Plan:
    """How the rows of a file are to be read. Kept as JSON."""

    columns: dict[int, Column] = field(default_factory=dict)
    decimal: str = "."
    order: DateOrder = DateOrder.YMD
    # The order is a guess: neither the days nor somebody has said which number is the month.
    asks_order: bool = False
    # The year of days that say none, and what the reader made of words for lengths.
    year: int | None = None
    lengths: dict[str, str] = field(default_factory=dict)
    # Of all rows, where no column says it.
    day: str = ""
    device: str = ""
    ball: str = ""
    place: str = ""
    indoors: bool | None = None
    # Where a column names players: what the student is called in it. Rows of others stay out.
    player: str = ""

    def as_json(self) -> dict[str, Any]:
        found = asdict(self)
        found["columns"] = {str(index): asdict(column) for index, column in self.columns.items()}
        return found

    @staticmethod
    def from_json(kept: dict[str, Any]) -> "Plan":
        columns = {int(index): Column(**each) for index, each in kept.get("columns", {}).items()}
        rest = {name: value for name, value in kept.items() if name != "columns"}
        return Plan(columns=columns, **(rest | {"order": DateOrder(rest.get("order", "ymd"))}))

    def index_of(self, name: str) -> int | None:
        return next((i for i, column in self.columns.items() if column.field == name), None)


def fingerprint(header: Sequence[str]) -> str:
    """The same for every file with the same header, whatever its letter case and spaces."""
    text = "\x1f".join(" ".join(each.lower().split()) for each in header)
    return blake2b(text.encode(), digest_size=16).hexdigest()


def find_header(rows: Sequence[Sequence[Cell]]) -> int | None:
    """Which of the first rows names the columns; None if none does.

    The one that names most known columns, two at least, and of those alike the first; or else
    a row of words above one of numbers.
    """
    known = [len(known_in(row)) for row in rows[:15]]
    if max(known, default=0) >= 2:
        return known.index(max(known))
    for index, (row, below) in enumerate(pairwise(rows[:16])):
        full = [cell for cell in row if text_of(cell)]
        if len(full) >= 2 and not any(map(_numeric, full)) and any(map(_numeric, below)):
            return index
    return None


_NUMERIC = re.compile(r"[+-]?\d+(?:[.,]\d+)*", re.ASCII)


def _numeric(cell: Cell) -> bool:
    return not isinstance(cell, str) or bool(_NUMERIC.fullmatch(cell.strip()))


def is_units_row(row: Sequence[Cell]) -> bool:
    """A row below the header that holds units, such as [yd] and mph, and nothing with a figure."""
    full = [text_of(cell) for cell in row if text_of(cell).strip("-–—")]
    units = [each for each in full if unit_of(each)]
    others = [each for each in full if not unit_of(each)]
    if any(re.search(r"\d", each) for each in others):
        # Beside a table that was turned over there may be a word or two of its title.
        return len(units) >= 2 * len(others)
    return len(units) > len(others)


# What a group of columns may be called that tells its columns apart.
_GROUPS_WORDS = "air ball club head carry total landing roll launch"
_GROUPS = frozenset(_GROUPS_WORDS.split())


def header_at(rows: Sequence[Sequence[Cell]], at: int) -> list[str]:
    """The names of the columns; where one says too little, with the group that stands above it."""
    names = [text_of(cell) for cell in rows[at]]
    above = [text_of(cell) for cell in rows[at - 1]] if at else []
    full = [*filter(None, names)]
    are_alike = len({*full}) < len(full) and sum(map(bool, above)) > 1
    if not are_alike and not _are_groups(above):
        return names
    group, found = "", []
    for index, name in enumerate(names):
        group = (above[index] if index < len(above) else "") or group
        needs = names.count(name) > 1 or (name and not _says_ours(name))
        found.append(f"{group} {name}".strip() if needs else name)
    return found


def _are_groups(above: Sequence[str]) -> bool:
    """Whether two of the words above a header name what its columns are of."""
    words = [text for text in above if text]
    groups = [text for text in words if things_in(text) & _GROUPS and ":" not in text]
    return len(groups) > 1 and 2 * len(groups) >= len(words)


def _says_ours(name: str) -> bool:
    return bool({*likeness(bare(name)[0])} - {OTHER})


def names_unit(header: str, below: Cell, cells: Sequence[Cell], measure: str) -> bool:
    """Whether the file says the unit of this column: in its name, below it or in each cell."""
    known = UNITS[measure]
    told = bare(header)[1] in known or unit_of(text_of(below)) in known
    full = [cell for cell in cells if text_of(cell)]
    return told or (bool(full) and all(split_unit(cell)[1] in known for cell in full))


# A figure with decimals, whatever letters stand before it or behind: 4.0, 152,3 km/h, 4,0 V.
_DECIMALS = re.compile(
    r"(?:[^\W\d]{1,9}\.?\s*)?[+\-−]?\d+([.,])\d+(?:\s*[^\W\d°%/]{1,9}[./]?|\s*[°%])*"
)


def guess_decimal(rows: Sequence[Sequence[Cell]]) -> str:
    """The sign before the decimals, by what most of the cells with one sign have."""
    points = commas = 0
    for row in rows:
        for cell in row:
            if isinstance(cell, str) and (found := _DECIMALS.fullmatch(cell.strip())):
                points += found[1] == "."
                commas += found[1] == ","
    return "," if commas > points else "."
