"""Writing a line to a student: a few words, open to every guardian."""

from collections.abc import Collection
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from practice.log.fields import is_storable
from practice.log.models import Entry, Line
from shared.kit.refused import Refused
from shared.people import access
from shared.people.access import Recordable
from shared.people.models import Student, User

LONGEST_LINE = 600


@transaction.atomic
def write_line(*, student: Recordable, author: User, text: str, about: Entry | None = None) -> Line:
    """Keep a line; the student sees it on the phone, and a child's guardians see it too.

    Nobody can write to a child in private: without a guardian who has agreed to
    messages there is nobody to see the line, and it is not written. Raises Refused.
    """
    words = text.strip()
    if not words or not is_storable(words):
        raise Refused("Write a few words first.")
    if len(words) > LONGEST_LINE:
        raise Refused(f"Keep it to {LONGEST_LINE} characters.")
    if not access.may_write_to(student):
        raise Refused("No guardian has agreed to messages yet, so nothing can be written here.")
    if about is not None and about.student_id != student.pk:
        about = None
    return Line.objects.create(student=student, author=author, text=words, about=about)


def take_back_line(*, line: Line) -> bool:
    """Delete a line that nobody has read yet; whether it is gone."""
    gone, _ = Line.objects.filter(pk=line.pk, seen_at=None).delete()
    return bool(gone)


def ticks_for(student: Student, reader: User | None) -> bool:
    """Whether what this user has read the student has: a guardian only for a child without a
    phone."""
    return student.user_id is None or (reader is not None and reader.pk == student.user_id)


def mark_read(*, student: Recordable, by: User | None, only: Collection[UUID] | None = None) -> int:
    """Tick lines to the student as read: these, or every one. Returns how many were new."""
    if not ticks_for(student, by):
        return 0
    lines = Line.objects.filter(student=student, seen_at=None)
    if only is not None:
        lines = lines.filter(pk__in=only)
    return lines.update(seen_at=timezone.now())
