"""A file as rows of cells: what it is by its content, and row after row of it.

Nothing here trusts a name, an ending or a declared type. A workbook and JSON are opened in the
jail, and only plain cells come out of it.
"""

import codecs
import csv
import io
import json
import re
import shutil
import tempfile
from collections import deque
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import compress, islice, repeat, zip_longest
from operator import contains
from typing import IO, Any, TypeVar

from practice.importing import by_club, counted, notes, spaced
from practice.importing.cells import LONGEST_CELL, MOST_COLUMNS, Cell, text_of
from practice.importing.names import known_in
from practice.importing.records import Unreadable
from shared.site import jail

MOST_ROWS = 200_000
LONGEST_LINE = LONGEST_CELL * MOST_COLUMNS
MOST_LINES = 20
SOME_ROWS = 64
LONGEST_BLOCK = 2_000_000
# So many names of figures below each other, and the table goes across.
TURNED_BY = 3

MOST_BALLS_ACROSS = 2_000
# What is opened as a whole is opened in the jail; a table of text is read a line at a time.
WORKBOOK, RECORDS = "practice.importing.workbook", "practice.importing.records"

Some = TypeVar("Some")

CSV, XLSX, JSON = "csv", "xlsx", "json"
SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "upright stroke"}
MOST_IN_MAIL = 5_000
ENCODINGS = {
    "utf-8-sig": "UTF-8",
    "utf-16": "UTF-16",
    "utf-16-le": "UTF-16",
    "utf-16-be": "UTF-16",
    "cp1252": "Western European",
    "latin-1": "Western European",
    "cp1250": "Central European",
    "cp932": "Japanese",
}
# A mail or a chat may begin with a bracket too.
_JSON = re.compile(r"\[\s*[\[{\]]|\{")
CENTRAL, JAPANESE, _SYLLABLES = "cp1250", "cp932", 5


@dataclass(frozen=True, slots=True)
class FileKind:
    """What a file is: CSV with its encoding and separator, XLSX, or JSON.

    `is_turned`: each column is a ball and each row a figure, so that the table is turned over.
    `is_by_club`: each column is then a club, with its balls below each other.
    `is_counted`: each row is a club, an effort and so on, with its balls beside each other.
    `is_notes`: balls noted a line each, without names of columns.
    `is_in_mail`: lines may be quoted, and cells parted by spaces alone.
    """

    name: str
    encoding: str = ""
    separator: str = ""
    is_turned: bool = False
    is_by_club: bool = False
    is_in_mail: bool = False
    is_counted: bool = False
    is_notes: bool = False

    @property
    def is_line_by_line(self) -> bool:
        """Whether each line of it is a row as it stands."""
        are_whole = (
            self.is_turned,
            self.is_by_club,
            self.is_in_mail,
            self.is_counted,
            self.is_notes,
        )
        return self.name == CSV and not any(are_whole)

    @property
    def words(self) -> str:
        turned = ", one column a ball" if self.is_turned else ""
        if self.is_by_club:
            turned = ", one row a club" if self.is_turned else ", one column a club"
        if self.is_counted:
            turned = ", several balls a row"
        if self.is_notes:
            return f"a note, a ball a line: {ENCODINGS[self.encoding]}"
        if self.name == XLSX:
            return f"a workbook (XLSX), first sheet with a table{turned}"
        if self.name == JSON:
            return f"a list of records (JSON){turned}"
        between = SEPARATORS.get(self.separator, "spaces")
        return f"a table (CSV): {ENCODINGS[self.encoding]}, {between} between{turned}"


@dataclass(frozen=True, slots=True)
class BadRow:
    """A row that could not even be split into cells."""

    reason: str


Row = list[Cell] | BadRow


@dataclass(frozen=True, slots=True)
class RowBlock:
    """Rows that follow one another, none of them empty, with their numbers in the file, from 1."""

    numbers: Sequence[int]
    rows: Sequence[Row]


_OTHERS = (
    (b"\xd0\xcf\x11\xe0", "That is an old workbook (XLS). Save it as XLSX or CSV and send that."),
    (b"%PDF", "That is a PDF. Send the table itself, as CSV or XLSX."),
    (b"\x89PNG", "That is a picture. Send the table itself, as CSV or XLSX."),
    (b"\xff\xd8\xff", "That is a picture. Send the table itself, as CSV or XLSX."),
    (b"\x1f\x8b", "That is a packed file. Unpack it and send the table itself."),
)


def kind_of(file: IO[bytes]) -> FileKind:
    """What a file is, by its content. Raises Unreadable."""
    kind = _written_as(file)
    if kind.name == JSON or kind.is_notes:
        return kind
    rows = _some(file, kind)
    if by_club.head_of(rows) is not None:
        return replace(kind, is_by_club=True)
    if (
        _numbers_its_columns(rows)
        and by_club.head_of([*zip_longest(*rows, fillvalue="")]) is not None
    ):
        return replace(kind, is_turned=True, is_by_club=True)
    if _goes_across(rows):
        return replace(kind, is_turned=True)
    return replace(kind, is_counted=True) if counted.head_of(rows) is not None else kind


def _numbers_its_columns(rows: Sequence[Sequence[Cell]]) -> bool:
    """Whether a heading only counts: 1, 2, 3 or Ball 1, Ball 2, Ball 3."""
    for row in rows[:15]:
        counted = [
            re.sub(r"\d", "", text) for cell in row if re.search(r"\d$", text := text_of(cell))
        ]
        if len(counted) >= TURNED_BY and len({*counted}) == 1 and 2 * len(counted) > len(row):
            return True
    return False


def _goes_across(rows: Sequence[Sequence[Cell]]) -> bool:
    """Whether the first column names the figures, and the first rows do not."""
    down = len(known_in([row[0] for row in rows if row]))
    # Shot 1, Shot 2, Shot 3 name one thing.
    across = (len(known_in([_uncounted(cell) for cell in row])) for row in rows[:15])
    return down >= TURNED_BY and down > max(across, default=0)


def _uncounted(cell: Cell) -> Cell:
    return re.sub(r"\s*\d+$", "", cell) if isinstance(cell, str) else cell


def _some(file: IO[bytes], kind: FileKind) -> list[list[Cell]]:
    is_lines = kind.name == CSV and not kind.is_in_mail
    wide = _csv_rows(file, kind, MOST_BALLS_ACROSS) if is_lines else None
    with closing_rows(wide or _numbered(file, kind, 60)) as rows:
        return [row for _, row in islice(rows, 60) if not isinstance(row, BadRow)]


def _written_as(file: IO[bytes]) -> FileKind:
    file.seek(0)
    start = file.read(65_536)
    if not start.strip():
        raise Unreadable("That file is empty.")
    for magic, sentence in _OTHERS:
        if start.startswith(magic):
            raise Unreadable(sentence)
    if start.startswith(b"PK"):  # Whether it is a workbook is found out with its first rows.
        return FileKind(XLSX)
    encoding = _encoding(file, start)
    text = start.decode(encoding, errors="ignore")
    if _JSON.match(text.lstrip("\ufeff \r\n\t")):
        _check(file, RECORDS, encoding=encoding)
        return FileKind(JSON, encoding)
    return _text_kind(text, encoding)


def _text_kind(text: str, encoding: str) -> FileKind:
    """A table with a sign between its cells, or one in a mail: quoted, or parted by spaces."""
    lines = text.splitlines()[:400]
    if notes.are_notes(lines):
        return FileKind(CSV, encoding, spaced.SPACES, is_notes=True)
    is_quoted = spaced.is_quoted(lines)
    if is_quoted:
        text = "\n".join(map(spaced.unquoted, lines))
    separator = _separator(text)
    rows = [line for line in text.splitlines() if line.count(separator) > 1]
    if spaced.lines_of_table(lines) > len(rows):
        return FileKind(CSV, encoding, spaced.SPACES, is_in_mail=True)
    return FileKind(CSV, encoding, separator, is_in_mail=is_quoted)


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
        return JAPANESE if _is_japanese(start) else _european(file, start)
    return "utf-8-sig"


def _is_japanese(start: bytes) -> bool:
    """Whether it reads as Japanese with several of its syllables, which no other letters give."""
    text = start.decode(JAPANESE, errors="ignore")
    return sum("\u3041" <= sign <= "\u30ff" for sign in text) > _SYLLABLES and "\ufffd" not in text


# The letters beside a to z of one language each, by what they are kept in (Unicode CLDR's
# exemplar characters, from memory): a text in the wrong one has letters of no language together.
_WESTERN_LETTERS = (
    "äöüß", "àâçéèêëîïôœùûüÿ", "áéíñóúü", "àèéìíòóùú", "àáâãçéêíóôõúü", "áàéèëïíóöúü",
    "åäöéü", "æøåéäöü", "áæðéíóöúýþ", "àçèéíïòóúü", "äöüõšž",
)  # fmt: skip
_CENTRAL_LETTERS = (
    "ąćęłńóśźż", "áčďéěíňóřšťúůýž", "áäčďéíĺľňóôŕšťúýž", "áéíóöőúüű", "čćđšž", "ăâîșțşţ",
)  # fmt: skip


def _european(file: IO[bytes], start: bytes) -> str:
    """The one in which the letters are of one language; else the one in which most names of
    columns are known; Western where it is even."""
    western = _western(file)
    of_one = [
        encoding
        for encoding, alphabets in ((western, _WESTERN_LETTERS), (CENTRAL, _CENTRAL_LETTERS))
        if _are_of_one(start.decode(encoding, errors="ignore"), alphabets)
    ]
    if len(of_one) == 1:
        return of_one[0]

    def known(encoding: str) -> int:
        lines = start.decode(encoding, errors="ignore").splitlines()[:15]
        return sum(len(known_in(re.split(r"[,;|\t]", line))) for line in lines)

    return max(western, CENTRAL, key=known)


def _are_of_one(text: str, alphabets: Sequence[str]) -> bool:
    """Whether one alphabet has all letters, no sign such as ¹ stands within a word, and behind œ
    comes a u: cœur, and no œr, which is śr."""
    if re.search(r"œ(?!u)|[a-z][¹²³¿¾¼½¸¶¥£¯]|[¹³¿¾¼½¸¶¥£¯][a-z]", text, re.IGNORECASE):
        return False
    letters = {sign for sign in text.lower() if sign.isalpha() and not sign.isascii()} - {"ª", "º"}
    return any(letters <= {*alphabet} for alphabet in alphabets)


def _western(file: IO[bytes]) -> str:
    """Windows' letters if all are defined there, else Latin-1, which has a letter for each byte."""
    file.seek(0)
    undefined = b"\x81\x8d\x8f\x90\x9d"
    while piece := file.read(1 << 20):
        if piece.translate(None, undefined) != piece:
            return "latin-1"
    return "cp1252"


def _separator(text: str) -> str:
    """The sign that splits the first lines into most cells, as many in each.

    A tab parts cells wherever most lines have one: nobody writes it inside a cell.
    """
    lines = text.splitlines()[:60]
    lines = lines[:-1] if len(lines) > 2 else lines
    if 2 * sum("\t" in line for line in lines) > len(lines):
        return "\t"

    def score(separator: str) -> tuple[int, int]:
        with suppress(csv.Error):
            widths = [len(row) for row in csv.reader(lines, delimiter=separator) if row]
            if widths:
                usual = max(set(widths), key=lambda width: (widths.count(width), width))
                return (widths.count(usual) if usual > 1 else 0, usual)
        return (0, 0)

    best = max(SEPARATORS, key=lambda each: (score(each)[0] > 0, *score(each)))
    return best if score(best)[0] else ","


def rows_of(
    file: IO[bytes], kind: FileKind, most: int = MOST_ROWS + 1
) -> Iterator[tuple[int, Row]]:
    """Every row that is not empty, with its number in the file, from 1. Raises Unreadable.

    Of a workbook no more than the first `most` are opened.
    """
    for number, row in _numbered(file, kind, most):
        _refuse_too_many(number)
        if isinstance(row, BadRow) or any(row) or any(cell != "" for cell in row):
            yield number, row


def _refuse_too_many(number: int) -> None:
    if number > MOST_ROWS:
        raise Unreadable(
            f"There are more than {MOST_ROWS:,} rows. Split the file and send the parts."
        )


def _numbered(file: IO[bytes], kind: FileKind, most: int) -> Iterator[tuple[int, Row]]:
    if kind.is_counted:
        with closing_rows(_numbered(file, replace(kind, is_counted=False), most)) as numbered:
            lines = (row for _, row in numbered if not isinstance(row, BadRow))
            yield from enumerate(counted.balls(lines), 1)
    elif kind.is_by_club:
        with closing_rows(_numbered(file, replace(kind, is_by_club=False), most)) as numbered:
            lines = (row for _, row in numbered if not isinstance(row, BadRow))
            yield from enumerate(by_club.balls(lines), 1)
    elif kind.is_turned:
        upright = replace(kind, is_turned=False)
        across = (
            _csv_rows(file, kind, MOST_BALLS_ACROSS)
            if kind.name == CSV and not kind.is_in_mail
            else _numbered(file, upright, MOST_COLUMNS)
        )
        with closing_rows(across) as rows:
            found = [row for _, row in islice(rows, MOST_COLUMNS) if not isinstance(row, BadRow)]
        yield from enumerate(([*ball] for ball in zip_longest(*found, fillvalue="")), 1)
    elif kind.is_notes:
        yield from enumerate(notes.rows_of(_lines_of(file, kind)), 1)
    elif kind.is_in_mail:
        yield from _in_mail(file, kind)
    elif kind.name == XLSX:
        yield from _opened_rows(file, WORKBOOK, {"most": most})
    elif kind.name == JSON:
        yield from _opened_rows(file, RECORDS, {"most": most, "encoding": kind.encoding})
    else:
        yield from _csv_rows(file, kind)


def _lines_of(file: IO[bytes], kind: FileKind) -> list[str]:
    """All lines of what is read as a whole."""
    file.seek(0)
    text = io.TextIOWrapper(file, kind.encoding, errors="replace")
    try:
        lines = [*islice(iter(lambda: text.readline(LONGEST_LINE), ""), MOST_IN_MAIL + 1)]
    finally:
        text.detach()
    if len(lines) > MOST_IN_MAIL:
        raise Unreadable("A mail may have 5,000 lines. Send the table as CSV or XLSX.")
    return lines


def _in_mail(file: IO[bytes], kind: FileKind) -> Iterator[tuple[int, Row]]:
    lines = _lines_of(file, kind)
    for number, row in spaced.table_of(lines, kind.separator):
        if row is None:
            yield number + 1, BadRow("The cells of this line cannot be told apart.")
        else:
            yield number + 1, _checked_row([*map(str.strip, row)], MOST_COLUMNS)


def blocks_of(file: IO[bytes], kind: FileKind, size: int, first: int = 1) -> Iterator[RowBlock]:
    """The rows of `rows_of` from the one numbered `first` on, so many at a time.

    The cells of a table of text are as they stand in it, with the spaces around them.
    Raises Unreadable.
    """
    if not kind.is_line_by_line:
        yield from _gathered(rows_of(file, kind), size, first)
        return
    for block in _csv_blocks(file, kind, size, first=first):
        _refuse_too_many(block.numbers[-1])
        yield block


def _gathered(rows: Iterator[tuple[int, Row]], size: int, first: int) -> Iterator[RowBlock]:
    with closing_rows(rows):
        below = (numbered for numbered in rows if numbered[0] >= first)
        while some := [*islice(below, size)]:
            numbers, cells = zip(*some, strict=True)
            yield RowBlock(numbers, cells)


def _csv_rows(
    file: IO[bytes], kind: FileKind, most_cells: int = MOST_COLUMNS
) -> Iterator[tuple[int, Row]]:
    with closing_rows(_csv_blocks(file, kind, SOME_ROWS, most_cells)) as blocks:
        for block in blocks:
            for number, row in zip(block.numbers, block.rows, strict=True):
                yield number, row if isinstance(row, BadRow) else [*map(stripped, row)]


def stripped(cell: Cell) -> Cell:
    """Without the spaces around it."""
    return cell.strip() if isinstance(cell, str) else cell


def _csv_blocks(
    file: IO[bytes], kind: FileKind, size: int, most_cells: int = MOST_COLUMNS, first: int = 1
) -> Iterator[RowBlock]:
    """Rows that are not empty, so many lines at a time: those where each line is a row at once."""
    file.seek(0)
    text = io.TextIOWrapper(file, kind.encoding, errors="replace", newline="")
    lines = _Lines(text)
    try:
        while lines.taken + 1 < first and next(_records(lines, kind.separator), None):
            continue
        while some := lines.take(size):
            numbers: Sequence[int] = range(lines.taken - len(some) + 1, lines.taken + 1)
            rows: Sequence[Row] | None = _one_a_line(some, kind.separator)
            longest = max(map(len, some))
            if rows is None:
                lines.put_back(some)
                numbers, rows = zip(*islice(_records(lines, kind.separator), size), strict=True)
                longest *= MOST_LINES + 1
            yield from _full(numbers, _checked(rows, most_cells, longest))
    finally:
        text.detach()


def _full(numbers: Sequence[int], rows: Sequence[Row]) -> Iterator[RowBlock]:
    """Without the empty rows; nothing where all are."""
    is_full = [isinstance(row, BadRow) or any(map(str.strip, row)) for row in rows]  # type: ignore[arg-type]  # Text.
    if not all(is_full):
        numbers, rows = [*compress(numbers, is_full)], [*compress(rows, is_full)]
    if rows:
        yield RowBlock(numbers, rows)


class _Lines:
    """Lines of bounded length: a file without line ends must not be held in memory at once.

    `taken` counts them; some may be looked at before they are taken.
    """

    def __init__(self, text: io.TextIOWrapper) -> None:
        self.taken = 0
        self._coming = iter(lambda: text.readline(LONGEST_LINE), "")
        self._ahead: deque[str] = deque()

    def take(self, most: int) -> list[str]:
        """So many, or fewer where they are very long; none behind the last."""
        some = [self._ahead.popleft() for _ in range(min(most, len(self._ahead)))]
        room = LONGEST_BLOCK - sum(map(len, some))
        while room > 0 and (few := [*islice(self._coming, min(16, most - len(some)))]):
            some += few
            room -= sum(map(len, few))
        self.taken += len(some)
        return some

    def drop(self, many: int) -> None:
        """Take so many of those that were looked at."""
        for _ in range(many):
            self._ahead.popleft()
        self.taken += many

    def put_back(self, lines: Sequence[str]) -> None:
        self._ahead.extendleft(reversed(lines))
        self.taken -= len(lines)

    def ahead(self, place: int) -> str:
        """The line at this place of those to come, from 0; empty behind the last."""
        self._ahead.extend(islice(self._coming, max(0, place + 1 - len(self._ahead))))
        return self._ahead[place] if place < len(self._ahead) else ""


def _one_a_line(lines: Sequence[str], separator: str) -> list[Row] | None:
    """A row of each line, or None if quotation marks may let one go on in the next."""
    if not any(map(contains, lines, repeat('"'))):
        return [_cells(line, separator) for line in lines]
    if any(line.count('"') % 2 for line in lines):
        return None
    with suppress(csv.Error):
        rows: list[Any] = list(csv.reader(lines, delimiter=separator, strict=True))
        return rows if len(rows) == len(lines) else None
    return None


def _records(lines: _Lines, separator: str) -> Iterator[tuple[int, Row]]:
    """Lines joined where a quoted cell goes on below, each with the number of its first line.

    An open quotation mark must not swallow the rows below it, so it may go on for
    MOST_LINES only; then its line alone is bad, and reading goes on with the next.
    """
    while line := lines.ahead(0):
        joined, whole = line, 1
        while joined.count('"') % 2 and whole <= MOST_LINES and (following := lines.ahead(whole)):
            joined += following
            whole += 1
        cells = _split(joined, separator)
        if cells is None:
            # A quotation mark inside a word opens nothing.
            cells, whole = _split(line, separator), 1
        number = lines.taken + 1
        lines.drop(whole)
        if cells is None:
            yield number, BadRow("A quotation mark is open or stands in the wrong place.")
        else:
            yield number, cells


def _split(record: str, separator: str) -> list[Cell] | None:
    """The cells of one record, or None if its quotation marks do not close."""
    if '"' not in record:
        return _cells(record, separator)
    try:
        rows: list[Any] = list(csv.reader((record,), delimiter=separator, strict=True))
    except csv.Error:
        return None
    return rows[0] if rows else []


def _cells(line: str, separator: str) -> list[Cell]:
    """Without a quotation mark nothing but the separator parts cells."""
    text = line.rstrip("\r\n")
    return text.split(separator) if text else []  # type: ignore[return-value]  # Text is a cell.


def _checked(rows: Sequence[Row], most_cells: int, longest: int) -> Sequence[Row]:
    """With a reason in the place of each row that is too wide or has too long a cell.

    `longest`: no cell can be longer.
    """
    widest = max((len(row) for row in rows if not isinstance(row, BadRow)), default=0)
    if longest <= LONGEST_CELL and widest <= most_cells:
        return rows
    return [row if isinstance(row, BadRow) else _checked_row(row, most_cells) for row in rows]


def _checked_row(row: list[Cell], most_cells: int) -> Row:
    if len(row) > most_cells:
        return BadRow(f"There are more than {most_cells:,} cells.")
    if max((len(cell) for cell in row if isinstance(cell, str)), default=0) > LONGEST_CELL:
        return BadRow(f"A cell is longer than {LONGEST_CELL:,} letters.")
    return row


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
def closing_rows(rows: Iterator[Some]) -> Iterator[Iterator[Some]]:
    """Close the reader of rows whatever happens, so that the file under it may be closed."""
    try:
        yield rows
    finally:
        close = getattr(rows, "close", None)
        if close is not None:
            close()
