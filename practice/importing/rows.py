"""Rows of cells as shots in SI, or every reason why one is none. Read a column at a time."""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, timedelta, tzinfo
from functools import lru_cache
from hashlib import blake2b
from itertools import compress, repeat, zip_longest
from typing import Any

from practice.importing import cells, days, lengths
from practice.importing.cells import Bad, Cell, text_of
from practice.importing.columns import FIELDS, MEASURED, UNITS, Column, Plan
from practice.importing.reckoned import FEWEST_FIGURES, counts, odd_rows, reckoned, says_little
from practice.log.shot_figures import smash_fault
from practice.shots.club_names import is_club
from practice.shots.limits import LIMITS

OLDEST_DAYS = 20 * 366
REMEMBERED = 4096
# Columns in which a row says what it is.
_LABELS = frozenset({"day", "session", "player", "club"})
_RECKONED_OF = ("carry", "total", "ball_speed", "club_speed", "launch", "spin")
# Of these an empty cell may mean what stands above it.
FILLED_DOWN = frozenset({"day", "session", "device", "ball", "place", "player", "club"})
_LONGEST = {"device": 60, "ball": 60, "place": 60, "session": 60, "club": 20, "player": 60}


@dataclass(frozen=True, slots=True)
class Fault:
    """Why a cell cannot be taken; `column` is None if it is about the row."""

    column: int | None
    reason: str


@dataclass(slots=True)
class Read:
    """What a row says, by the names of our fields, in SI; or its faults."""

    values: dict[str, Any] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    @property
    def reason(self) -> str:
        return " ".join(fault.reason for fault in self.faults)


class CellColumn:
    """Cells below each other, as they were sent. What is made of them is made once of equal ones.

    The same cell comes again and again: a day, a club, a carry to the decimetre.
    """

    __slots__ = ("_cells", "_known", "different")

    def __init__(self, below: Sequence[Cell]) -> None:
        self._cells, self._known = below, dict.fromkeys(below)
        self.different = _all_as_sent(self._known)

    @property
    def last(self) -> Cell:
        """The lowest that says something of its own row; empty if none does."""
        said = (cell for cell in reversed(self._cells) if cell != "")
        return next((cell for cell in said if not cells.is_of_others(cell)), "")

    def made(self, values: Sequence[Any]) -> Sequence[Any]:
        """For each cell its own of these values, one for each of the different."""
        if len(values) == len(self._cells):
            return values
        by_cell = dict(zip(self._known, values, strict=True))
        return [*map(by_cell.__getitem__, self._cells)]


def turned(rows: Sequence[Sequence[Cell]]) -> list[CellColumn]:
    """Rows as columns, as many as the longest has; what a row lacks is empty."""
    return [CellColumn(cells) for cells in zip_longest(*rows, fillvalue="")]


@dataclass(slots=True)
class Found:
    """What rows say: for each of our fields a value a row, in SI; None is nothing.

    Rows with faults, by their place, are to be left out.
    """

    rows: int
    values: dict[str, Sequence[Any]] = field(default_factory=dict)
    faults: dict[int, list[Fault]] = field(default_factory=dict)

    def of(self, name: str, otherwise: Any = None) -> Sequence[Any]:
        return self.values.get(name) or [otherwise] * self.rows

    def fault(self, row: int, column: int | None, reason: str) -> None:
        self.faults.setdefault(row, []).append(Fault(column, reason))


Reader = Callable[[Cell], Any]
ColumnReader = Callable[[Sequence[Cell]], Sequence[Any]]


class RowReader:
    """Reads rows by one plan, a column at a time."""

    def __init__(self, plan: Plan, today: date, zone: tzinfo = UTC) -> None:
        self.plan = plan
        self._oldest, self._latest = today - timedelta(days=OLDEST_DAYS), today + timedelta(days=1)
        self._readers = [
            (index, column.field, self._reader(column))
            for index, column in sorted(plan.columns.items())
        ]
        self._given = {
            name: value
            for name in ("device", "ball", "place")
            if (value := getattr(plan, name)) and plan.index_of(name) is None
        }
        self._day = date.fromisoformat(plan.day) if plan.day else None
        self._zone = zone
        self._above: dict[int, Cell] = {}
        self._club = ""  # As the last row said that is nothing but a club's name.

    def read(self, row: Sequence[Cell]) -> Read:
        """One row."""
        found = self.read_all(turned([row]), 1)
        values = {name: column[0] for name, column in found.values.items()}
        said = {name: value for name, value in values.items() if value not in (None, "")}
        return Read(said, found.faults.get(0, []))

    def read_all(self, columns: Sequence[CellColumn], rows: int) -> Found:
        """So many rows, turned into columns."""
        found = Found(rows, {name: [value] * rows for name, value in self._given.items()})
        self._name_clubs(found, columns)
        columns = self.filled(columns)
        for index, name, reader in self._readers:
            if index < len(columns):
                self._read_column(found, index, name, columns[index], reader)
        self._check_reckoned(found, columns)
        self._to_their_side(found)
        self._check_all(found)
        return found

    def _to_their_side(self, found: Found) -> None:
        """How far to the side, where another column says to which."""
        hands = found.values.pop("left_right", None)
        if hands is None or "side" not in found.values:
            return
        sides = found.values["side"] = [*found.values["side"]]
        for row, (side, hand) in enumerate(zip(sides, hands, strict=True)):
            if side and hand:
                sides[row] = hand * abs(side)
            elif side and row not in found.faults:
                found.fault(row, self.plan.index_of("side"), "It is not said to which side.")

    def _name_clubs(self, found: Found, columns: Sequence[CellColumn]) -> None:
        """Where no column is the club: a row that is a club's name alone says it of those below."""
        heads = self.heads(columns)
        if not heads and not self._club:
            return
        clubs = found.values["club"] = [""] * found.rows
        for row in range(found.rows):
            if row in heads:
                self._club = heads[row]
                found.fault(row, None, "It names the club of the rows below.")
            clubs[row] = self._club

    def heads(self, columns: Sequence[CellColumn]) -> dict[int, str]:
        """The rows that are a club's name alone."""
        if self.plan.index_of("club") is not None:
            return {}
        found: dict[int, str] = {}
        for column in columns:
            clubs = {cell: name for cell in column.different if (name := _club_alone(cell))}
            if clubs:
                cells_ = column.made(column.different)
                others = [each.made(each.different) for each in columns if each is not column]
                found |= {
                    row: clubs[cell]
                    for row, cell in enumerate(cells_)
                    if cell in clubs and not any(each[row] for each in others)
                }
        return found

    def follow(self, columns: Sequence[CellColumn]) -> None:
        """Rows that were written before: what they say of those below is remembered."""
        self.filled(columns)
        if heads := self.heads(columns):
            self._club = heads[max(heads)]

    def filled(self, columns: Sequence[CellColumn]) -> list[CellColumn]:
        """With what stands above in each cell that says *the same*, or is empty where that means
        it. Rows are to come in their order, those that were written before as well."""
        columns = [*columns]
        for index, column in self.plan.columns.items():
            if column.field in FILLED_DOWN and index < len(columns):
                columns[index] = self._filled(index, columns[index], is_down=column.is_down)
        return columns

    def _filled(self, index: int, column: CellColumn, *, is_down: bool) -> CellColumn:
        means = {cell for cell in column.different if cells.is_ditto(cell)}
        means |= {""} if is_down else set()
        if not means & {*column.different}:
            self._above[index] = column.last or self._above.get(index, "")
            return column
        above, found = self._above.get(index, ""), []
        for cell in column.made(column.different):
            is_said = not (cell in means or cell == "" or cells.is_of_others(cell))
            above = cell if is_said else above
            found.append(above if cell in means else cell)
        self._above[index] = above
        return CellColumn(found)

    def _read_column(
        self, found: Found, index: int, name: str, column: CellColumn, reader: ColumnReader
    ) -> None:
        different = reader(column.different)
        values = column.made(different)
        if Bad in map(type, different):
            values = [*values]
            for row, value in enumerate(values):
                if isinstance(value, Bad):
                    found.fault(row, index, f"{FIELDS[name].words}: {value}")
                    values[row] = None
        found.values[name] = values

    def _check_reckoned(self, found: Found, columns: Sequence[CellColumn]) -> None:
        """Means and spreads below the shots are none, by their words or by their figures."""
        of_length = self.plan.index_of("length")  # Where *media* is a half and no mean.
        first = next((at for at, each in enumerate(columns) if any(each.different)), 0)
        for index, column in enumerate(columns):
            if index == of_length or cells.are_all_figures(column.different):
                continue
            mapped = self.plan.columns.get(index)
            is_label = index == first or (mapped is not None and mapped.field in _LABELS)
            are = [
                cells.is_of_others(cell, is_first=index == first)
                or (is_label and cells.begins_with_others(cell))
                for cell in column.different
            ]
            if any(are):
                self._leave_out(found, compress(range(found.rows), column.made(are)))
        self._leave_out(found, self._reckoned_by_figures(found, columns))

    def _leave_out(self, found: Found, rows: Iterable[int]) -> None:
        for row in rows:
            found.faults[row] = [Fault(None, "This row is reckoned from others.")]

    def _reckoned_by_figures(self, found: Found, columns: Sequence[CellColumn]) -> set[int]:
        measured = {
            column.field: index
            for index, column in self.plan.columns.items()
            if column.field in _RECKONED_OF and index < len(columns)
        }
        if len(measured) < FEWEST_FIGURES:
            return set()
        lacking = []
        for index, column in enumerate(columns):
            if index not in self.plan.columns or self.plan.columns[index].field in _LABELS:
                said = [says_little(text_of(cell)) for cell in column.different]
                lacking += [column.made(each) for each in zip(*said, strict=True) if any(each)]
        odd = odd_rows(lacking, found.rows)
        if not odd:
            return set()
        steps = {
            name: columns[index].made(
                [*map(self._step(self.plan.columns[index]), columns[index].different)]
            )
            for name, index in measured.items()
        }
        figures = {name: found.of(name) for name in measured}
        few = counts(odd, figures, found.rows)
        out = frozenset(found.faults) | few
        return few | reckoned(odd, figures, steps, found.of("club", ""), out)

    def _step(self, column: Column) -> Callable[[Cell], float]:
        """The smallest difference that a cell's figure is written with, in SI."""
        measure = FIELDS[column.field].measure
        unit = UNITS[measure][column.unit].to_si(1.0) if measure else 1.0
        decimal = self.plan.decimal

        def step(cell: Cell) -> float:
            behind = re.search(rf"\{decimal if isinstance(cell, str) else '.'}(\d+)", text_of(cell))
            return float(1.05 * unit * 10.0 ** -(len(behind[1]) if behind else 0))

        return step

    def _check_all(self, found: Found) -> None:
        others = self._check_players(found)
        rows = [row for row in range(found.rows) if row not in others]
        self._check_days(found, rows)
        self._check_speeds(found, rows)
        if any(None not in found.values.get(name, (None,)) for name in MEASURED):
            return
        measured = [found.of(name) for name in MEASURED]
        for row in rows:
            if row not in found.faults and all(column[row] is None for column in measured):
                found.fault(row, None, "There is no carry, total, speed or clean in it.")

    def _check_players(self, found: Found) -> set[int]:
        """The rows of somebody else."""
        if not self.plan.player:
            return set()
        others = set()
        for row, who in enumerate(found.of("player", "")):
            if who != self.plan.player:
                found.fault(row, None, f"This row is {who or 'nobody'}’s.")
                others.add(row)
        return others

    def _check_days(self, found: Found, rows: Sequence[int]) -> None:
        days = found.values["day"] = [*found.of("day")]
        if all(day is not None and self._is_possible(day) for day in {*days}):
            return
        column = self.plan.index_of("day")
        for row in rows:
            day = days[row]
            if day is None and self._day is not None:
                days[row] = self._day
            elif day is None:
                if not any(fault.column == column for fault in found.faults.get(row, ())):
                    found.fault(row, column, "There is no day.")
            elif not self._is_possible(day):
                found.fault(row, column, f"{day.isoformat()} cannot be right.")

    def _is_possible(self, day: date) -> bool:
        return self._oldest <= day <= self._latest

    def _check_speeds(self, found: Found, rows: Sequence[int]) -> None:
        ball, club = found.values.get("ball_speed"), found.values.get("club_speed")
        if ball is None or club is None:
            return
        for row in rows:
            if fault := smash_fault(ball[row], club[row]):
                found.fault(row, None, fault)

    def _read_day(self, cell: Cell) -> date | None:
        return days.day(cell, self.plan.order, self.plan.year, self._zone)

    def _reader(self, column: Column) -> ColumnReader:
        name, unit = column.field, column.unit
        if name == "day":
            return _each(self._read_day)
        if name == "length":
            return _each(lambda cell: lengths.length(cell, self.plan.lengths))
        if name == "is_clean":
            return _each(cells.yes_or_no)
        if name == "left_right":
            return _each(cells.left_or_right)
        if name in _LONGEST:
            longest = _LONGEST[name]
            return _each(lambda cell: cells.words(cell, longest))
        return self._numbers(name, unit, is_left_plus=column.is_left_plus)

    def _numbers(self, name: str, unit: str, *, is_left_plus: bool) -> ColumnReader:
        """All at once where they are plain and none is out of bounds, else one by one."""
        decimal = self.plan.decimal
        _, low, high = LIMITS[name]
        measure = FIELDS[name].measure
        in_si = UNITS[measure][unit].to_si if measure else float
        one_by_one = _each(self._number(name, unit, is_left_plus=is_left_plus))

        def read(column: Sequence[Cell]) -> Sequence[Any]:
            plain = cells.plain_numbers(column, decimal)
            if plain is None:
                return one_by_one(column)
            if is_left_plus:
                plain = [value and -value for value in plain]
            si = [None if value is None else in_si(value) for value in plain]
            told = [value for value in si if value is not None]
            if told and not low <= min(told) <= max(told) <= high:
                return one_by_one(column)
            return [value and round(value) for value in si] if name == "effort" else si

        return read

    def _number(self, name: str, unit: str, *, is_left_plus: bool) -> Reader:
        decimal = self.plan.decimal
        _, low, high = LIMITS[name]
        parse = cells.side if name == "side" else cells.number
        measure = FIELDS[name].measure
        in_si = UNITS[measure][unit].to_si if measure else float
        shown = UNITS[measure][unit] if measure else None

        def read(cell: Cell) -> float | None:
            text, own = cells.split_unit(cell)
            value = parse(text, decimal)
            if value is None:
                return None
            if is_left_plus and not cells.says_side(text):
                value = -value
            if own and measure and own not in UNITS[measure]:
                raise Bad(f"“{cells.text_of(cell)[:30]}” is in another kind of unit.")
            # A unit beside the figure is believed before that of the column.
            si = UNITS[measure][own].to_si(value) if own and measure else in_si(value)
            if not low <= si <= high:
                least, most = (shown.from_si(each) if shown else each for each in (low, high))
                sign = f" {shown.sign}" if shown else ""
                raise Bad(f"{value:g} is not between {least:.0f} and {most:.0f}{sign}.")
            return round(si) if name == "effort" else si

        return read


def _club_alone(cell: Cell) -> str:
    """7 iron; Club: 7 iron."""
    text = cell.partition(":")[2].strip() or cell if isinstance(cell, str) else ""
    return text if len(text) <= _LONGEST["club"] and is_club(text) else ""


def _each(read: Reader) -> ColumnReader:
    """Each cell by itself; a Bad stands in the place of one that cannot be read."""

    @lru_cache(REMEMBERED)
    def one(cell: Cell) -> Any:
        try:
            return None if cell == "" else read(cell)
        except Bad as bad:
            return Bad(*bad.args)  # Without what it was raised in.

    return lambda column: [*map(one, column)]


def content_keys(
    columns: Sequence[CellColumn], rows: int, skip: frozenset[int] = frozenset()
) -> list[bytes]:
    """The same for the same row of the same kind of file, whoever sends it again.

    Numbers are compared as numbers, so that 60.50 in a table is 60.5 in a workbook.
    """
    compared = [
        column.made(_all_compared(column.different))
        for index, column in enumerate(columns)
        if index not in skip
    ]
    texts = map("\x1f".join, zip(*compared, strict=True)) if compared else repeat("", rows)
    # No text ends with the sign between; empty cells at the end are none.
    return [blake2b(text.rstrip("\x1f").encode(), digest_size=16).digest() for text in texts]


def _all_compared(column: Sequence[Cell]) -> list[str]:
    try:
        return ["" if cell == "" else f"{float(cell):.12g}" for cell in column]  # type: ignore[arg-type]  # A day raises.
    except (TypeError, ValueError):
        return [*map(_compared, column)]


@lru_cache(REMEMBERED)
def _compared(cell: Cell) -> str:
    text = cells.text_of(cell)
    if isinstance(cell, str):
        try:
            return f"{float(text):.12g}"
        except ValueError:
            return text.casefold()
    return text


def shot_fingerprints(
    student: str, header: str, keys: Sequence[bytes], occurrences: Iterable[int]
) -> list[str]:
    """Of rows of one student: each the n-th row of its content under this header."""
    start = f"{student}\x1f{header}\x1f".encode()
    return [
        blake2b(b"%b%b\x1f%d" % (start, key.hex().encode(), n), digest_size=32).hexdigest()
        for key, n in zip(keys, occurrences, strict=True)
    ]


_OPENS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def inert(text: str) -> str:
    """A cell for a table that a spreadsheet will open: no formula, whatever somebody wrote."""
    if text.startswith(_OPENS_FORMULA) and not _is_number(text):
        return "'" + text
    return text


def _is_number(text: str) -> bool:
    try:
        float(text.replace(",", "."))
    except ValueError:
        return False
    return True


def _all_as_sent(column: Iterable[Cell]) -> list[Cell]:
    try:
        texts: list[Any] = [*map(str.strip, column)]  # type: ignore[arg-type]  # Or it is a workbook's.
    except TypeError:
        return [*map(as_sent, column)]
    return [*map(as_sent, texts)] if "'" in "".join(texts) else texts


def as_sent(cell: Cell) -> Cell:
    """A cell as it was before `inert`, so that a mended file is read like the first."""
    if not isinstance(cell, str):
        return cell
    text = cell.strip()
    return text[1:] if text.startswith("'") and text[1:].startswith(_OPENS_FORMULA) else text
