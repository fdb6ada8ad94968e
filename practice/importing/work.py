"""Reading the files that wait: one at a time, in batches, each batch written once or not at all.

The shots of a batch, its refused rows and how far the file has come are one transaction,
fenced by the claim. A worker that is killed leaves the last whole batch; whoever takes the
file after the lease reads on from there.
"""

import gc
import json
import logging
import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import compress, count, repeat
from typing import Any
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from django.db import connection, transaction
from django.db.models import F, Max, Q
from django.utils import timezone

from practice.importing import columns, reading
from practice.importing.cells import Cell, text_of
from practice.importing.columns import Plan
from practice.importing.models import Brought, BroughtClub, RefusedRow, ShotFile
from practice.importing.reading import BadRow, FileKind, RowBlock
from practice.importing.records import Unreadable
from practice.importing.rows import (
    Found,
    RowReader,
    as_sent,
    content_keys,
    shot_fingerprints,
    turned,
)
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
BATCH = 10_000
MOST_TRIES = 5
MOST_SITTINGS = 2_000
LONGEST_KEPT = 300


class Lost(Exception):
    """Somebody else has the file now; what this worker knows is out of date."""


class TooManySittings(Exception):
    """More days and sessions than any file of shots has: a column is named wrongly."""


# What the shots of one sitting have in common: day, device, ball, place and session.
Place = tuple[date, str, str, str, str]


@dataclass(frozen=True, slots=True)
class Shots:
    """Shots of a file by columns; `figures` has those of _FIGURES, in their order."""

    marks: Sequence[str]
    places: Sequence[Place]
    clubs: Sequence[str]
    figures: Sequence[Sequence[Any]]

    def picked(self, which: Iterable[bool]) -> "Shots":
        """These of them."""
        chosen = [*which]
        return Shots(
            [*compress(self.marks, chosen)],
            [*compress(self.places, chosen)],
            [*compress(self.clubs, chosen)],
            [[*compress(each, chosen)] for each in self.figures],
        )


@dataclass(frozen=True, slots=True)
class WriteBatch:
    """What one transaction writes."""

    rows: int
    shots: Shots
    refused: Sequence[RefusedRow]


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
        access.of_recordable(), state__in=(State.WAITING, State.READING)
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
            kind = FileKind(**file.kind)
            reader = FileReader(file)
            blocks = reading.blocks_of(content, kind, BATCH, reader.first_row)
            with reading.closing_rows(blocks) as below, nothing_old_collected():
                return reader.read(below, end)
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


@contextmanager
def nothing_old_collected() -> Iterator[None]:
    """What the process held before is not looked through for garbage again and again.

    Each batch makes tens of thousands of cells, and with them comes a collector that finds
    nothing in all the modules there are: a tenth of the time of a file.
    """
    gc.freeze()
    try:
        yield
    finally:
        gc.unfreeze()


class FileReader:
    """Goes through one file from where it was left."""

    def __init__(self, file: ShotFile) -> None:
        self.file = file
        self.student = access.recordable(Student.objects.get(pk=file.student_id))
        self.plan = Plan.from_json(file.plan)
        zone = ZoneInfo(self.student.time_zone)
        self.reader = RowReader(self.plan, today_of(self.student), zone)
        # A file of refused rows that was mended is the first file without our two columns.
        ours = {REASON, ROW_NUMBER}
        self.skip = frozenset(i for i, name in enumerate(file.header) if name.lower() in ours)
        own = [name for i, name in enumerate(file.header) if i not in self.skip]
        self.header = columns.fingerprint(own)
        self.seen: dict[bytes, int] = {}
        self.sittings: dict[str, tuple[UUID, int]] | None = None
        self.keys: dict[Place, str] = {}

    @property
    def first_row(self) -> int:
        if self.file.header_row is None:
            return 1
        return self.file.header_row + (2 if self.file.has_units_row else 1)

    def read(self, blocks: Iterator[RowBlock], end: float) -> bool:
        done, looked, wrote = self.file.rows_done, 0, False
        for block in blocks:
            if wrote and time.monotonic() > end:
                self._give_back()
                return False
            known = min(max(0, done - looked), len(block.rows))
            looked += len(block.rows)
            self._remember(block.rows[:known])
            if known < len(block.rows):
                self._write(self._batch(block.numbers[known:], block.rows[known:]))
                wrote = True
        self._finish(looked)
        return True

    def _remember(self, rows: Sequence[reading.Row]) -> None:
        """Rows that are written already: how often there was each is all that is needed."""
        good = [row for row in rows if not isinstance(row, BadRow)]
        cells = turned(good)
        self.reader.follow(cells)
        self._occurrences(content_keys(cells, len(good), self.skip))

    def _occurrences(self, keys: Iterable[bytes]) -> list[int]:
        """The how-manieth each of these contents is in the file."""
        seen, found = self.seen, []
        for key in keys:
            seen[key] = number = seen.get(key, 0) + 1
            found.append(number)
        return found

    def _batch(self, numbers: Sequence[int], rows: Sequence[reading.Row]) -> WriteBatch:
        good = [row for row in rows if not isinstance(row, BadRow)]
        cells = turned(good)
        keys = content_keys(cells, len(good), self.skip)
        marks = shot_fingerprints(str(self.student.pk), self.header, keys, self._occurrences(keys))
        found = self.reader.read_all(cells, len(good))
        places = zip(found.of("day"), *(found.of(name, "") for name in _WORDS), strict=True)
        figures = [found.of("length", ""), *map(found.of, _FIGURES)]
        shots = Shots(marks, [*places], found.of("club", ""), figures)
        if found.faults:
            shots = shots.picked(row not in found.faults for row in range(len(good)))
        refused: list[RefusedRow] = []
        if len(shots.marks) < len(rows):
            refused = [*self._refused(numbers, rows, found)]
        return WriteBatch(len(rows), shots, refused)

    def _refused(
        self, numbers: Sequence[int], rows: Sequence[reading.Row], found: Found
    ) -> Iterator[RefusedRow]:
        places = count()
        for number, row in zip(numbers, rows, strict=True):
            if isinstance(row, BadRow):
                yield self._refusal(number, row.reason, [])
            elif faults := found.faults.get(next(places)):
                yield self._refusal(number, " ".join(fault.reason for fault in faults), row)

    def _refusal(self, number: int, reason: str, row: Sequence[Cell]) -> RefusedRow:
        kept = [
            text_of(as_sent(cell))[:LONGEST_KEPT]
            for i, cell in enumerate(row)
            if i not in self.skip
        ]
        return RefusedRow(file=self.file, number=number, reason=reason[:500], cells=kept)

    def _write(self, batch: WriteBatch) -> None:
        with transaction.atomic():
            # One file of a student at a time: the marks found here stay all there are.
            Student.objects.select_for_update().get(pk=self.student.pk)
            new, known = batch.shots, known_marks(self.student, batch.shots.marks)
            if known:
                new = new.picked(mark not in known for mark in new.marks)
            self._insert(new)
            RefusedRow.objects.bulk_create(batch.refused)
            file = self.file
            rows_done = file.rows_done + batch.rows
            fenced = ShotFile.objects.filter(pk=file.pk, claim=file.claim, state=State.READING)
            kept = fenced.update(
                rows_done=rows_done,
                shots_new=file.shots_new + len(new.marks),
                shots_known=file.shots_known + len(known),
                rows_refused=file.rows_refused + len(batch.refused),
                lease_until=timezone.now() + LEASE,
                tries=0,
            )
            if not kept:
                raise Lost  # Rolls back all of the batch.
        file.rows_done, file.shots_new = rows_done, file.shots_new + len(new.marks)
        file.shots_known += len(known)
        file.rows_refused += len(batch.refused)

    def _insert(self, new: Shots) -> None:
        """Shots in bulk; their sittings and clubs are made where they are new."""
        if not new.marks:
            return
        places = dict.fromkeys(new.places)
        sittings = self._sittings_for({self._key(place): place for place in places})
        clubs, made = known_and_made({*new.clubs}, self.student)
        BroughtClub.objects.bulk_create(BroughtClub(file=self.file, club=club) for club in made)
        club_as = {"": None, **{name: in_database(club.pk) for name, club in clubs.items()}}
        kept_as = {place: in_database(sittings[self._key(place)][0]) for place in places}
        numbers = {place: count(sittings[self._key(place)][1] + 1) for place in places}
        insert_shots(
            zip(
                map(kept_as.__getitem__, new.places),
                repeat(in_database(self.student.pk), len(new.marks)),
                map(next, map(numbers.__getitem__, new.places)),
                map(club_as.__getitem__, new.clubs),
                *new.figures,
                new.marks,
                strict=True,
            )
        )
        self.sittings = sittings | {
            self._key(place): (sittings[self._key(place)][0], next(number) - 1)
            for place, number in numbers.items()
        }

    def _key(self, place: Place) -> str:
        key = self.keys.get(place)
        if key is None:
            day, *words = place
            parts = (day.isoformat(), *words)
            key = self.keys[place] = str(uuid5(self.file.pk, "\x1f".join(parts)))
        return key

    def _sittings_for(self, wanted: dict[str, Place]) -> dict[str, tuple[UUID, int]]:
        """The sitting of each key with its last number, the new ones made."""
        if self.sittings is None:
            kept = Brought.objects.filter(file=self.file).annotate(
                last=Max("sitting__shots__number")
            )
            self.sittings = {each.key: (each.sitting_id, each.last or 0) for each in kept}
        missing = {key: place for key, place in wanted.items() if key not in self.sittings}
        if len(self.sittings) + len(missing) > MOST_SITTINGS:
            raise TooManySittings
        if missing:
            made = Sitting.objects.bulk_create(
                self._sitting(key, place) for key, place in missing.items()
            )
            Brought.objects.bulk_create(
                Brought(file=self.file, key=key, sitting=sitting)
                for key, sitting in zip(missing, made, strict=True)
            )
        return self.sittings | {key: (UUID(key), 0) for key in missing}

    def _sitting(self, key: str, where: Place) -> Sitting:
        day, device, ball, place, session = where
        return Sitting(
            pk=UUID(key),
            student=self.student,
            day=day,
            at=self.file.sent_at,
            device=device,
            ball=ball,
            place=place,
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


_WORDS = ("device", "ball", "place", "session")
_FIGURES = (
    "target", "effort", "carry", "total", "side", "ball_speed", "club_speed", "launch", "spin",
    "is_clean",
)  # fmt: skip
_COLUMNS = ("sitting_id", "student_id", "number", "club_id", "length", *_FIGURES, "fingerprint")


def in_database(key: UUID) -> UUID | str:
    """A key as a statement of our own hands it over."""
    return key if connection.features.has_native_uuid_field else key.hex


def known_marks(student: Student, marks: Sequence[str]) -> set[str]:
    """Which of these marks shots of this student have.

    The index of marks leaves out the empty ones; only who says so too is answered from it.
    """
    is_one = (
        "= ANY(%s)" if connection.vendor == "postgresql" else "IN (SELECT value FROM json_each(%s))"
    )
    asked = [*marks] if connection.vendor == "postgresql" else json.dumps([*marks])
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT fingerprint FROM {_table()} WHERE student_id = %s"  # noqa: S608 (our own names)
            f" AND NOT (fingerprint = '') AND fingerprint {is_one}",
            [in_database(student.pk), asked],
        )
        return {mark for (mark,) in cursor.fetchall()}


def insert_shots(rows: Iterable[tuple[Any, ...]]) -> None:
    """Shots, each a tuple in the order of _COLUMNS with its keys by `in_database`."""
    into = f"{_table()} ({', '.join(map(connection.ops.quote_name, _COLUMNS))})"
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f"COPY {into} FROM STDIN") as copy:
                for row in rows:
                    copy.write_row(row)
            return
        marks = ", ".join(["%s"] * len(_COLUMNS))
        cursor.executemany(f"INSERT INTO {into} VALUES ({marks})", [*rows])  # noqa: S608 (names of our own columns)


def _table() -> str:
    return connection.ops.quote_name(Shot._meta.db_table)  # noqa: SLF001 (Django's documented interface)


def _end(file: ShotFile, state: str, why: str, **more: Any) -> None:
    """A file is over, and its bytes are of no more use."""
    with transaction.atomic():
        ended = ShotFile.objects.filter(pk=file.pk, claim=file.claim, state=State.READING).update(
            state=state, why=why[:300], claim=None, lease_until=None, done_at=timezone.now(), **more
        )
        if ended:
            file.pieces.all().delete()
    log.info("file of shots %s: %s", file.pk, state)
