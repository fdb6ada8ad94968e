"""Reading the files that wait: one at a time, in batches, each batch written once or not at all.

The shots of a batch, its refused rows and how far the file has come are one transaction,
fenced by the claim. A worker that is killed leaves the last whole batch; whoever takes the
file after the lease reads on from there.
"""

import logging
import time
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any
from uuid import UUID, uuid5

from django.db import connection, transaction
from django.db.models import F, Max, Q
from django.utils import timezone

from practice.importing import columns, reading
from practice.importing.cells import Cell, text_of
from practice.importing.columns import Plan
from practice.importing.models import Brought, BroughtClub, RefusedRow, ShotFile
from practice.importing.reading import BadRow, Kind
from practice.importing.records import Unreadable
from practice.importing.rows import RowReader, content_key, row_as_sent, shot_fingerprint
from practice.importing.services import REASON, ROW_NUMBER, forget_unnamed, opened
from practice.shots.from_log import known_and_made
from practice.shots.models import Shot, Sitting
from shared.jobs.claims import claim as take
from shared.jobs.claims import lapsed
from shared.people import access
from shared.people.models import Student
from shared.people.today import today_of

log = logging.getLogger(__name__)

State = ShotFile.State
LEASE = timedelta(seconds=150)  # Longer than the time limit of a task.
BUDGET = 20.0  # Seconds of one sweep: mails wait no longer for it.
BATCH = 2_000
MOST_TRIES = 5
MOST_SITTINGS = 2_000
LONGEST_KEPT = 300


class Lost(Exception):
    """Somebody else has the file now; what this worker knows is out of date."""


class TooManySittings(Exception):
    """More days and sessions than any file of shots has: a column is named wrongly."""


@dataclass(slots=True)
class Batch:
    """What one transaction writes."""

    rows: int = 0
    shots: list[tuple[dict[str, Any], str]] = field(default_factory=list)
    refused: list[RefusedRow] = field(default_factory=list)


def read_waiting(*, budget: float = BUDGET) -> int:
    """Read files until none waits or the time is up. Returns how many were finished."""
    finished = 0
    end = time.monotonic() + budget
    forget_unnamed()
    while time.monotonic() < end and (file := claim()) is not None:
        finished += _one(file, end)
    return finished


def claim() -> ShotFile | None:
    """Take the file that has waited longest."""
    open_ones = ShotFile.objects.filter(
        state__in=(State.WAITING, State.READING),
        student__in=access.recordable_students().values("pk"),
    )
    waiting = open_ones.filter(Q(lease_until=None) | lapsed(LEASE)).order_by("sent_at")
    return take(waiting, LEASE, state=State.READING, tries=F("tries") + 1)


def _one(file: ShotFile, end: float) -> bool:
    """Read on in one file until it or the time is over. Whether it is over."""
    if file.tries >= MOST_TRIES:
        _end(file, State.FAILED, "It could not be read to its end. Send it again in parts.")
        return True
    try:
        with opened(file) as content:
            kind = Kind(**file.kind)
            with reading.closing_rows(reading.rows_of(content, kind)) as rows:
                return FileReader(file).read(rows, end)
    except (Lost, access.NotRecordable):
        return False
    except Unreadable as error:
        _end(file, State.FAILED, str(error))
    except TooManySittings:
        _end(
            file,
            State.FAILED,
            f"There would be more than {MOST_SITTINGS:,} days and sessions. Take this file back,"
            " and look which column is named session and which day.",
        )
    except Exception:  # Whatever it is, no other file waits for it; this one for its lease.
        log.exception("file of shots %s cannot be read", file.pk)
        return False
    return True


class FileReader:
    """Goes through one file from where it was left."""

    def __init__(self, file: ShotFile) -> None:
        self.file = file
        self.student = access.recordable(Student.objects.get(pk=file.student_id))
        self.plan = Plan.from_json(file.plan)
        self.reader = RowReader(self.plan, today_of(self.student))
        # A file of refused rows that was mended is the first file without our two columns.
        ours = {REASON, ROW_NUMBER}
        self.skip = frozenset(i for i, name in enumerate(file.header) if name.lower() in ours)
        own = [name for i, name in enumerate(file.header) if i not in self.skip]
        self.header = columns.fingerprint(own)
        self.seen: Counter[bytes] = Counter()
        self.sittings: dict[str, tuple[UUID, int]] | None = None
        self.keys: dict[tuple[str, ...], str] = {}

    def read(self, rows: Iterator[tuple[int, reading.Row]], end: float) -> bool:
        done = self.file.rows_done
        first = self._first_row()
        batch, looked = Batch(), 0
        for number, row in rows:
            if number < first:
                continue
            looked += 1
            known = looked <= done
            self._add(batch, number, row, known=known)
            if known:
                continue
            batch.rows += 1
            if batch.rows >= BATCH:
                self._write(batch)
                batch = Batch()
                if time.monotonic() > end:
                    self._give_back()
                    return False
        self._write(batch)
        self._finish(looked)
        return True

    def _first_row(self) -> int:
        if self.file.header_row is None:
            return 1
        return self.file.header_row + (2 if self.file.has_units_row else 1)

    def _add(self, batch: Batch, number: int, row: reading.Row, *, known: bool) -> None:
        if isinstance(row, BadRow):
            if not known:
                batch.refused.append(self._refusal(number, row.reason, []))
            return
        row = list(row_as_sent(row))
        key = content_key(row, self.skip)
        self.seen[key] += 1
        if known:
            return
        found = self.reader.read(row)
        if found.faults:
            batch.refused.append(self._refusal(number, found.reason, row))
            return
        mark = shot_fingerprint(str(self.student.pk), self.header, key, self.seen[key])
        batch.shots.append((found.values, mark))

    def _refusal(self, number: int, reason: str, row: Sequence[Cell]) -> RefusedRow:
        kept = [text_of(cell)[:LONGEST_KEPT] for i, cell in enumerate(row) if i not in self.skip]
        return RefusedRow(file=self.file, number=number, reason=reason[:500], cells=kept)

    def _write(self, batch: Batch) -> None:
        with transaction.atomic():
            # One file of a student at a time: the marks found here stay all there are.
            Student.objects.select_for_update().get(pk=self.student.pk)
            marks = [mark for _, mark in batch.shots]
            known = set(
                Shot.objects.filter(student=self.student, fingerprint__in=marks).values_list(
                    "fingerprint", flat=True
                )
            )
            new = [(values, mark) for values, mark in batch.shots if mark not in known]
            self._insert(new)
            RefusedRow.objects.bulk_create(batch.refused)
            file = self.file
            rows_done = file.rows_done + batch.rows
            fenced = ShotFile.objects.filter(pk=file.pk, claim=file.claim, state=State.READING)
            kept = fenced.update(
                rows_done=rows_done,
                shots_new=file.shots_new + len(new),
                shots_known=file.shots_known + len(known),
                rows_refused=file.rows_refused + len(batch.refused),
                lease_until=timezone.now() + LEASE,
                tries=0,
            )
            if not kept:
                raise Lost  # Rolls back all of the batch.
        file.rows_done, file.shots_new = rows_done, file.shots_new + len(new)
        file.shots_known += len(known)
        file.rows_refused += len(batch.refused)

    def _insert(self, new: list[tuple[dict[str, Any], str]]) -> None:
        """Shots in bulk; their sittings and clubs are made where they are new."""
        if not new:
            return
        keys = [self._sitting_key(values) for values, _ in new]
        sittings = self._sittings_for(dict(zip(keys, (values for values, _ in new), strict=True)))
        clubs, made = known_and_made({values.get("club", "") for values, _ in new}, self.student)
        BroughtClub.objects.bulk_create(BroughtClub(file=self.file, club=club) for club in made)
        numbers: dict[str, int] = defaultdict(int)
        kept_as = {key: in_database(sitting) for key, (sitting, _) in sittings.items()}
        club_as = {name: in_database(club.pk) for name, club in clubs.items()}
        student, rows = in_database(self.student.pk), []
        for key, (values, mark) in zip(keys, new, strict=True):
            numbers[key] += 1
            rows.append(
                (
                    kept_as[key],
                    student,
                    sittings[key][1] + numbers[key],
                    club_as.get(values.get("club", "")),
                    values.get("length", ""),
                    *map(values.get, _FIGURES),
                    mark,
                )
            )
        insert_shots(rows)
        self.sittings = {
            **(self.sittings or {}),
            **{key: (sittings[key][0], sittings[key][1] + count) for key, count in numbers.items()},
        }

    def _sitting_key(self, values: dict[str, Any]) -> str:
        names = ("device", "ball", "place", "session")
        parts = (values["day"].isoformat(), *(values.get(name, "") for name in names))
        key = self.keys.get(parts)
        if key is None:
            key = self.keys[parts] = str(uuid5(self.file.pk, "\x1f".join(parts)))
        return key

    def _sittings_for(self, wanted: dict[str, dict[str, Any]]) -> dict[str, tuple[UUID, int]]:
        """The sitting of each key with its last number, the new ones made."""
        if self.sittings is None:
            kept = Brought.objects.filter(file=self.file).annotate(
                last=Max("sitting__shots__number")
            )
            self.sittings = {each.key: (each.sitting_id, each.last or 0) for each in kept}
        missing = {key: values for key, values in wanted.items() if key not in self.sittings}
        if len(self.sittings) + len(missing) > MOST_SITTINGS:
            raise TooManySittings
        if missing:
            made = Sitting.objects.bulk_create(
                self._sitting(key, values) for key, values in missing.items()
            )
            Brought.objects.bulk_create(
                Brought(file=self.file, key=key, sitting=sitting)
                for key, sitting in zip(missing, made, strict=True)
            )
        return self.sittings | {key: (UUID(key), 0) for key in missing}

    def _sitting(self, key: str, values: dict[str, Any]) -> Sitting:
        device = values.get("device", "")
        session = values.get("session", "")
        return Sitting(
            pk=UUID(key),
            student=self.student,
            day=values["day"],
            at=self.file.sent_at,
            device=device,
            ball=values.get("ball", ""),
            place=values.get("place", ""),
            indoors=self.plan.indoors,
            evidence=Sitting.Evidence.MEASURED if device else Sitting.Evidence.SEEN,
            note=f"From {self.file.name[:80]}" + (f", session {session}" if session else ""),
            written_by_id=self.file.sent_by_id,
        )

    def _give_back(self) -> None:
        """The time is up, not the file: whoever sweeps next reads on."""
        self._fenced().update(lease_until=None)

    def _finish(self, looked: int) -> None:
        _end(self.file, State.DONE, "", rows_total=looked)

    def _fenced(self) -> Any:
        return ShotFile.objects.filter(pk=self.file.pk, claim=self.file.claim)


_FIGURES = (
    "target", "effort", "carry", "total", "side", "ball_speed", "club_speed", "launch", "spin",
    "is_clean",
)  # fmt: skip
_COLUMNS = ("sitting_id", "student_id", "number", "club_id", "length", *_FIGURES, "fingerprint")


def in_database(key: UUID) -> UUID | str:
    """A key as a statement of our own hands it over."""
    return key if connection.features.has_native_uuid_field else key.hex


def insert_shots(rows: list[tuple[Any, ...]]) -> None:
    """Shots, each a tuple in the order of _COLUMNS with its keys by `in_database`."""
    quote = connection.ops.quote_name
    table = quote(Shot._meta.db_table)  # noqa: SLF001 (Django's documented interface)
    into = f"{table} ({', '.join(map(quote, _COLUMNS))})"
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f"COPY {into} FROM STDIN") as copy:
                for row in rows:
                    copy.write_row(row)
            return
        marks = ", ".join(["%s"] * len(_COLUMNS))
        cursor.executemany(f"INSERT INTO {into} VALUES ({marks})", rows)  # noqa: S608 (names of our own columns)


def _end(file: ShotFile, state: str, why: str, **more: Any) -> None:
    """A file is over, and its bytes are of no more use."""
    with transaction.atomic():
        ended = ShotFile.objects.filter(pk=file.pk, claim=file.claim, state=State.READING).update(
            state=state, why=why[:300], claim=None, lease_until=None, done_at=timezone.now(), **more
        )
        if ended:
            file.pieces.all().delete()
    log.info("file of shots %s: %s", file.pk, state)
