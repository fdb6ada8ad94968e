"""Taking a file, naming its columns, dropping it, and taking back what it brought."""

import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import asdict, replace
from datetime import date, timedelta
from typing import IO, Any

from django.db import transaction
from django.db.models import Exists, OuterRef
from django.utils import timezone

from practice.importing import columns, days, reading
from practice.importing.cells import Cell, text_of
from practice.importing.columns import Column, Plan
from practice.importing.models import KeptColumns, Piece, ShotFile
from practice.importing.preamble import day_said, roof_said, words_said
from practice.importing.reading import BadRow, FileKind
from practice.importing.recognise import guess_columns
from practice.importing.records import Unreadable
from practice.importing.rows import FILLED_DOWN
from practice.shots.models import Club, Shot, Sitting
from shared.kit.refused import Refused
from shared.people.access import Recordable, recordable
from shared.people.models import Student, User
from shared.people.today import today_of

State = ShotFile.State
PIECE = 512 * 1024
MOST_BYTES = 30 * 1024 * 1024
MOST_OPEN = 10
MOST_FILES = 500
UNNAMED_DAYS = 7
SAMPLE_ROWS = 60
MOST_REMEMBERED = 50
# The columns that a file of refused rows has besides its own.
REASON, ROW_NUMBER = "why it was refused", "row in the file"
# Of a workbook that is small packed and large unpacked, this much is kept in memory.
IN_MEMORY = 2 * 1024 * 1024


def take(
    *, student: Recordable, by: User, name: str, size: int, chunks: Iterable[bytes]
) -> ShotFile:
    """Keep a file and what is to be seen at once: what it is, its header, a first plan.

    Raises Refused, and then nothing is kept.
    """
    if size > MOST_BYTES:
        raise Refused(f"That file is too big to take. The limit is {MOST_BYTES >> 20} MB.")
    open_files = ShotFile.objects.filter(student=student).exclude(state__in=_ENDED)
    if open_files.count() >= MOST_OPEN:
        raise Refused("Ten files are waiting already. Finish or drop one of them first.")
    if ShotFile.objects.filter(student=student).count() >= MOST_FILES:
        raise Refused("There are 500 files of this student. Ask whoever runs the place.")
    with tempfile.SpooledTemporaryFile(max_size=IN_MEMORY) as file:
        for chunk in chunks:
            file.write(chunk)
        try:
            kind, rows, total = _first_look(file)
        except Unreadable as error:
            raise Refused(str(error)) from error
        row = _described(student, by, kind, rows)
        row.name, row.size, row.rows_total = _tidy(name), size, total
        with transaction.atomic():
            row.save()
            file.seek(0)
            for number, content in enumerate(iter(lambda: file.read(PIECE), b"")):
                Piece.objects.create(file=row, number=number, content=content)
    return row


# What is typed for one student's file and is kept for no other's.
WORDS_OF_ONE = ("device", "ball", "place")
_ENDED = (State.DONE, State.FAILED, State.TAKEN_BACK)


def _tidy(name: str) -> str:
    printable = "".join(sign for sign in name if sign.isprintable()).strip()
    return printable[-120:] or "file"


def _first_look(
    file: IO[bytes],
) -> tuple[FileKind, list[tuple[int, list[Cell]]], int | None]:
    kind = reading.kind_of(file)
    rows = sample(file, kind)
    if len(rows) < 2:
        raise Unreadable("There is no table in that file. It needs a row of names and rows below.")
    return kind, rows, _count(file, kind)


def sample(
    file: IO[bytes], kind: FileKind, most: int = SAMPLE_ROWS
) -> list[tuple[int, list[Cell]]]:
    """The first rows that could be split. Raises Unreadable."""
    found = []
    with reading.closing_rows(reading.rows_of(file, kind, 10 * most)) as rows:
        for number, row in rows:
            if not isinstance(row, BadRow):
                found.append((number, row))
            if len(found) >= most:
                break
    return found


def _count(file: IO[bytes], kind: FileKind) -> int | None:
    """About how many rows there are; None where only reading all would tell."""
    if not kind.is_line_by_line:
        return None
    file.seek(0)
    ends = 0
    while piece := file.read(1 << 20):
        ends += piece.count(b"\n") or piece.count(b"\r")
    return min(ends + 1, reading.MOST_ROWS)


def _described(
    student: Student, by: User, kind: FileKind, rows: list[tuple[int, list[Cell]]]
) -> ShotFile:
    cells = [row for _, row in rows]
    at = columns.find_header(cells)
    header = [name[:60] for name in columns.header_at(cells, at)] if at is not None else []
    below = cells[at + 1 :] if at is not None else cells
    units_row = bool(below) and columns.is_units_row(below[0])
    kept = kept_plan(student, by, header)
    above = cells[:at] if at is not None else []
    plan = kept or first_plan(by, header, below, units_row=units_row, above=above)
    plan = _dated(plan, below, above, today_of(student))
    plan = _said_above(plan, above)
    plan = replace(plan, player=_own_name(student, plan.index_of("player"), below))
    return ShotFile(
        student=student,
        sent_by=by,
        kind=asdict(kind),
        header=header,
        header_row=rows[at][0] if at is not None else None,
        has_units_row=units_row,
        plan=plan.as_json(),
    )


def first_plan(
    by: User,
    header: list[str],
    rows: list[list[Cell]],
    *,
    units_row: bool,
    above: Sequence[Sequence[Cell]] = (),
) -> Plan:
    """A plan from the header and the first rows, in the user's own units where none are named."""
    usual = {"distance": by.distance_unit, "speed": by.speed_unit}
    body = rows[1:] if units_row else rows
    decimal = columns.guess_decimal(body)
    units = rows[0] if units_row else ()
    guessed = guess_columns(header, units, body, usual, decimal, above=above)
    guessed = filled_down(guessed, body)
    plan = Plan(columns=guessed, decimal=decimal)
    return ordered(plan, header, body)


def ordered(plan: Plan, header: Sequence[str], rows: Sequence[Sequence[Cell]]) -> Plan:
    """With the order of day and month as its days say it, and whether it is to be asked.

    Only who writes English, and a point in his decimals, may write the month first.
    """
    day = plan.index_of("day")
    cells = [] if day is None else [cell for cell in _below(rows, day) if text_of(cell)]
    heading = header[day] if day is not None and day < len(header) else ""
    order = days.guess_order(cells)
    is_sure = days.is_order_sure(cells, order) or plan.decimal == ","
    return replace(plan, order=order, asks_order=not is_sure and not days.is_not_english(heading))


def _below(rows: Sequence[Sequence[Cell]], index: int) -> list[Cell]:
    return [row[index] for row in rows if index < len(row)]


def _dated(
    plan: Plan, rows: list[list[Cell]], above: Sequence[Sequence[Cell]], today: date
) -> Plan:
    """With the day that is written above the table, or the year of days that say none: proposed,
    for the page shows both."""
    index = plan.index_of("day")
    if index is None:
        said = day_said(above)
        found = days.day(said, days.guess_order([said])) if said != "" else None
        sure = said != "" and days.is_order_sure([said], days.guess_order([said]))
        return replace(plan, day=found.isoformat()) if found and sure else plan
    cells = [cell for cell in _below(rows, index) if text_of(cell)]
    return replace(plan, year=days.likely_year(cells, plan.order, today))


def _said_above(plan: Plan, above: Sequence[Sequence[Cell]]) -> Plan:
    """With device, ball, place and roof as the words above the table say them: proposed too."""
    said: dict[str, Any] = {
        name: words
        for name, words in words_said(above).items()
        if not getattr(plan, name) and plan.index_of(name) is None
    }
    roof = roof_said(above) if plan.indoors is None else plan.indoors
    return replace(plan, indoors=roof, **said)


def filled_down(named: Mapping[int, Column], rows: Sequence[Sequence[Cell]]) -> dict[int, Column]:
    """The columns, where a third of the cells is empty below a first one as *the same as above*."""
    found = {}
    for index, column in named.items():
        cells = [text_of(row[index]) if index < len(row) else "" for row in rows]
        is_down = (
            column.field in FILLED_DOWN
            and bool(cells and cells[0])
            and 3 * cells.count("") >= len(cells)
        )
        found[index] = replace(column, is_down=is_down)
    return found


def _own_name(student: Student, index: int | None, rows: list[list[Cell]]) -> str:
    """What the student is called in a column of players, where that is plain: the same words."""
    if index is None:
        return ""
    own = sorted(student.name.casefold().replace(",", " ").split())
    names = {text_of(row[index]) for row in rows if index < len(row)}
    same = [name for name in names if sorted(name.casefold().replace(",", " ").split()) == own]
    return same[0] if len(same) == 1 else ""


def kept_plan(student: Student, by: User, header: list[str]) -> Plan | None:
    """The columns named before for this header: by this user, or else last by the studio.

    Device, ball and place are this student's own last ones with this header: another family's
    garage is nobody else's to read, and another device has another header.
    """
    if not header:
        return None
    same = KeptColumns.objects.filter(
        studio_id=student.studio_id, header=columns.fingerprint(header)
    )
    kept = same.filter(user=by).first() or same.order_by("-kept_at").first()
    if kept is None:
        return None
    named = ShotFile.objects.filter(student=student).exclude(state=State.COLUMNS)
    latest = named.order_by("-sent_at").values_list("header", "plan")[:MOST_REMEMBERED]
    mark = columns.fingerprint(header)
    own: dict[str, Any] = next(
        (plan for was, plan in latest if columns.fingerprint(was) == mark), {}
    )
    words: dict[str, Any] = {name: own.get(name) or "" for name in WORDS_OF_ONE}
    return replace(Plan.from_json(kept.plan), day="", player="", year=None, **words)


def name_columns(*, file: ShotFile, by: User, plan: Plan) -> None:
    """Keep what the columns are, for this file and the next with this header; and read it.

    A file that is already on its way is left alone.
    """
    student = recordable(file.student)
    with transaction.atomic():
        named = ShotFile.objects.filter(pk=file.pk, state=State.COLUMNS).update(
            plan=plan.as_json(), state=State.WAITING
        )
        if not named or not file.header:
            return
        general = plan.as_json() | dict.fromkeys(("day", "player", *WORDS_OF_ONE), "")
        general["year"] = None
        KeptColumns.objects.update_or_create(
            studio_id=student.studio_id,
            user=by,
            header=columns.fingerprint(file.header),
            defaults={"plan": general, "kept_at": timezone.now()},
        )


def drop(*, file: ShotFile) -> None:
    """Forget a file whose columns nobody has named yet."""
    ShotFile.objects.filter(pk=file.pk, state=State.COLUMNS).delete()


@transaction.atomic
def take_back(*, file: ShotFile) -> None:
    """Take out every shot that a file brought, so that it may be sent again. May be repeated."""
    taken = ShotFile.objects.filter(pk=file.pk, state__in=(State.DONE, State.FAILED)).update(
        state=State.TAKEN_BACK
    )
    if not taken:
        return
    sittings = list(file.brought.values_list("sitting", flat=True))
    Shot.objects.filter(sitting__in=sittings).delete()
    Sitting.objects.filter(pk__in=sittings).delete()
    # A club that was hit since, or that somebody has set up, is the student's own by now.
    untouched = Club.objects.filter(brought_by__file=file, loft=None, retired_on=None)
    untouched.filter(changed_on=None).exclude(
        Exists(Shot.objects.filter(club=OuterRef("pk")))
    ).delete()
    file.refused.all().delete()


def forget_unnamed() -> None:
    """Files whose columns nobody named within a week."""
    before = timezone.now() - timedelta(days=UNNAMED_DAYS)
    ShotFile.objects.filter(state=State.COLUMNS, sent_at__lt=before).delete()


@contextmanager
def opened(file: ShotFile, *, pieces: int | None = None) -> Iterator[IO[bytes]]:
    """The bytes of a file, or of its first pieces."""
    with tempfile.SpooledTemporaryFile(max_size=IN_MEMORY) as content:
        numbered = file.pieces.order_by("number").values_list("content", flat=True)
        for piece in numbered[:pieces].iterator(chunk_size=4):
            content.write(piece)
        content.seek(0)
        yield content
