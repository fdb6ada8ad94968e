"""Writing down pain, stopping for it, and clearing a stop. Callers bring the transaction."""

from collections.abc import Callable
from datetime import date
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from practice.care.models import CautionRead, PainNote, Stop
from practice.care.rules import is_serious
from practice.compliance import tally
from practice.drills.models import Caution
from practice.log.models import Entry
from practice.weeks.models import Week
from shared.kit.weeks import week_start
from shared.people import access
from shared.people.access import Recordable
from shared.people.models import Student, User

# Who tells people of serious pain, in the transaction in which it is written down.
told_of: list[Callable[[PainNote], None]] = []


@transaction.atomic
def note_pain(
    *,
    entry: Entry,
    level: int,
    where: str = "",
    signs: tuple[str, ...] = (),
    is_new: bool = True,
    drill: UUID | None = None,
) -> PainNote:
    """Keep pain told with an entry, and stop what it asks to stop from that day on.

    Told again in the same words by a change of the entry, it stays one note; in others, the last
    is read for all of them (practice.care.queries.told_last). Taking
    the entry back removes neither: a coach clears a stop.
    """
    student = access.recordable(entry.student)
    told = {
        "level": level,
        "where": where,
        "signs": list(signs),
        "is_new": is_new,
        "drill_id": drill,
        "day": entry.day,
    }
    note = _same_note(entry, told)
    if note is None:
        note = PainNote.objects.create(
            student=student, entry=entry, told_at=entry.received_at, **told
        )
        if is_serious(level, signs):
            _stop(note)
            for tell in told_of:
                tell(note)
    return note


def _same_note(entry: Entry, told: dict[str, object]) -> PainNote | None:
    if entry.kind != Entry.Kind.CHANGE:
        return None
    earlier = PainNote.objects.filter(student=entry.student, entry__root=entry.root)
    note = earlier.order_by("told_at").last()
    if note is None or any(getattr(note, name) != value for name, value in told.items()):
        return None
    # The note follows the entry that counts.
    note.entry = entry
    note.save(update_fields=["entry"])
    return note


def _stop(note: PainNote) -> None:
    """The part that hurt, and all hard work. A stop already open keeps its own day."""
    for drill in {note.drill, None}:
        Stop.objects.get_or_create(
            student=note.student,
            drill=drill,
            cleared_at=None,
            defaults={"pain": note, "since": note.day},
        )


def keep_words(*, student: Recordable, is_kept: bool) -> None:
    """Whether what the student told of pain so far stays in words, or fades in its time."""
    PainNote.objects.filter(student=student, faded_at=None).update(is_kept=is_kept)


@transaction.atomic
def fade(note: PainNote) -> None:
    """Forget where it hurt and how, in the note and in the logs it came with. The level stays."""
    for entry in Entry.objects.filter(root=note.entry.root).select_for_update():
        pain = entry.document.get("pain")
        if pain:
            entry.document["pain"] = pain | {"where": "", "signs": []}
            entry.save(update_fields=["document"])
    PainNote.objects.filter(pk=note.pk).update(where="", signs=[], faded_at=timezone.now())


def weeks_from(student: Student, day: date) -> set[date]:
    """The openings of the weeks a stop on `day` bears on: that week and later ones sent."""
    opens = week_start(day, student.studio.first_weekday)
    later = Week.objects.filter(student=student, state=Week.State.SENT, opens__gte=opens)
    return {opens, *later.values_list("opens", flat=True)}


@transaction.atomic
def clear_stop(*, stop: Stop, by: User, words: str, day: date) -> bool:
    """Let the student go on from `day`. Returns whether this call cleared it."""
    student = access.recordable(stop.student)
    tally.take_turns(student)
    cleared = Stop.objects.filter(pk=stop.pk, cleared_at=None).update(
        cleared_at=timezone.now(), cleared_on=day, cleared_by=by, clearing_words=words[:300]
    )
    if not cleared:
        return False
    tally.keep(student, weeks_from(student, stop.since))
    return True


def understand(*, student: Recordable, caution_id: UUID | None, user: User | None) -> bool:
    """Note that a caution of the student's own studio was understood; once is enough."""
    if caution_id is None:
        return False
    caution = Caution.objects.filter(pk=caution_id, drill__studio=student.studio_id).first()
    if caution is None:
        return False
    CautionRead.objects.get_or_create(student=student, caution=caution, defaults={"user": user})
    return True
