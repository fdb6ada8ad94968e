"""A person's own copy of everything kept of them: one ZIP, written row by row.

What is in it says `kinds`. Held in memory is one chunk of rows; the file itself lies on the
disk of the data, without a name, until it was fetched.
"""

import csv
import io
import json
from collections.abc import Iterator
from datetime import date
from tempfile import TemporaryFile
from typing import IO, Any
from uuid import UUID
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

from django.conf import settings
from django.db.models import Field, ForeignKey, QuerySet

from coaching.records.kinds import OF_STUDENT, OF_USER, RecordKind, plain
from coaching.records.text import README, TITLES
from practice.clips.models import Clip, clip_storage
from practice.drills.models import Drill
from shared.people.models import Guardianship, Student, User
from shared.site.kept_secret import make_private

CHUNK = 500
PIECE = 1 << 20
# A sheet takes what begins so for a formula (OWASP, CSV injection).
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\x00")


def copy_of(student: Student, today: date, *, for_family: bool = True) -> IO[bytes]:
    """The file, open at its beginning. Raises OSError for a full disk.

    For the studio it holds nothing of how and where the student signs in.
    """
    make_private(settings.DATA_DIR)
    file = TemporaryFile(dir=settings.DATA_DIR, prefix="copy-")  # noqa: SIM115 (the answer closes it)
    try:
        with ZipFile(file, "w", ZIP_DEFLATED) as box:
            _write(box, student, today, for_family=for_family)
    except BaseException:
        file.close()
        raise
    file.seek(0)
    return file


def _write(box: ZipFile, student: Student, today: date, *, for_family: bool) -> None:
    people, drills = _people(student), _drills(student)
    files = []
    for kind, rows in _kinds_of(student, for_family=for_family):
        table = _Table(kind, rows, people, drills)
        if table.rows.exists():
            _write_lines(box, table)
            _write_sheet(box, table)
            files.append(f"  {kind.name}: {TITLES[kind.name]}")
    for clip in Clip.objects.filter(student=student, removed_at=None).order_by("pk").iterator():
        _write_clip(box, clip)
    said = {"studio": student.studio, "name": student.name, "day": today}
    box.writestr("README.txt", README.format(files="\n".join(files), **said))


def _kinds_of(student: Student, *, for_family: bool) -> Iterator[tuple[RecordKind, QuerySet[Any]]]:
    for kind in OF_STUDENT:
        if not kind.not_copied:
            yield kind, kind.of(student.pk)
    user = student.user
    if user is not None and for_family:
        yield from ((kind, kind.of_user(user)) for kind in OF_USER if not kind.not_copied)


def _people(student: Student) -> dict[UUID, str]:
    """What those are to the student who are named by an id."""
    ties = Guardianship.objects.filter(student=student).values_list("user", flat=True)
    people = dict.fromkeys(ties, "a guardian")
    return people | ({student.user_id: "the student"} if student.user_id else {})


def _drills(student: Student) -> dict[UUID, str]:
    named = Drill.objects.filter(studio=student.studio_id, current__isnull=False)
    return dict(named.values_list("pk", "current__name"))


class _Table:
    """The rows of one kind, as columns that name nobody else."""

    def __init__(
        self,
        kind: RecordKind,
        rows: QuerySet[Any],
        people: dict[UUID, str],
        drills: dict[UUID, str],
    ) -> None:
        self.kind, self.rows, self.people, self.drills = kind, rows, people, drills
        self.fields = [f for f in kind.fields if f.name not in kind.hidden and not _is_self(f)]
        self.columns = [field.name for field in self.fields] + list(kind.also)

    def __iter__(self) -> Iterator[list[Any]]:
        names = [field.attname for field in self.fields]
        for row in self.rows.values_list(*names, *self.kind.also).iterator(chunk_size=CHUNK):
            shown = [self._shown(*pair) for pair in zip(self.fields, row, strict=False)]
            yield shown + list(row[len(names) :])

    def _shown(self, field: "Field[Any, Any]", value: Any) -> Any:
        if value is None or not isinstance(field, ForeignKey):
            return value
        if field.related_model is User:
            return self.people.get(value, "somebody of the studio")
        return self.drills.get(value, value) if field.related_model is Drill else value


def _is_self(field: "Field[Any, Any]") -> bool:
    """Whether it says only whose the row is, which is the same in all of them."""
    return isinstance(field, ForeignKey) and field.related_model is Student


def _write_lines(box: ZipFile, table: _Table) -> None:
    with box.open(f"{table.kind.name}.jsonl", "w", force_zip64=True) as file:
        for row in table:
            record = dict(zip(table.columns, row, strict=True))
            line = json.dumps(record, ensure_ascii=False, default=plain) + "\n"
            file.write(line.encode())


def _write_sheet(box: ZipFile, table: _Table) -> None:
    with (
        box.open(f"{table.kind.name}.csv", "w", force_zip64=True) as file,
        io.TextIOWrapper(file, encoding="utf-8", newline="") as text,
    ):
        sheet = csv.writer(text)
        sheet.writerow(table.columns)
        for row in table:
            sheet.writerow([cell(value) for value in row])


def cell(value: Any) -> Any:
    """A value as a cell of a sheet: never a formula."""
    if isinstance(value, dict | list):
        return json.dumps(value, ensure_ascii=False, default=plain)
    if value is None or isinstance(value, bool | int | float):
        return value
    text = value if isinstance(value, str) else plain(value)
    return f"'{text}" if text.startswith(FORMULA) else text


def _write_clip(box: ZipFile, clip: Clip) -> None:
    info = ZipInfo(f"clips/{clip.pk}.{clip.suffix}", clip.made_at.timetuple()[:6])
    info.compress_type = ZIP_STORED
    with (
        clip_storage().open(clip.file.name or "") as film,
        box.open(info, "w", force_zip64=True) as file,
    ):
        for piece in iter(lambda: film.read(PIECE), b""):
            file.write(piece)
