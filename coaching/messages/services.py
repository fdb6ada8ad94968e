"""Answering a note, ticking it as seen, keeping its words as a cue."""

from uuid import UUID

from django.db import transaction

from coaching.messages.models import KeptWords, NoteSeen
from coaching.messages.queries import first_drill, tells_of_pain
from practice.log.models import Entry, Line
from practice.log.services import write_line
from shared.kit.refused import Refused
from shared.people.access import recordable
from shared.people.models import User

LONGEST_CUE = 160


def answer(*, entry: Entry, by: User, text: str) -> Line:
    """A line about the session; guardians of a child see it too. Raises Refused."""
    return write_line(student=recordable(entry.student), author=by, text=text, about=entry)


def tick(*, entry: Entry, by: User) -> None:
    """The student reads 'seen'. Ticked twice is ticked once."""
    student = recordable(entry.student)
    NoteSeen.objects.get_or_create(root=entry.root, defaults={"student": student, "by": by})


def is_ticked(entry: Entry) -> bool:
    return NoteSeen.objects.filter(root=entry.root).exists()


def untick(*, entry: Entry) -> None:
    """The note waits again. Twice is the same as once."""
    NoteSeen.objects.filter(root=entry.root).delete()


@transaction.atomic
def drop_words(*, entry: Entry, kept_id: UUID, untick_too: bool) -> None:
    """A cue kept by mistake; it was seen before, or not."""
    KeptWords.objects.filter(pk=kept_id, student=entry.student_id).delete()
    if untick_too:
        untick(entry=entry)


@transaction.atomic
def keep_words(*, entry: Entry, by: User, text: str, drill: UUID | None = None) -> KeptWords:
    """Keep the student's words as the cue of the drill they were written with.

    Raises Refused; also for a note that tells of pain, which is no cue: of such a one
    only words of the coach's own writing are kept.
    """
    student = recordable(entry.student)
    words = text.strip().strip('“”"')
    if not words or len(words) > LONGEST_CUE:
        raise Refused(f"A cue has 1 to {LONGEST_CUE} characters. Shorten it to the feel.")
    if words == entry.note.strip().strip('“”"') and tells_of_pain(entry):
        raise Refused("This note tells of pain. Write the cue in the box, in other words.")
    drill = drill or first_drill(entry)
    kept = KeptWords.objects.filter(student=student, drill=drill, text=words).first()
    if kept is None:
        kept = KeptWords.objects.create(
            student=student, drill_id=drill, text=words, entry=entry, by=by
        )
    tick(entry=entry, by=by)
    return kept
