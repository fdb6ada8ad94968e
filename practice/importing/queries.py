"""What the pages of a file show, as plain values."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from practice.importing import columns, days, lengths
from practice.importing.cells import MOST_COLUMNS, Bad, Cell, is_ditto, text_of
from practice.importing.columns import FIELDS, UNITS, Plan
from practice.importing.days import DateOrder
from practice.importing.models import ShotFile
from practice.importing.preamble import words_said
from practice.importing.reading import FileKind
from practice.importing.rows import FILLED_DOWN, RowReader, turned
from practice.importing.services import opened, ordered, sample
from practice.shots.from_log import clubs_known
from shared.kit.text import MONTHS, plain
from shared.people.models import Student, User
from shared.people.today import today_of

LATELY, PREVIEW_ROWS, SHOWN, MOST_NAMES = 30, 20, 60, 30
State = ShotFile.State


def files_of(student: Student) -> QuerySet[ShotFile]:
    return (
        ShotFile.objects.filter(student=student)
        .select_related("sent_by")
        .order_by("-sent_at")[:LATELY]
    )


@dataclass(frozen=True, slots=True)
class ColumnChoice:
    """One column of the file as the page asks about it."""

    index: int
    header: str
    samples: tuple[str, ...]
    field: str
    measure: str
    unit: str
    is_unit_named: bool
    # Whether cells are empty of which that may mean *as above*, and whether it does.
    may_be_down: bool
    is_down: bool
    is_left_plus: bool

    @property
    def units(self) -> list[tuple[str, str]]:
        return [(name, unit.sign) for name, unit in UNITS.get(self.measure, {}).items()]


@dataclass(frozen=True, slots=True)
class PreviewCell:
    text: str
    reason: str
    # What comes out of it, in the reader's unit; empty where the cell says it already.
    out: str = ""


@dataclass(frozen=True, slots=True)
class FileClubRow:
    """A name of a club in the file, and the student's club that it is; empty: a new one."""

    name: str
    known: str


@dataclass(frozen=True, slots=True)
class LengthRow:
    """A word of the file for a length of swing that is not ours, and what the reader made of it."""

    name: str
    said: str


@dataclass(frozen=True, slots=True)
class PreviewRow:
    number: int
    cells: tuple[PreviewCell, ...]
    reason: str
    is_taken: bool


@dataclass(frozen=True, slots=True)
class Preview:
    """The first rows of a file, read by a plan."""

    kind: str
    columns: tuple[ColumnChoice, ...]
    rows: tuple[PreviewRow, ...]
    is_order_sure: bool
    order: DateOrder
    # Of days that say none: as it was said, or the likely one.
    year: int | None
    # A day that may be two, and each of them; empty where nothing is to be asked.
    asked_day: str = ""
    asked_orders: tuple[tuple[DateOrder, str], ...] = ()
    # What the column of players says; and each club as it will be called, with whether it is new.
    players: tuple[str, ...] = ()
    clubs: tuple[FileClubRow, ...] = ()
    lengths: tuple[LengthRow, ...] = ()
    lacks_year: bool = False
    # Whom the words above the table name, where that is not the student.
    names_another: str = ""

    @property
    def taken(self) -> int:
        return sum(row.is_taken for row in self.rows)

    @property
    def named(self) -> set[str]:
        return {column.field for column in self.columns if column.field}

    @property
    def mapped(self) -> list[ColumnChoice]:
        return [column for column in self.columns if column.field]


def preview(file: ShotFile, plan: Plan, by: User) -> Preview:
    """The first twenty rows, with every bad cell and its reason, in this reader's units.

    Raises Unreadable.
    """
    kind = FileKind(**file.kind)
    # The first rows of a table are in its first piece; a workbook is packed as a whole.
    with opened(
        file,
        pieces=2 if kind.is_line_by_line else None,
    ) as content:
        rows = sample(content, kind)
    head = file.header_row or 0
    below = [(number, row) for number, row in rows if number > head]
    units_row: Sequence[Cell] = ()
    if file.has_units_row and below:
        units_row, below = below[0][1], below[1:]
    day = plan.index_of("day")
    day_cells = [row[day] for _, row in below if day is not None and day < len(row)]
    day_cells = [each for each in day_cells if text_of(each)]
    if plan.asks_order:
        plan = ordered(plan, file.header, [row for _, row in below])
    asked_day, asked_orders = _asked(day_cells, plan)
    today = today_of(file.student)
    if plan.year is None and not asked_day:  # The likely year is another in each order.
        plan = replace(plan, year=days.likely_year(day_cells, plan.order, today))
    reader = RowReader(plan, today, ZoneInfo(file.student.time_zone))
    width = max([len(file.header), *(len(row) for _, row in below)], default=0)
    choices = tuple(
        _choice(index, file.header, units_row, below, plan)
        for index in range(min(width, MOST_COLUMNS))
    )
    mapped = [choice.index for choice in choices if choice.field]
    shown = _Shown(by, choices)
    players = _said(plan.index_of("player"), below)
    return Preview(
        kind.words,
        choices,
        tuple(_rows(below, reader, mapped, shown)),
        days.is_order_sure(day_cells, plan.order),
        plan.order,
        plan.year,
        asked_day,
        asked_orders,
        players,
        tuple(_clubs(file.student, _said(plan.index_of("club"), below))),
        tuple(_lengths(plan, _said(plan.index_of("length"), below))),
        days.lacks_year(day_cells, plan.order),
        _another([row for number, row in rows if number < head], file.student),
    )


def _asked(cells: Sequence[Cell], plan: Plan) -> tuple[str, tuple[tuple[DateOrder, str], ...]]:
    """The first day that is another one in each order, with both; else how each is written."""
    if not plan.asks_order:
        return "", ()
    for cell in cells:
        text = text_of(cell)
        if both := days.both_days(cell, plan.year or days.ANY_YEAR):
            said = (f"{day.day} {MONTHS[day.month - 1]}" for day in both)
            alone = text.split()[0]  # Without its time.
            text = alone if days.both_days(alone, plan.year or days.ANY_YEAR) else text
            return text, tuple(zip((DateOrder.DMY, DateOrder.MDY), said, strict=True))
    return text_of(cells[0]), ORDERS[1:]


def _another(above: Sequence[Sequence[Cell]], student: Student) -> str:
    """The player that is named above the table, unless each of his names is the student's."""
    said = words_said(above, ("player",)).get("player", "")
    names, own = {*plain(said).split()}, {*plain(student.name).split()}
    return "" if names <= own or own <= names else said


def _said(index: int | None, rows: list[tuple[int, list[Cell]]]) -> tuple[str, ...]:
    """What the cells of one column say, each once, in their order."""
    if index is None:
        return ()
    texts = (text_of(row[index])[:SHOWN] for _, row in rows if index < len(row))
    return tuple(dict.fromkeys(text for text in texts if text and not is_ditto(text)))[:MOST_NAMES]


def _lengths(plan: Plan, names: Iterable[str]) -> Iterator[LengthRow]:
    for name in names:
        try:
            lengths.length(name)
        except Bad:
            yield LengthRow(name, plan.lengths.get(lengths.key_of(name), ""))


def _clubs(student: Student, names: Iterable[str]) -> Iterator[FileClubRow]:
    known = clubs_known(names, student)
    for name in names:
        yield FileClubRow(name, known[name].name if name in known else "")


class _Shown:
    """How a value in SI is written for this reader."""

    def __init__(self, by: User, choices: Sequence[ColumnChoice]) -> None:
        usual = {"distance": by.distance_unit, "speed": by.speed_unit}
        self.units = {
            each.index: UNITS[each.measure][usual[each.measure]]
            for each in choices
            if each.measure and each.unit != usual[each.measure]
        }

    def words(self, index: int, value: object, text: str) -> str:
        if isinstance(value, date):
            if value.isoformat() in text:
                return ""
            return f"{value.day} {MONTHS[value.month - 1]} {value.year}"
        unit = self.units.get(index)
        if unit is None or not isinstance(value, float):
            return ""
        return f"{unit.from_si(value):.1f} {unit.sign}"


def _choice(
    index: int,
    header: Sequence[str],
    units_row: Sequence[Cell],
    below: list[tuple[int, list[Cell]]],
    plan: Plan,
) -> ColumnChoice:
    name = header[index] if index < len(header) else ""
    chosen = plan.columns.get(index)
    measure = FIELDS[chosen.field].measure if chosen else ""
    under: Cell = units_row[index] if index < len(units_row) else ""
    raw = [row[index] for _, row in below if index < len(row)]
    cells = [*map(text_of, raw)]
    return ColumnChoice(
        index,
        name or f"Column {index + 1}",
        tuple(dict.fromkeys(cell[:24] for cell in cells if cell))[:3],
        chosen.field if chosen else "",
        measure,
        chosen.unit if chosen else "",
        bool(measure) and columns.names_unit(name, under, raw, measure),
        chosen is not None and chosen.field in FILLED_DOWN and "" in cells and any(cells),
        chosen is not None and chosen.is_down,
        chosen is not None and chosen.is_left_plus,
    )


def _rows(
    below: list[tuple[int, list[Cell]]], reader: RowReader, mapped: list[int], shown: _Shown
) -> Iterator[PreviewRow]:
    """The first rows as they will be read, with the others: a mean is known by what it is of."""
    found = reader.read_all(turned([row for _, row in below]), len(below))
    for at, (number, row) in enumerate(below[:PREVIEW_ROWS]):
        faults = found.faults.get(at, [])
        by_column = {each.column: each.reason for each in faults if each.column is not None}
        cells = tuple(
            PreviewCell(
                text_of(row[index])[:SHOWN] if index < len(row) else "",
                by_column.get(index, ""),
                shown.words(
                    index,
                    found.of(reader.plan.columns[index].field)[at],
                    text_of(row[index]) if index < len(row) else "",
                ),
            )
            for index in mapped
        )
        other = " ".join(f.reason for f in faults if f.column is None or f.column not in mapped)
        yield PreviewRow(number, cells, other, not faults)


ORDERS = (
    (DateOrder.YMD, "year, month, day: 2026-02-25"),
    (DateOrder.DMY, "day, month, year: 25.02.2026"),
    (DateOrder.MDY, "month, day, year: 02/25/2026"),
)

SWINGS = (("hip", "hip"), ("chest", "chest"), ("full", "full"))
