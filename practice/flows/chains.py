"""What each kind of entry does once it is let in. Callers bring the transaction.

Changes and take-backs form a chain with the log they point at; of a chain the
latest received counts, and all of it is kept.
"""

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import transaction

from practice.care.rules import is_serious
from practice.compliance.facts import DoneBlock, ToldEntry
from practice.compliance.tally import Logged
from practice.flows import excuse
from practice.flows import stop as care
from practice.flows.resolve import NewResult, named_by, results_of
from practice.log import clock
from practice.log.document import Document
from practice.log.fields import Refusal
from practice.log.models import Entry, LogKey, Result
from practice.shots import from_log as shots
from practice.weeks.models import Excusal
from shared.kit.refused import Refused
from shared.kit.weeks import practice_day, week_start
from shared.people.access import Recordable
from shared.people.models import Student, User
from shared.site.prepared import PreparedRows, new_one, stand_beside

_new_entries, _new_results = PreparedRows(Entry), PreparedRows(Result)
CHAINED = (Entry.Kind.LOG, Entry.Kind.CHANGE, Entry.Kind.TAKE_BACK)


@dataclass(frozen=True, slots=True)
class Incoming:
    """An entry on its way in: what it says, and who brings it when."""

    document: Document
    raw: dict[str, Any]
    fingerprint: str
    student: Recordable
    writer: User | None
    key: LogKey | None
    sent: datetime | None
    now: datetime

    @property
    def zone(self) -> str:
        return str(self.student.time_zone)

    def week_of(self, day: date) -> date:
        return week_start(day, self.student.studio.first_weekday)


class EntryBatch:
    """Entries of one student, taken one after another in one transaction.

    What they name is read once, and the rows of logs go out a table at a time.
    """

    def __init__(self, entries: Sequence[Incoming]) -> None:
        self.student, self.writer = entries[0].student, entries[0].writer
        self.named = named_by([entry.document for entry in entries], self.student)
        self._forget()

        # Whether all of it was plain logs: they are told here, and how many rows were written.
        self.logged: list[Logged] | None = []
        self.written = 0

    def _forget(self) -> None:
        self._rows: list[Entry] = []
        self._results: list[NewResult] = []
        self._sittings: list[shots.NewSitting] = []

    def keep(self, entry: Incoming) -> set[date]:
        """Take the entry and what follows from it; return the openings of the weeks it touches.

        Raises Refusal, and then nothing of this entry is kept. The caller writes in the end.
        """
        keeper = _KEEPERS[entry.document.kind]
        if keeper is _keep_log and entry.document.pain is None:
            return keeper(self, entry)
        self.logged = None
        self.write()  # What came before is in the tables for those that ask them.
        try:
            with transaction.atomic():
                touched = keeper(self, entry)
                self.write()
        finally:
            self._forget()
        return touched

    def add(
        self, row: Entry, results: Sequence[NewResult], sittings: Sequence[shots.NewSitting]
    ) -> None:
        if sittings:
            self.logged = None
        if self.logged is not None:
            self.logged.append(_logged(row, results, self.written))
            self.written += 1 + len(results)
        self._rows.append(row)
        self._results += results
        self._sittings += sittings

    def write(self) -> None:
        """What was added, in two statements, and four more for shots."""
        _new_entries(self._rows)
        _new_results(self._results)
        shots.keep_sittings(student=self.student, sittings=self._sittings, by=self.writer)
        self._forget()


def _logged(row: Entry, results: Sequence[NewResult], number: int) -> Logged:
    """As it will be read; the results have numbers from this one on."""
    told = ToldEntry(row.day, row.at, row.at, row.utc_offset_minutes, None)
    done = [
        DoneBlock(
            pk=pk,
            entry=row.id,
            root=row.root,
            day=row.day,
            received_at=row.received_at,
            whole=row.minutes,
            opens=result.opens,
            filed=result.filed,
            part=result.part_id,
            drill=result.drill_id,
            what=result.what,
            steps=result.steps,
            minutes=result.minutes,
            balls=result.balls,
            hard_swings=result.hard_swings,
            as_asked=result.as_asked,
            stopped=result.stopped,
        )
        for pk, result in enumerate(results, number)
    ]
    return Logged(told, done)


def _keep_log(batch: EntryBatch, entry: Incoming) -> set[date]:
    return _keep_session(batch, entry, root=entry.document.id)


def _keep_change(batch: EntryBatch, entry: Incoming) -> set[date]:
    root = _root(entry)
    return _keep_session(batch, entry, root=root, was=_counting(root))


def _keep_session(
    batch: EntryBatch, entry: Incoming, *, root: UUID, was: Entry | None = None
) -> set[date]:
    document = entry.document
    moment = clock.settle(
        day=document.day,
        at=document.at,
        sent=entry.sent,
        now=entry.now,
        zone=entry.zone,
        joined=entry.student.joined_on,
    )
    named = batch.named
    results = results_of(
        document.blocks, named=named, student=entry.student, day=moment.day, entry=document.id
    )
    touched = _set_aside(entry, was)
    row = _row(
        entry,
        root=root,
        day=moment.day,
        counts=True,
        from_memory=moment.from_memory,
        minutes=document.minutes,
        felt=document.felt,
        note=document.note,
    )
    batch.add(row, results, _sittings(document, row, results))
    if was is not None and not document.says_shots:
        batch.write()
        shots.carry_over(was=was, to=row)
    touched |= {entry.week_of(row.day)} | {r.opens for r in results}
    return touched | _tell_pain(batch, entry, row)


def _sittings(document: Document, row: Entry, results: list[NewResult]) -> list[shots.NewSitting]:
    pairs = zip(document.blocks, results, strict=True)
    return [
        shots.NewSitting(
            entry=row,
            drill=result.drill_id,
            device=block.shots.device,
            ball=block.shots.ball,
            place=block.shots.place,
            indoors=block.shots.indoors,
            shots=[asdict(ball) for ball in block.shots.balls],
        )
        for block, result in pairs
        if block.shots
    ]


def _tell_pain(batch: EntryBatch, entry: Incoming, row: Entry) -> set[date]:
    pain = entry.document.pain
    if pain is None or (pain.level == 0 and not pain.signs):
        return set()
    batch.write()
    # Pain is never refused for naming a part that is no longer there.
    part = batch.named.parts.get(pain.part) if pain.part else None
    care.note_pain(
        entry=row,
        level=pain.level,
        where=pain.where,
        signs=pain.signs,
        is_new=pain.is_new,
        drill=part.drill if part else None,
    )
    if is_serious(pain.level, pain.signs):
        return care.weeks_from(entry.student, row.day)
    return set()


def _keep_back(batch: EntryBatch, entry: Incoming) -> set[date]:
    root = _root(entry)
    day = Entry.objects.values_list("day", flat=True).get(pk=root)
    touched = _set_aside(entry, _counting(root))
    batch.add(_row(entry, root=root, day=day, counts=False), [], [])
    return touched


def _keep_read(batch: EntryBatch, entry: Incoming) -> set[date]:
    known = care.understand(
        student=entry.student, caution_id=entry.document.caution, user=entry.writer
    )
    if not known:
        raise Refusal("target", "This caution is not on your list any more.")
    _keep_word(batch, entry)
    return set()


def _keep_away(batch: EntryBatch, entry: Incoming) -> set[date]:
    document = entry.document
    first, last = document.first, document.last
    if first is None or last is None:
        raise Refusal("day", "Say the first and the last day.")
    _keep_word(batch, entry)
    if document.off:
        _withdraw(entry.student, first, last)
        return set()
    try:
        excuse.excuse(
            student=entry.student,
            first=first,
            last=last,
            kind=document.away_kind,
            told_by=entry.writer,
        )
    except Refused as error:
        raise Refusal("day", str(error)) from error
    return set()  # The weeks are recomputed by those who wrote the days.


def _keep_word(batch: EntryBatch, entry: Incoming) -> None:
    """What is no practice is kept so that the phone never sends it again."""
    batch.add(_row(entry, root=entry.document.id, day=_today(entry), counts=False), [], [])


def _withdraw(student: Student, first: date, last: date) -> None:
    spans = Excusal.objects.filter(student=student, first=first, last=last, withdrawn_at=None)
    for excusal in spans.select_related("student__studio"):
        excuse.withdraw_excusal(excusal=excusal)


def _today(entry: Incoming) -> date:
    written = clock.written_at(entry.document.at, entry.sent, entry.now)
    return practice_day(written, entry.zone)


def _root(entry: Incoming) -> UUID:
    """The first entry of the chain that the target is in.

    Another student's entry and one that never was are the same answer.
    """
    own = Entry.objects.filter(student=entry.student, kind__in=CHAINED)
    wanted = entry.document.target
    target = own.filter(pk=wanted).first() if wanted else None
    if target is None:
        raise Refusal(
            "target",
            "The visit this belongs to is not here. If it needs a look too, put that one right.",
        )
    first = own.values("day", "received_at").get(pk=target.root)
    if _today(entry) > clock.open_until(first["day"], first["received_at"], entry.zone):
        raise Refusal("late", clock.TOO_LATE)
    return target.root


def _counting(root: UUID) -> Entry | None:
    return Entry.objects.filter(root=root, counts=True).first()


def _set_aside(entry: Incoming, row: Entry | None) -> set[date]:
    """What counted of the chain counts no more; the weeks that loses."""
    if row is None:
        return set()
    row.counts = False
    row.save(update_fields=["counts"])
    shots.set_aside(row)
    lost = Result.objects.filter(entry=row).values_list("opens", flat=True)
    return {entry.week_of(row.day), *lost}


def _row(
    entry: Incoming,
    *,
    root: UUID,
    day: date,
    counts: bool,
    from_memory: bool = False,
    minutes: float | None = None,
    felt: int | None = None,
    note: str = "",
) -> Entry:
    document, student, writer, key = entry.document, entry.student, entry.writer, entry.key
    offset = document.at.utcoffset() or timedelta()
    row: Entry = new_one(
        Entry,
        id=document.id,
        student_id=student.pk,
        writer_id=writer.pk if writer else None,
        key_id=key.pk if key else None,
        kind=document.kind,
        root=root,
        counts=counts,
        day=day,
        at=clock.written_at(document.at, entry.sent, entry.now),
        utc_offset_minutes=int(offset.total_seconds() // 60),
        received_at=entry.now,
        from_memory=from_memory,
        minutes=minutes,
        felt=felt,
        note=note,
        document=entry.raw,
        fingerprint=entry.fingerprint,
    )
    stand_beside(row, student=student, writer=writer, key=key)
    return row


_KEEPERS: dict[str, Callable[[EntryBatch, Incoming], set[date]]] = {
    "log": _keep_log,
    "change": _keep_change,
    "back": _keep_back,
    "read": _keep_read,
    "away": _keep_away,
}
