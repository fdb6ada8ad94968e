"""A file as rows of cells: what it is by its content, and row after row of it.

Nothing here trusts a name, an ending or a declared type. A workbook is refused by its
declared sizes and by any document type before a row of it is read.
"""

import codecs
import csv
import io
import zipfile
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import date, datetime, time
from itertools import chain
from typing import IO, Any
from xml.parsers import expat

from practice.importing.cells import Cell

MOST_ROWS = 200_000
MOST_COLUMNS = 60
LONGEST_CELL = 2_000
LONGEST_LINE = LONGEST_CELL * MOST_COLUMNS
MOST_LINES = 20
# Of a workbook, unpacked. A hundred thousand shots of twenty columns take about 80 MB.
MOST_UNPACKED = 200 * 1024 * 1024
MOST_WHOLE = 40 * 1024 * 1024
MOST_PARTS = 500

CSV, XLSX = "csv", "xlsx"
SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "upright stroke"}
ENCODINGS = {
    "utf-8-sig": "UTF-8",
    "utf-16": "UTF-16",
    "utf-16-le": "UTF-16",
    "utf-16-be": "UTF-16",
    "cp1252": "Western European",
    "latin-1": "Western European",
}


class Unreadable(ValueError):
    """A file that cannot be taken, in a sentence that says what to do."""


@dataclass(frozen=True, slots=True)
class Kind:
    """What a file is: CSV with its encoding and separator, or XLSX."""

    name: str
    encoding: str = ""
    separator: str = ""

    @property
    def words(self) -> str:
        if self.name == XLSX:
            return "a workbook (XLSX), first sheet with rows"
        return f"a table (CSV): {ENCODINGS[self.encoding]}, {SEPARATORS[self.separator]} between"


@dataclass(frozen=True, slots=True)
class BadRow:
    """A row that could not even be split into cells."""

    reason: str


Row = list[Cell] | BadRow

_OTHERS = (
    (b"\xd0\xcf\x11\xe0", "That is an old workbook (XLS). Save it as XLSX or CSV and send that."),
    (b"%PDF", "That is a PDF. Send the table itself, as CSV or XLSX."),
    (b"\x89PNG", "That is a picture. Send the table itself, as CSV or XLSX."),
    (b"\xff\xd8\xff", "That is a picture. Send the table itself, as CSV or XLSX."),
    (b"\x1f\x8b", "That is a packed file. Unpack it and send the table itself."),
)


def kind_of(file: IO[bytes]) -> Kind:
    """What a file is, by its content. Raises Unreadable."""
    file.seek(0)
    start = file.read(65_536)
    if not start.strip():
        raise Unreadable("That file is empty.")
    for magic, sentence in _OTHERS:
        if start.startswith(magic):
            raise Unreadable(sentence)
    if start.startswith(b"PK"):
        check_workbook(file)
        return Kind(XLSX)
    encoding = _encoding(file, start)
    text = start.decode(encoding, errors="ignore")
    return Kind(CSV, encoding, _separator(text))


def _encoding(file: IO[bytes], start: bytes) -> str:
    if start.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    if b"\x00" in start:
        # Latin letters in UTF-16 have a zero in every second byte.
        sample = start[:4000]
        for encoding, zeros in (("utf-16-le", sample[1::2]), ("utf-16-be", sample[0::2])):
            if zeros.count(0) > 0.9 * len(zeros):
                return encoding
        raise Unreadable("That is not a table of text. Send CSV or XLSX.")
    file.seek(0)
    decoder = codecs.getincrementaldecoder("utf-8")()
    try:
        while piece := file.read(1 << 20):
            if b"\x00" in piece:
                raise Unreadable("That is not a table of text. Send CSV or XLSX.")
            decoder.decode(piece)
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return _western(file)
    return "utf-8-sig"


def _western(file: IO[bytes]) -> str:
    """Windows' letters if all are defined there, else Latin-1, which has a letter for each byte."""
    file.seek(0)
    undefined = b"\x81\x8d\x8f\x90\x9d"
    while piece := file.read(1 << 20):
        if piece.translate(None, undefined) != piece:
            return "latin-1"
    return "cp1252"


def _separator(text: str) -> str:
    """The sign that splits the first lines into most cells, as many in each."""
    lines = text.splitlines()[:60]
    lines = lines[:-1] if len(lines) > 2 else lines

    def score(separator: str) -> tuple[int, int]:
        with suppress(csv.Error):
            widths = [len(row) for row in csv.reader(lines, delimiter=separator) if row]
            if widths:
                usual = max(set(widths), key=lambda width: (widths.count(width), width))
                return (widths.count(usual) if usual > 1 else 0, usual)
        return (0, 0)

    best = max(SEPARATORS, key=lambda each: (score(each)[0] > 0, *score(each)))
    return best if score(best)[0] else ","


_SHEETS = "xl/worksheets/sheet"


def check_workbook(file: IO[bytes]) -> None:
    """Refuse what is no workbook, or unpacks to more than there is room for. Raises Unreadable."""
    try:
        with zipfile.ZipFile(file) as packed:
            parts = packed.infolist()
            names = {part.filename for part in parts}
            if "[Content_Types].xml" not in names or "xl/workbook.xml" not in names:
                raise Unreadable("That is a packed file, not a workbook. Send CSV or XLSX.")
            unpacked = sum(part.file_size for part in parts)
            # Sheets are read row by row; all else, the shared words above all, as a whole.
            whole = sum(p.file_size for p in parts if not p.filename.startswith(_SHEETS))
            if len(parts) > MOST_PARTS or unpacked > MOST_UNPACKED or whole > MOST_WHOLE:
                raise Unreadable(
                    "That workbook unpacks to more than can be taken. Send the sheet as CSV."
                )
            if any(part.flag_bits & 1 for part in parts):
                raise Unreadable("That workbook is locked with a password. Unlock it first.")
            for part in parts:
                if part.filename.endswith((".xml", ".rels")):
                    _refuse_doctype(packed, part)
    except (zipfile.BadZipFile, NotImplementedError, EOFError, OSError) as error:
        raise Unreadable("That workbook is damaged. Save it again and send that.") from error


class _Started(Exception):
    """The first element has come: no document type can follow."""


def _refuse_doctype(packed: zipfile.ZipFile, part: zipfile.ZipInfo) -> None:
    """A document type is where entities that grow or reach out are declared."""

    def refuse(*_: Any) -> None:
        raise Unreadable("That workbook holds what no workbook needs. Send the sheet as CSV.")

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
        raise Unreadable("That workbook is damaged. Save it again and send that.") from error
    raise Unreadable("That workbook holds what no workbook needs. Send the sheet as CSV.")


def rows_of(file: IO[bytes], kind: Kind) -> Iterator[tuple[int, Row]]:
    """Every row that is not empty, with its number in the file, from 1. Raises Unreadable."""
    numbered = _xlsx_rows(file) if kind.name == XLSX else _csv_rows(file, kind)
    for number, row in numbered:
        if number > MOST_ROWS:
            raise Unreadable(
                f"There are more than {MOST_ROWS:,} rows. Split the file and send the parts."
            )
        if isinstance(row, BadRow) or any(cell != "" for cell in row):
            yield number, row


def _csv_rows(file: IO[bytes], kind: Kind) -> Iterator[tuple[int, Row]]:
    file.seek(0)
    text = io.TextIOWrapper(file, kind.encoding, errors="replace", newline="")
    try:
        for number, record in _records(_lines(text), kind.separator):
            yield number, record if isinstance(record, BadRow) else _checked(record)
    finally:
        text.detach()


def _lines(text: io.TextIOWrapper) -> Iterator[str]:
    """Lines of bounded length: a file without line ends must not be held in memory at once."""
    while line := text.readline(LONGEST_LINE):
        yield line


def _records(lines: Iterator[str], separator: str) -> Iterator[tuple[int, list[str] | BadRow]]:
    """Lines joined where a quoted cell goes on below, each with the number of its first line.

    An open quotation mark must not swallow the rows below it, so it may go on for
    MOST_LINES only; then its line alone is bad, and reading goes on with the next.
    """
    waiting: deque[str] = deque()
    number = 0
    while True:
        line = waiting.popleft() if waiting else next(lines, "")
        if not line:
            return
        number += 1
        if '"' not in line:
            yield number, _split(line, separator) or []
            continue
        joined, more = line, 0
        while joined.count('"') % 2 and more < MOST_LINES:
            while len(waiting) <= more and (following := next(lines, "")):
                waiting.append(following)
            if len(waiting) <= more:
                break
            joined += waiting[more]
            more += 1
        whole = _split(joined, separator)
        if whole is None:
            # A quotation mark inside a word opens nothing.
            alone = _split(line, separator)
            yield (
                number,
                BadRow("A quotation mark is open or stands in the wrong place.")
                if (alone is None)
                else alone,
            )
            continue
        yield number, whole
        for _ in range(more):
            waiting.popleft()
        number += more


def _split(record: str, separator: str) -> list[str] | None:
    """The cells of one record, or None if its quotation marks do not close."""
    try:
        rows = list(csv.reader((record,), delimiter=separator, strict=True))
    except csv.Error:
        return None
    return rows[0] if rows else []


def _checked(cells: list[str]) -> Row:
    if len(cells) > MOST_COLUMNS:
        return BadRow(f"There are more than {MOST_COLUMNS} cells.")
    if any(len(cell) > LONGEST_CELL for cell in cells):
        return BadRow(f"A cell is longer than {LONGEST_CELL:,} letters.")
    return [cell.strip() for cell in cells]


def _xlsx_rows(file: IO[bytes]) -> Iterator[tuple[int, Row]]:
    """Rows of the first sheet that has any. Formulas by the value that was kept of them."""
    import warnings

    from openpyxl import load_workbook

    check_workbook(file)
    file.seek(0)
    damaged = "That workbook is damaged. Save it again and send that."
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # Of styles and extensions that no number needs.
        try:
            book = load_workbook(file, read_only=True, data_only=True, keep_links=False)
            try:
                for sheet in book.worksheets:
                    rows = sheet.iter_rows(max_col=MOST_COLUMNS, values_only=True)
                    first = next(rows, None)
                    if first is None:
                        continue
                    for number, row in enumerate(chain([first], rows), 1):
                        yield number, _plain(row)
                    return
            finally:
                book.close()
        except Unreadable:
            raise
        except Exception as error:
            # openpyxl raises whatever a broken part makes Python raise.
            raise Unreadable(damaged) from error


def _plain(row: tuple[Any, ...]) -> Row:
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
                return BadRow(f"A cell is longer than {LONGEST_CELL:,} letters.")
            cells.append(text)
    while cells and cells[-1] == "":
        cells.pop()
    return cells


@contextmanager
def closing_rows(rows: Iterator[tuple[int, Row]]) -> Iterator[Iterator[tuple[int, Row]]]:
    """Close the reader of rows whatever happens, so that the file under it may be closed."""
    try:
        yield rows
    finally:
        close = getattr(rows, "close", None)
        if close is not None:
            close()
