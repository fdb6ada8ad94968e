"""Answering a note, ticking it as seen, keeping its words as a cue."""

from uuid import UUID

from django.db import transaction
from django.utils import timezone

from coaching.words.models import KeptWords, NoteSeen
from coaching.words.queries import first_drill
from practice.log.commands import LineError, write_line
from practice.log.models import Entry, Line
from shared.people.models import Student, User

LONGEST_CUE = 160


def answer(*, entry: Entry, by: User, text: str) -> Line:
    """A line about the session; guardians of a child see it too. Raises LineError."""
    return write_line(student=entry.student, author=by, text=text, about=entry)


def tick(*, entry: Entry, by: User) -> None:
    """The student reads 'seen'. Ticked twice is ticked once."""
    NoteSeen.objects.get_or_create(root=entry.root, defaults={"student": entry.student, "by": by})


@transaction.atomic
def keep_words(*, entry: Entry, by: User, text: str, drill: UUID | None = None) -> KeptWords:
    """Keep the student's words as the cue of the drill they were written with. Raises LineError."""
    words = text.strip().strip('“”"')
    if not words or len(words) > LONGEST_CUE:
        raise LineError(f"A cue has 1 to {LONGEST_CUE} characters. Shorten it to the feel.")
    drill = drill or first_drill(entry)
    kept = KeptWords.objects.filter(student=entry.student, drill=drill, text=words).first()
    if kept is None:
        kept = KeptWords.objects.create(
            student=entry.student, drill_id=drill, text=words, entry=entry, by=by
        )
    tick(entry=entry, by=by)
    return kept


def mark_read(*, student: Student) -> int:
    """Every line to the student is ticked as read. Returns how many were new."""
    return Line.objects.filter(student=student, seen_at=None).update(seen_at=timezone.now())
