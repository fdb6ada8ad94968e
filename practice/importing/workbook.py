"""A workbook as rows of plain cells; run by shared.site.jail, apart from everything of ours.

It is refused by its declared sizes and by any document type before a row of it is read.
"""

import json
import sys
import zipfile
from collections.abc import Iterator, Sequence
from datetime import date, datetime, time
from itertools import chain
from typing import IO, Any
from xml.parsers import expat

from practice.importing.cells import LONGEST_CELL, MOST_COLUMNS, Cell
from shared.site.jail import NotTaken

# Unpacked. A hundred thousand shots of twenty columns take about 80 MB.
MOST_UNPACKED = 200 * 1024 * 1024
MOST_WHOLE = 40 * 1024 * 1024
MOST_PARTS = 500
_LOOKED_AT = 60


def opened(source: IO[bytes], out: IO[bytes], *, most: int) -> None:
    """A line of JSON for each of the first `most` rows: its number and its cells, or why not."""
    check_workbook(source)
    rows = _rows(source) if most else iter(())
    for number, row in rows:
        if number > most:
            return
        said = row if isinstance(row, str) else [_plain_json(cell) for cell in row]
        out.write(json.dumps([number, said]).encode() + b"\n")


def _plain_json(cell: Cell) -> Any:
    return [cell.isoformat()] if isinstance(cell, datetime) else cell


_SHEETS = "xl/worksheets/sheet"


def check_workbook(file: IO[bytes]) -> None:
    """Refuse what is no workbook, or unpacks to more than there is room for. Raises NotTaken."""
    try:
        with zipfile.ZipFile(file) as packed:
            parts = packed.infolist()
            names = {part.filename for part in parts}
            if "[Content_Types].xml" not in names or "xl/workbook.xml" not in names:
                raise NotTaken("That is a packed file, not a workbook. Send CSV or XLSX.")
            unpacked = sum(part.file_size for part in parts)
            # Sheets are read row by row; all else, the shared words above all, as a whole.
            whole = sum(p.file_size for p in parts if not p.filename.startswith(_SHEETS))
            if len(parts) > MOST_PARTS or unpacked > MOST_UNPACKED or whole > MOST_WHOLE:
                raise NotTaken(
                    "That workbook unpacks to more than can be taken. Send the sheet as CSV."
                )
            if any(part.flag_bits & 1 for part in parts):
                raise NotTaken("That workbook is locked with a password. Unlock it first.")
            for part in parts:
                if part.filename.endswith((".xml", ".rels")):
                    _refuse_doctype(packed, part)
    except (zipfile.BadZipFile, NotImplementedError, EOFError, OSError) as error:
        raise NotTaken("That workbook is damaged. Save it again and send that.") from error


class _Started(Exception):
    """The first element has come: no document type can follow."""


def _refuse_doctype(packed: zipfile.ZipFile, part: zipfile.ZipInfo) -> None:
    """A document type is where entities that grow or reach out are declared."""

    def refuse(*_: Any) -> None:
        raise NotTaken("That workbook holds what no workbook needs. Send the sheet as CSV.")

    def started(*_: Any) -> None:
        raise _Started

    parser = expat.ParserCreate()
    parser.StartDoctypeDeclHandler = refuse
    parser.StartElementHandler = started
    try:
        with packed.open(part) as stream:
            for _ in range(64):
                piece = stream.read(16_384)
                parser.Parse(piece, not piece)
                if not piece:
                    return
    except _Started:
        return
    except expat.ExpatError as error:
        raise NotTaken("That workbook is damaged. Save it again and send that.") from error
    raise NotTaken("That workbook holds what no workbook needs. Send the sheet as CSV.")


def _rows(file: IO[bytes]) -> Iterator[tuple[int, list[Cell] | str]]:
    """Rows of the first sheet with a table. Formulas by the value that was kept of them."""
    import warnings

    sys.modules["numpy"] = None  # type: ignore[assignment]  # It would take room and is not needed.
    from openpyxl import load_workbook

    file.seek(0)
    damaged = "That workbook is damaged. Save it again and send that."
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # Of styles and extensions that no number needs.
        try:
            book = load_workbook(file, read_only=True, data_only=True, keep_links=False)
            try:
                for sheet in _by_table(book.worksheets):
                    rows = sheet.iter_rows(max_col=MOST_COLUMNS, values_only=True)
                    first = next(rows, None)
                    if first is None:
                        continue
                    for number, row in enumerate(chain([first], rows), 1):
                        yield number, _plain(row)
                    return
            finally:
                book.close()
        except (NotTaken, MemoryError):
            raise
        except Exception as error:
            # openpyxl raises whatever a broken part makes Python raise.
            raise NotTaken(damaged) from error


def _by_table(sheets: Sequence[Any]) -> list[Any]:
    """The sheets, first the first whose table is at least half as large as the largest."""
    sizes = [_table_size(sheet) for sheet in sheets]
    is_main = [2 * size >= max(sizes, default=0) for size in sizes]
    return [sheets[at] for at in sorted(range(len(sheets)), key=lambda at: not is_main[at])]


def _table_size(sheet: Any) -> int:
    """The full cells of rows with three, among the first; a sheet of notes or of means has few."""
    rows = sheet.iter_rows(max_row=_LOOKED_AT, max_col=MOST_COLUMNS, values_only=True)
    full = [sum(cell is not None for cell in row) for row in rows]
    wide = [count for count in full if count > 2]
    return sum(wide) if len(wide) > 2 else 0


def _plain(row: tuple[Any, ...]) -> list[Cell] | str:
    cells: list[Cell] = []
    for value in row:
        if value is None:
            cells.append("")
        elif isinstance(value, datetime):
            cells.append(value.replace(tzinfo=None))
        elif isinstance(value, bool):
            cells.append("yes" if value else "no")
        elif isinstance(value, int | float):
            cells.append(float(value))
        elif isinstance(value, date):
            cells.append(datetime.combine(value, time()))
        else:
            text = str(value).strip()
            if len(text) > LONGEST_CELL:
                return f"A cell is longer than {LONGEST_CELL:,} letters."
            cells.append(text)
    while cells and cells[-1] == "":
        cells.pop()
    return cells
