"""Taking what phones send: every entry once, each on its own, none lost for a neighbour.

A receipt is given only after the entry, its results and the tally of every week
it touches are committed together.
"""

import hashlib
import json
import logging
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import IntegrityError, InterfaceError, OperationalError, transaction
from django.utils import timezone

from practice.compliance import tally
from practice.log import chains
from practice.log.document import head, parse
from practice.log.fields import Refusal, is_storable
from practice.log.models import Entry, LogKey
from shared.people.models import Student, User

logger = logging.getLogger(__name__)
MOST_ENTRIES = 50
LONGEST_ID = 64


@dataclass(frozen=True, slots=True)
class Sender:
    """For whom entries come in, and who wrote them. The student's studio must be loaded."""

    student: Student
    writer: User | None
    key: LogKey | None = None


@dataclass(frozen=True, slots=True)
class Receipt:
    verdict: str
    reason: str = ""
    sentence: str = ""


STORED, HAD = Receipt("stored"), Receipt("had")


def receive(
    entries: Sequence[object], *, sender: Sender, sent: datetime | None = None
) -> dict[str, Receipt]:
    """One receipt per entry that names itself. An entry without one stays on the phone.

    Raises django.db.OperationalError while the database is away: then nothing
    more is said, and what was taken before is 'had' the next time.
    """
    receipts = {}
    for raw in entries:
        name = _name(raw)
        if name is None:
            continue
        try:
            receipts[name] = receive_one(raw, sender=sender, sent=sent)
        except (OperationalError, InterfaceError):
            raise
        except Exception:
            # A fault of ours in one entry must not keep its neighbours waiting.
            logger.exception("An entry could not be taken: %s", name)
    return receipts


def receive_one(
    raw: object,
    *,
    sender: Sender,
    sent: datetime | None = None,
    now: datetime | None = None,
    with_tally: bool = True,
) -> Receipt:
    """Keep one entry unless it is here already, and say which of the two it was."""
    try:
        if head(raw).student != sender.student.pk:
            return Receipt("hold", "other_person", "This was written for another student.")
        assert isinstance(raw, Mapping)  # noqa: S101 (head() has said so)
        entry = chains.Incoming(
            document=parse(raw),
            raw=dict(raw),
            fingerprint=fingerprint_of(raw),
            student=sender.student,
            writer=sender.writer,
            key=sender.key,
            sent=sent,
            now=now or timezone.now(),
        )
        return _keep_once(entry, with_tally=with_tally)
    except Refusal as refusal:
        return Receipt(refusal.verdict, refusal.reason, refusal.sentence)


def receive_past(
    document: dict[str, Any], student: Student, *, writer: User | None, at: datetime
) -> Receipt:
    """Keep an entry as if received at `at`; the caller recomputes the tallies afterwards."""
    sender = Sender(student, writer)
    return receive_one(document, sender=sender, now=at, with_tally=False)


def fingerprint_of(raw: object) -> str:
    """SHA-256 of the canonical JSON: the same whatever the order of its keys."""
    canonical = json.dumps(raw, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(canonical.encode()).hexdigest()


def _name(raw: object) -> str | None:
    """What to call the entry in the answer, even if it is not a proper id."""
    name = raw.get("id") if isinstance(raw, Mapping) else None
    if not isinstance(name, str) or not is_storable(name) or not 0 < len(name) <= LONGEST_ID:
        return None
    return name


def _keep_once(entry: chains.Incoming, *, with_tally: bool) -> Receipt:
    if earlier := _earlier(entry):
        return earlier
    try:
        with transaction.atomic():
            tally.take_turns(entry.student)
            if earlier := _earlier(entry):
                return earlier
            touched = chains.keep(entry)
            if with_tally:
                for opens in sorted(touched):
                    tally.keep(entry.student, opens)
    except IntegrityError:
        # Another student's entry has just taken the id.
        if earlier := _earlier(entry):
            return earlier
        raise
    return STORED


def _earlier(entry: chains.Incoming) -> Receipt | None:
    kept = Entry.objects.filter(pk=entry.document.id).values("student_id", "fingerprint").first()
    if kept is None:
        return None
    if kept["student_id"] != entry.student.pk:
        return Receipt("refused", "id_taken", "This id cannot be used. Save it again as new.")
    if kept["fingerprint"] != entry.fingerprint:
        sentence = "Something else was sent under this id before. Save it again as new."
        return Receipt("refused", "differs", sentence)
    return HAD
