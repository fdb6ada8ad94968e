"""What somebody who teaches logs for a student: the same entry a phone makes, by another hand."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any
from uuid import UUID, uuid4

from practice.flows.take_entry import Receipt, Sender, receive_one
from practice.log.document import LATEST
from shared.people.access import Recordable
from shared.people.models import Student, User


def log_beside(
    *,
    student: Recordable,
    by: User,
    entry: UUID,
    day: date,
    at: datetime,
    blocks: Sequence[dict[str, Any]],
    minutes: float | None = None,
    from_paper: bool = False,
) -> Receipt:
    """Log a session of a student; the same id again adds nothing. `student.studio` is loaded.

    `from_paper`: the student ticked it on a printed week, and somebody writes it in.
    """
    document = _head(student, entry, day, at) | {"k": "log", "b": list(blocks), "min": minutes}
    if from_paper:
        document["paper"] = True
    return receive_one(document, sender=Sender(student, by))


def take_back_beside(
    *, student: Recordable, by: User, entry: UUID, day: date, at: datetime
) -> Receipt:
    """Take back what was logged so; a week after it the log stays as it is."""
    document = _head(student, uuid4(), day, at) | {"k": "back", "target": str(entry)}
    return receive_one(document, sender=Sender(student, by))


def _head(student: Student, entry: UUID, day: date, at: datetime) -> dict[str, Any]:
    return {
        "id": str(entry),
        "v": LATEST,
        "who": str(student.pk),
        "day": str(day),
        "at": at.isoformat(),
    }
