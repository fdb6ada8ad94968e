"""Writing a studio as JSON Lines: one record at a time, whatever its size."""

import hashlib
import json
from collections.abc import Iterator
from typing import Any

from django.db import connection, transaction
from django.utils import timezone

from coaching.records.kinds import MOVING, RecordKind, plain
from coaching.transfer.tables import FORMAT, VERSION
from shared.people.models import Studio

CHUNK = 500


def lines_of(studio: Studio) -> Iterator[str]:
    """The lines of the file, each with its end. Held in memory is one chunk of rows.

    Everything is read in one transaction, so that the file is of one moment.
    """
    digest, count = hashlib.sha256(), 0
    for line in _records(studio):
        digest.update(line.encode())
        count += 1
        yield line
    yield _line({"end": count, "sha256": digest.hexdigest()})


def _records(studio: Studio) -> Iterator[str]:
    yield _line(
        {
            "format": FORMAT,
            "version": VERSION,
            "studio": str(studio.pk),
            "name": studio.name,
            "made_at": timezone.now().isoformat(),
        }
    )
    with transaction.atomic():
        if connection.vendor == "postgresql" and not connection.savepoint_ids:
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        for kind in MOVING:
            yield from _rows(kind, studio)


def _rows(kind: RecordKind, studio: Studio) -> Iterator[str]:
    names = [field.attname for field in kind.fields]
    for row in kind.of_studio(studio.pk).values_list(*names).iterator(chunk_size=CHUNK):
        yield _line({"is": kind.name} | dict(zip(names, row, strict=True)))


def _line(record: dict[str, Any]) -> str:
    return json.dumps(record, ensure_ascii=False, separators=(",", ":"), default=plain) + "\n"
