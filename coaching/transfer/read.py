"""Reading a studio's file into this installation: all of it or nothing."""

import hashlib
import json
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import datetime
from typing import Any, TextIO

from django.contrib.auth.hashers import make_password
from django.core.exceptions import ValidationError
from django.db import DataError, IntegrityError, transaction
from django.db.models import Field, ForeignKey, Model

from coaching.records.ends import end_again
from coaching.records.erase import erase_again
from coaching.records.kinds import RecordKind, Whose
from coaching.transfer.own import not_its_own
from coaching.transfer.tables import BY_KIND, CAME_WITH, FORMAT, UNDATED, VERSION
from practice.compliance.rebuild import rebuild
from shared.backups.services import TOO_OLD, is_too_old
from shared.people.models import Student, Studio, User

CHUNK = 500
LONGEST_LINE = 5_000_000
Heard = Callable[[str], None]


class FileProblem(ValueError):
    """Why a file cannot be taken, in words, with its line where there is one."""


def _unheard(words: str) -> None:
    """For whoever does not ask how far it is."""


def read_studio(file: TextIO, say: Heard = _unheard) -> Studio:
    """Take a studio in, and make every tally anew. Raises FileProblem; then nothing is kept.

    Held in memory is one chunk of rows. Nobody brings a password along: people sign in
    with a code by mail. A user who is here already under the same id stays as here.
    """
    try:
        with transaction.atomic():
            studio = _take(file, say)
    except IntegrityError as error:
        raise FileProblem(
            "Something in the file points to what is not in it, or is here already, so nothing "
            f"was taken ({error})."
        ) from error
    return studio


def _take(file: TextIO, say: Heard) -> Studio:
    lines = _StudioLines(file)
    heading = next(lines.records(), None)
    studio_id, version = _check_heading(heading)
    brought: Counter[str] = Counter()
    for kind, rows in _batches(lines, _older(version)):
        brought[kind.name] += _keep(kind, rows, lines)
        say(f"{lines.number} lines")
    studio = Studio.objects.filter(pk=studio_id).first()
    if studio is None:
        raise FileProblem("The file has no record of its studio.")
    if stray := not_its_own(studio.pk, brought):
        raise FileProblem(f"The file holds {stray}, so nothing was taken.")
    # The file may be older than an erasure, or than a consent that was withdrawn here.
    erase_again()
    end_again()
    students = Student.objects.filter(studio=studio).select_related("studio").order_by("pk")
    for student in students.iterator(chunk_size=CHUNK):
        rebuild(student)
        say(f"{student.name}: tallies made")
    return studio


class _StudioLines:
    """The file line by line, with the count and the sum that its last line must name."""

    def __init__(self, file: TextIO) -> None:
        self.file, self.number, self.digest = file, 0, hashlib.sha256()
        self.is_ended = False

    def records(self) -> Iterator[dict[str, Any]]:
        """Every record before the end. Raises FileProblem for a file that is cut off or changed."""
        while line := self.file.readline(LONGEST_LINE):
            record = self._parsed(line)
            if "end" in record:
                self._check_end(record)
                return
            self.digest.update(line.encode())
            self.number += 1
            yield record
        if not self.is_ended:
            raise FileProblem(
                f"The file ends after {self.number} lines without its last one: it is cut off."
            )

    def _parsed(self, line: str) -> dict[str, Any]:
        try:
            record = json.loads(line) if line.endswith("\n") else None
        except (ValueError, RecursionError):
            record = None
        if not isinstance(record, dict):
            raise FileProblem(f"Line {self.number + 1} cannot be read: it is cut off or no JSON.")
        return record

    def _check_end(self, record: dict[str, Any]) -> None:
        self.is_ended = True
        if record != {"end": self.number, "sha256": self.digest.hexdigest()}:
            raise FileProblem("The file was changed after it was written: its sum does not fit.")
        if self.file.readline(1):
            raise FileProblem("There is something after the last line.")


def _older(version: int) -> dict[str, dict[str, Any]]:
    """By kind, the fields that a file of this version has not, with what they were."""
    missing: dict[str, dict[str, Any]] = {}
    for since, kinds in CAME_WITH.items():
        for kind, fields in kinds.items() if since > version else ():
            missing[kind] = missing.get(kind, {}) | fields
    return missing


def _check_heading(heading: dict[str, Any] | None) -> tuple[str, int]:
    if heading is None or heading.get("format") != FORMAT:
        raise FileProblem("This is no studio’s file: its first line does not say so.")
    version = heading.get("version")
    if not isinstance(version, int) or not 1 <= version <= VERSION:
        raise FileProblem(
            f"The file is of version {version!r}; this release reads up to {VERSION}. "
            "Bring this installation to the newer release first."
        )
    studio = str(heading.get("studio"))
    try:
        is_here = Studio.objects.filter(pk=studio).exists()
    except ValidationError as error:
        raise FileProblem("The heading names no studio.") from error
    if is_here:
        raise FileProblem("This studio is here already. It goes where it is not.")
    _check_age(heading.get("made_at", UNDATED))
    return studio, version


def _check_age(made_at: object) -> None:
    """Where no line of what was ended goes back as far as the file."""
    try:
        when = datetime.fromisoformat(str(made_at))
        too_old = is_too_old(when)
    except (ValueError, TypeError) as error:  # No moment, or one without its zone.
        raise FileProblem("The heading does not say when the file was made.") from error
    if too_old:
        raise FileProblem(TOO_OLD)


def _batches(
    lines: _StudioLines, older: dict[str, dict[str, Any]]
) -> Iterator[tuple[RecordKind, list[Model]]]:
    """Rows of one kind together, a chunk at a time. `older`: what the file cannot know yet."""
    running: RecordKind | None = None
    rows: list[Model] = []
    for record in lines.records():
        kind = BY_KIND.get(str(record.pop("is", None)))
        if kind is None:
            raise FileProblem(f"Line {lines.number}: this kind of record is not known.")
        if running is not None and (kind is not running or len(rows) >= CHUNK):
            yield running, rows
            rows = []
        running = kind
        rows.append(_row(kind, older.get(kind.name, {}) | record, lines.number))
    if running is not None:
        yield running, rows


def _row(kind: RecordKind, record: dict[str, Any], number: int) -> Model:
    fields = {field.attname: field for field in kind.fields}
    if record.keys() != fields.keys():
        odd = ", ".join(sorted(record.keys() ^ fields.keys()))
        raise FileProblem(f"Line {number}: a {kind.name} has other fields than these: {odd}.")
    values = {name: _value(fields[name], value, number) for name, value in record.items()}
    if kind.model is User:
        values["password"] = make_password(None)
    return kind.model(**values)


def _value(field: "Field[Any, Any]", value: Any, number: int) -> Any:
    """The value as the field knows it. Raises FileProblem."""
    try:
        if value is None:
            if not field.null:
                raise FileProblem(f"Line {number}: {field.name} is missing.")
            return None
        target = field.target_field if isinstance(field, ForeignKey) else field
        known = target.to_python(value)
        field.run_validators(known)
        is_blank = field.blank and known in field.empty_values
        if field.choices and not is_blank and known not in dict(field.flatchoices):
            raise FileProblem(f"Line {number}: {field.name} cannot be {value!r}.")
    except (ValidationError, TypeError, OverflowError) as error:
        raise FileProblem(f"Line {number}: {field.name} cannot be {value!r}.") from error
    return known


def _keep(kind: RecordKind, rows: list[Model], lines: _StudioLines) -> int:
    """How many of the rows were new here."""
    manager = kind.model._default_manager  # noqa: SLF001 (documented)
    if kind.model is User:
        rows = _newcomers(rows)
    if kind.whose is Whose.USER and kind.model is not User:
        rows = _without_own(kind, rows)
    try:
        manager.bulk_create(rows)
    except DataError as error:
        raise FileProblem(f"Before line {lines.number}: a {kind.name} does not fit.") from error
    return len(rows)


def _without_own(kind: RecordKind, rows: list[Model]) -> list[Model]:
    """What is kept once per user stays as here for whoever is here already."""
    manager = kind.model._default_manager  # noqa: SLF001 (documented)
    wanted = {vars(row)["user_id"] for row in rows}
    own = set(manager.filter(user__in=wanted).values_list("user", flat=True))
    return [row for row in rows if vars(row)["user_id"] not in own]


def _newcomers(rows: list[Model]) -> list[Model]:
    """Users who are not here. Raises FileProblem if somebody else has the address, or the id."""
    here = dict(User.objects.filter(pk__in=[row.pk for row in rows]).values_list("pk", "email"))
    for row in rows:
        if isinstance(row, User) and here.get(row.pk, row.email) != row.email:
            raise FileProblem(f"{row.email} is somebody else here. Nothing was taken.")
    fresh = [row for row in rows if row.pk not in here]
    emails = [row.email for row in fresh if isinstance(row, User)]
    taken = User.objects.filter(email__in=emails).values_list("email", flat=True).first()
    if taken:
        raise FileProblem(f"Somebody else here has the address {taken}. Change one of the two.")
    return fresh
