"""A file as rows of cells: what it is by its content, and row after row of it.

Nothing here trusts a name, an ending or a declared type. A workbook and JSON are opened in the
jail, and only plain cells come out of it.
"""

import codecs
import csv
import io
import json
import shutil
import tempfile
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import islice, zip_longest
from typing import IO, Any

from practice.importing.cells import LONGEST_CELL, MOST_COLUMNS, Cell
from practice.importing.names import known_in
from practice.importing.records import Unreadable
from shared.site import jail

MOST_ROWS = 200_000
LONGEST_LINE = LONGEST_CELL * MOST_COLUMNS
MOST_LINES = 20
# So many names of figures below each other, and the table goes across.
TURNED_BY = 3

MOST_BALLS_ACROSS = 2_000
# What is opened as a whole is opened in the jail; a table of text is read a line at a time.
WORKBOOK, RECORDS = "practice.importing.workbook", "practice.importing.records"

CSV, XLSX, JSON = "csv", "xlsx", "json"
SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "upright stroke"}
ENCODINGS = {
    "utf-8-sig": "UTF-8",
    "utf-16": "UTF-16",
    "utf-16-le": "UTF-16",
    "utf-16-be": "UTF-16",
    "cp1252": "Western European",
    "latin-1": "Western European",
}


@dataclass(frozen=True, slots=True)
class Kind:
    """What a file is: CSV with its encoding and separator, XLSX, or JSON.

    `is_turned`: each column is a ball and each row a figure, so that the table is turned over.
    """

    name: str
    encoding: str = ""
    separator: str = ""
    is_turned: bool = False

    @property
    def words(self) -> str:
        turned = ", one column a ball" if self.is_turned else ""
        if self.name == XLSX:
            return f"a workbook (XLSX), first sheet with rows{turned}"
        if self.name == JSON:
            return f"a list of records (JSON){turned}"
        between = SEPARATORS[self.separator]
        return f"a table (CSV): {ENCODINGS[self.encoding]}, {between} between{turned}"


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
    kind = _written_as(file)
    return replace(kind, is_turned=True) if _goes_across(file, kind) else kind


def _goes_across(file: IO[bytes], kind: Kind) -> bool:
    """Whether the first column names the figures, and the first rows do not."""
    if kind.name == JSON:
        return False
    rows = _some(file, kind)
    down = len(known_in([row[0] for row in rows if row]))
    across = (len(known_in(row)) for row in rows[:15])
    return down >= TURNED_BY and down > max(across, default=0)


def _some(file: IO[bytes], kind: Kind) -> list[list[Cell]]:
    wide = _csv_rows(file, kind, MOST_BALLS_ACROSS) if kind.name == CSV else None
    with closing_rows(wide or _numbered(file, kind, 60)) as rows:
        return [row for _, row in islice(rows, 60) if not isinstance(row, BadRow)]


def _written_as(file: IO[bytes]) -> Kind:
    file.seek(0)
    start = file.read(65_536)
    if not start.strip():
        raise Unreadable("That file is empty.")
    for magic, sentence in _OTHERS:
        if start.startswith(magic):
            raise Unreadable(sentence)
    if start.startswith(b"PK"):
        _check(file, WORKBOOK)
        return Kind(XLSX)
    encoding = _encoding(file, start)
    text = start.decode(encoding, errors="ignore")
    if text.lstrip("\ufeff \r\n\t")[:1] in {"[", "{"}:
        _check(file, RECORDS, encoding=encoding)
        return Kind(JSON, encoding)
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


def rows_of(file: IO[bytes], kind: Kind, most: int = MOST_ROWS + 1) -> Iterator[tuple[int, Row]]:
    """Every row that is not empty, with its number in the file, from 1. Raises Unreadable.

    Of a workbook no more than the first `most` are opened.
    """
    for number, row in _numbered(file, kind, most):
        if number > MOST_ROWS:
            raise Unreadable(
                f"There are more than {MOST_ROWS:,} rows. Split the file and send the parts."
            )
        if isinstance(row, BadRow) or any(row) or any(cell != "" for cell in row):
            yield number, row


def _numbered(file: IO[bytes], kind: Kind, most: int) -> Iterator[tuple[int, Row]]:
    if kind.is_turned:
        upright = replace(kind, is_turned=False)
        across = (
            _csv_rows(file, kind, MOST_BALLS_ACROSS)
            if kind.name == CSV
            else _numbered(file, upright, MOST_COLUMNS)
        )
        with closing_rows(across) as rows:
            found = [row for _, row in islice(rows, MOST_COLUMNS) if not isinstance(row, BadRow)]
        yield from enumerate(([*ball] for ball in zip_longest(*found, fillvalue="")), 1)
    elif kind.name == XLSX:
        yield from _opened_rows(file, WORKBOOK, {"most": most})
    elif kind.name == JSON:
        yield from _opened_rows(file, RECORDS, {"most": most, "encoding": kind.encoding})
    else:
        yield from _csv_rows(file, kind)


def _csv_rows(
    file: IO[bytes], kind: Kind, most_cells: int = MOST_COLUMNS
) -> Iterator[tuple[int, Row]]:
    file.seek(0)
    text = io.TextIOWrapper(file, kind.encoding, errors="replace", newline="")
    try:
        for number, record in _records(_lines(text), kind.separator):
            yield number, record if isinstance(record, BadRow) else _checked(record, most_cells)
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
            # Without a quotation mark nothing but the separator parts cells.
            cells = line.rstrip("\r\n")
            yield number, cells.split(separator) if cells else []
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


def _checked(cells: list[str], most_cells: int) -> Row:
    if len(cells) > most_cells:
        return BadRow(f"There are more than {most_cells:,} cells.")
    if max(map(len, cells), default=0) > LONGEST_CELL:
        return BadRow(f"A cell is longer than {LONGEST_CELL:,} letters.")
    return [*map(str.strip, cells)]


def _opened_rows(file: IO[bytes], module: str, asked: dict[str, Any]) -> Iterator[tuple[int, Row]]:
    """Rows as the jail has read them: of a workbook the first sheet that has any."""
    with _real(file) as real:
        for line in _jailed(real, module, asked):
            number, cells = json.loads(line)
            yield (
                number,
                BadRow(cells) if isinstance(cells, str) else [_back(cell) for cell in cells],
            )


def _check(file: IO[bytes], module: str, **asked: Any) -> None:
    """Whether the jail can read it. Raises Unreadable."""
    for _ in _opened_rows(file, module, {"most": 0} | asked):
        pass


def _jailed(real: IO[bytes], module: str, asked: dict[str, Any]) -> Iterator[bytes]:
    try:
        with jail.run(module, real, asked) as told:
            yield from told
    except jail.TooMuch:
        raise Unreadable(
            "That file unpacks to more than can be taken. Send the table as CSV."
        ) from None
    except jail.NotTaken as refusal:
        raise Unreadable(str(refusal)) from None


@contextmanager
def _real(file: IO[bytes]) -> Iterator[IO[bytes]]:
    """A file that another process can read; an upload may lie in memory."""
    with tempfile.TemporaryFile() as copy:
        file.seek(0)
        shutil.copyfileobj(file, copy)
        copy.flush()
        yield copy


def _back(cell: Any) -> Cell:
    """As it was before it went through JSON: a moment comes in a list of its own."""
    return datetime.fromisoformat(cell[0]) if isinstance(cell, list) else cell


@contextmanager
def closing_rows(rows: Iterator[tuple[int, Row]]) -> Iterator[Iterator[tuple[int, Row]]]:
    """Close the reader of rows whatever happens, so that the file under it may be closed."""
    try:
        yield rows
    finally:
        close = getattr(rows, "close", None)
        if close is not None:
            close()
