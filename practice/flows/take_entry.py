"""Taking what phones send: every entry once, none lost for a neighbour.

What comes together is read together and written together, each table once and each week's
tally once. A receipt is given only after the entry, its results and the tally of every week
it touches are committed.
"""

import hashlib
import json
import logging
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import partial
from typing import Any
from uuid import UUID

from django.db import IntegrityError, InterfaceError, OperationalError, transaction
from django.db.models import (
    Count,
    DateField,
    DateTimeField,
    Exists,
    FilteredRelation,
    Q,
    QuerySet,
    Subquery,
    UUIDField,
)
from django.utils import timezone

from practice.compliance import heard, tally
from practice.flows import chains
from practice.log.document import head, parse
from practice.log.fields import Refusal, is_storable
from practice.log.known import known_only
from practice.log.models import Entry, LogKey
from shared.people.access import Recordable
from shared.people.models import Student, User
from shared.site.prepared import Prepared

logger = logging.getLogger(__name__)
MOST_ENTRIES = 50
# Of one student in 24 hours: a month without signal fits, a program that runs wild does not.
MOST_A_DAY = 2000
LONGEST_ID = 64
_canonical = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode


def _lately(student: UUID, since: datetime) -> QuerySet[Entry, Any]:
    received = Entry.objects.filter(student=student, received_at__gt=since)
    return received.values("student").annotate(received=Count("*")).values("received")


_here = Prepared(
    lambda student, since, ids, opens: (
        Student.objects.filter(pk=student)
        .annotate(
            received=Subquery(_lately(student, since)),
            taken=Exists(Entry.objects.filter(pk__in=[ids])),
            heard=heard.of(student),
            week=FilteredRelation("tallies", condition=Q(tallies__opens=opens)),
        )
        .values_list("received", "taken", "heard", "week__heard", "week__so_far")
    ),
    student=UUIDField,
    since=DateTimeField,
    ids=UUIDField,
    opens=DateField,
)
_taken = Prepared(
    lambda ids: Entry.objects.filter(pk__in=[ids]).values_list("pk", "student", "fingerprint"),
    ids=UUIDField,
)


@dataclass(frozen=True, slots=True)
class Sender:
    """For whom entries come in, and who wrote them. The student's studio must be loaded."""

    student: Recordable
    writer: User | None
    key: LogKey | None = None


@dataclass(frozen=True, slots=True)
class Receipt:
    verdict: str
    reason: str = ""
    sentence: str = ""


@dataclass(frozen=True, slots=True)
class Here:
    """What is here already: how much was received of the student's day, whether one of the ids
    is taken, and the week as far as its kept tally stands."""

    received: int
    taken: bool
    opens: date
    heard: int | None
    so_far: tally.SoFar | None


STORED, HAD = Receipt("stored"), Receipt("had")
FULL = Receipt("hold", "quota", "That is more than a day can take. The rest waits here.")


def receive(
    entries: Sequence[object], *, sender: Sender, sent: datetime | None = None
) -> dict[str, Receipt]:
    """One receipt per entry that names itself. An entry without one stays on the phone.

    All are taken in one transaction, or else each on its own. Raises
    django.db.OperationalError while the database is away: then nothing more is said, and
    what was taken before is 'had' the next time.
    """
    named = [(name, raw) for raw in entries if (name := _name(raw)) is not None]
    try:
        receipts = _take([raw for _, raw in named], sender=sender, sent=sent)
    except (OperationalError, InterfaceError):
        raise
    except Exception:
        # A fault of ours in one entry must not keep its neighbours waiting.
        logger.warning("%d entries are taken one by one", len(named), exc_info=True)
        return _each_alone(named, sender, sent)
    return {name: receipt for (name, _), receipt in zip(named, receipts, strict=True)}


def _each_alone(
    named: Sequence[tuple[str, object]], sender: Sender, sent: datetime | None
) -> dict[str, Receipt]:
    receipts = {}
    for name, raw in named:
        try:
            receipts[name] = receive_one(raw, sender=sender, sent=sent)
        except (OperationalError, InterfaceError):
            raise
        except Exception:
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
    take = partial(_take, [raw], sender=sender, sent=sent, now=now, with_tally=with_tally)
    try:
        (receipt,) = take()
    except IntegrityError:
        # Another student's entry may just have taken the id; then it is found now.
        (receipt,) = take()
    return receipt


def receive_past(
    document: dict[str, Any], student: Recordable, *, writer: User | None, at: datetime
) -> Receipt:
    """Keep an entry as if received at `at`; the caller recomputes the tallies afterwards."""
    sender = Sender(student, writer)
    return receive_one(document, sender=sender, now=at, with_tally=False)


def fingerprint_of(raw: object) -> str:
    """SHA-256 of the canonical JSON: the same whatever the order of its keys."""
    return hashlib.sha256(_canonical(raw).encode()).hexdigest()


def _name(raw: object) -> str | None:
    """What to call the entry in the answer, even if it is not a proper id."""
    name = raw.get("id") if isinstance(raw, Mapping) else None
    if not isinstance(name, str) or not is_storable(name) or not 0 < len(name) <= LONGEST_ID:
        return None
    return name


def _take(
    raws: Sequence[object],
    *,
    sender: Sender,
    sent: datetime | None = None,
    now: datetime | None = None,
    with_tally: bool = True,
) -> list[Receipt]:
    """A receipt for each, in their order; what is new is kept with its tallies, or nothing is."""
    read = [_read(raw, sender, sent, now or timezone.now()) for raw in raws]
    coming = [each for each in read if isinstance(each, chains.Incoming)]
    receipts = iter(_keep(coming, with_tally=with_tally))
    return [each if isinstance(each, Receipt) else next(receipts) for each in read]


def _read(
    raw: object, sender: Sender, sent: datetime | None, now: datetime
) -> chains.Incoming | Receipt:
    try:
        said = head(raw)
        if said.student != sender.student.pk:
            return Receipt("hold", "other_person", "This was written for another student.")
        assert isinstance(raw, Mapping)  # noqa: S101 (head() has said so)
        return chains.Incoming(
            document=parse(raw, said),
            raw=known_only(raw),
            fingerprint=fingerprint_of(raw),
            student=sender.student,
            writer=sender.writer,
            key=sender.key,
            sent=sent,
            now=now,
        )
    except Refusal as refusal:
        return _refused(refusal)


def _keep(coming: Sequence[chains.Incoming], *, with_tally: bool) -> list[Receipt]:
    if not coming:
        return []
    student = coming[0].student
    touched: set[date] = set()
    with transaction.atomic():
        tally.take_turns(student)
        here = _look(coming)
        known = _known(coming) if here.taken else {}
        receipts = [receipt for entry in coming if (receipt := _earlier(entry, known))]
        if len(receipts) == len(coming):
            return receipts
        room = MOST_A_DAY - here.received
        batch = chains.EntryBatch(coming)
        receipts = []
        for entry in coming:
            receipt = _earlier(entry, known) or (None if room else FULL)
            if receipt is None:
                receipt = _try(batch, entry, touched)
            if receipt is STORED:
                known[entry.document.id] = (student.pk, entry.fingerprint)
                room -= 1
            receipts.append(receipt)
        batch.write()
        if with_tally:
            _tally(student, touched, here, batch)
    return receipts


def _tally(student: Student, touched: set[date], here: Here, batch: chains.EntryBatch) -> None:
    """Plain logs of one week are added to it, if nothing else was written of the student since."""
    if batch.logged is None or here.heard is None:
        tally.keep(student, touched)
        return
    heard_then = here.heard + batch.written + len(touched)
    if touched == {here.opens} and here.so_far:
        so_far = tally.added(here.so_far, here.opens, batch.logged)
        if so_far:
            tally.keep_added(student, here.opens, here.so_far, so_far, heard_then)
            return
    tally.keep(student, touched, heard_then)


def _try(batch: chains.EntryBatch, entry: chains.Incoming, touched: set[date]) -> Receipt:
    try:
        touched |= batch.keep(entry)
    except Refusal as refusal:
        return _refused(refusal)
    return STORED


def _refused(refusal: Refusal) -> Receipt:
    return Receipt(refusal.verdict, refusal.reason, refusal.sentence)


def _look(coming: Sequence[chains.Incoming]) -> Here:
    """Of the student, before anything is written. One query."""
    first = coming[0]
    opens = first.week_of(first.document.day)
    ids = [entry.document.id for entry in coming]
    since = first.now - timedelta(days=1)
    ((received, taken, heard_now, heard_then, text),) = _here(
        student=first.student.pk, since=since, ids=ids, opens=opens
    )
    stands = heard_now is not None and heard_now == heard_then
    so_far = tally.so_far_of(text) if stands else None
    return Here(received or 0, bool(taken), opens, heard_now, so_far)


def _known(coming: Sequence[chains.Incoming]) -> dict[UUID, tuple[UUID, str]]:
    """Whose the ids are that are taken already, and what came under them."""
    rows = _taken(ids=[entry.document.id for entry in coming])
    return {pk: (student, fingerprint) for pk, student, fingerprint in rows}


def _earlier(entry: chains.Incoming, known: Mapping[UUID, tuple[UUID, str]]) -> Receipt | None:
    """What to say of an id that is taken."""
    if entry.document.id not in known:
        return None
    student, fingerprint = known[entry.document.id]
    if student != entry.student.pk:
        return Receipt("refused", "id_taken", "This id cannot be used. Save it again as new.")
    if fingerprint != entry.fingerprint:
        sentence = "Something else was sent under this id before. Save it again as new."
        return Receipt("refused", "differs", sentence)
    return HAD
