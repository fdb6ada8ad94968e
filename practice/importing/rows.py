"""A row of cells as a shot in SI, or every reason why it is none."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import lru_cache
from hashlib import blake2b
from typing import Any

from practice.importing import cells
from practice.importing.cells import Bad, Cell
from practice.importing.columns import FIELDS, MEASURED, UNITS, Plan
from practice.log.shot_figures import smash_fault
from practice.shots.limits import LIMITS

OLDEST_DAYS = 20 * 366
REMEMBERED = 4096
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


Reader = Callable[[Cell], Any]


class RowReader:
    """Reads rows by one plan. Everything that does not change from row to row is made once."""

    def __init__(self, plan: Plan, today: date) -> None:
        self.plan, self.today = plan, today
        self._latest = today + timedelta(days=1)
        self._readers = [
            # The same cell comes again and again: a day, a club, a carry to the decimetre.
            (index, column.field, lru_cache(REMEMBERED)(self._reader(column.field, column.unit)))
            for index, column in sorted(plan.columns.items())
        ]
        self._given = {
            name: value
            for name in ("device", "ball", "place")
            if (value := getattr(plan, name)) and plan.index_of(name) is None
        }
        self._day = date.fromisoformat(plan.day) if plan.day else None

    def read(self, row: Sequence[Cell]) -> Read:
        found = Read(dict(self._given))
        values, width = found.values, len(row)
        for index, name, reader in self._readers:
            cell = row[index] if index < width else ""
            if cell == "":
                continue
            try:
                value = reader(cell)
            except Bad as bad:
                found.faults.append(Fault(index, f"{FIELDS[name].words}: {bad}"))
                continue
            if value is not None and value != "":
                values[name] = value
        self._check(found)
        return found

    def _check(self, found: Read) -> None:
        values = found.values
        if self.plan.player and (who := values.get("player", "")) != self.plan.player:
            found.faults.append(Fault(None, f"This row is {who or 'nobody'}’s."))
            return
        if "day" not in values:
            if self._day is not None:
                values["day"] = self._day
            elif not any(fault.column == self.plan.index_of("day") for fault in found.faults):
                found.faults.append(Fault(self.plan.index_of("day"), "There is no day."))
        elif not self.today - timedelta(days=OLDEST_DAYS) <= values["day"] <= self._latest:
            said = values["day"].isoformat()
            found.faults.append(Fault(self.plan.index_of("day"), f"{said} cannot be right."))
        if fault := smash_fault(values.get("ball_speed"), values.get("club_speed")):
            found.faults.append(Fault(None, fault))
        if not found.faults and not any(name in values for name in MEASURED):
            found.faults.append(Fault(None, "There is no carry, total, speed or clean in it."))

    def _reader(self, name: str, unit: str) -> Reader:
        if name == "day":
            return lambda cell: cells.day(cell, self.plan.order)
        if name == "length":
            return cells.length
        if name == "is_clean":
            return cells.yes_or_no
        if name in _LONGEST:
            longest = _LONGEST[name]
            return lambda cell: cells.words(cell, longest)
        return self._number(name, unit)

    def _number(self, name: str, unit: str) -> Reader:
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


def content_key(row: Sequence[Cell], skip: frozenset[int] = frozenset()) -> bytes:
    """The same for the same row of the same kind of file, whoever sends it again.

    Numbers are compared as numbers, so that 60.50 in a table is 60.5 in a workbook.
    """
    if skip:
        row = [cell for index, cell in enumerate(row) if index not in skip]
    parts = [*map(_compared, row)]
    while parts and not parts[-1]:
        parts.pop()
    return blake2b("\x1f".join(parts).encode(), digest_size=16).digest()


@lru_cache(REMEMBERED)
def _compared(cell: Cell) -> str:
    text = cells.text_of(cell)
    if isinstance(cell, str):
        try:
            return f"{float(text):.12g}"
        except ValueError:
            return text.casefold()
    return text


def shot_fingerprint(student: str, header: str, key: bytes, occurrence: int) -> str:
    """Of one row of one student: the n-th row of this content under this header."""
    text = f"{student}\x1f{header}\x1f{key.hex()}\x1f{occurrence}"
    return blake2b(text.encode(), digest_size=32).hexdigest()


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


def row_as_sent(row: Sequence[Cell]) -> Sequence[Cell]:
    """A row as it was before `inert`."""
    if not any(isinstance(cell, str) and cell.startswith("'") for cell in row):
        return row
    return [as_sent(cell) if isinstance(cell, str) else cell for cell in row]


def as_sent(text: str) -> str:
    """A cell as it was before `inert`, so that a mended file is read like the first."""
    return text[1:] if text.startswith("'") and text[1:].startswith(_OPENS_FORMULA) else text
