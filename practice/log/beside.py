"""What somebody who teaches logs for a student: the same entry a phone makes, by another hand."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any
from uuid import UUID, uuid4

from practice.log.document import LATEST
from practice.log.receive import Receipt, Sender, receive_one
from shared.people import access
from shared.people.models import Student, User

NO_CONSENT = Receipt("refused", "consent", "No guardian has agreed that anything is kept.")


def log_beside(
    *,
    student: Student,
    by: User,
    entry: UUID,
    day: date,
    at: datetime,
    blocks: Sequence[dict[str, Any]],
    minutes: float | None = None,
) -> Receipt:
    """Log a session of a student; the same id again adds nothing. `student.studio` is loaded."""
    if not access.may_be_recorded(student):
        return NO_CONSENT
    document = _head(student, entry, day, at) | {"k": "log", "b": list(blocks), "min": minutes}
    return receive_one(document, sender=Sender(student, by))


def take_back_beside(
    *, student: Student, by: User, entry: UUID, day: date, at: datetime
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
