"""Writing a line to a student: a few words, open to every guardian."""

from django.db import transaction

from practice.log.fields import is_storable
from practice.log.models import Entry, Line
from shared.people.models import Student, User

LONGEST_LINE = 600


class LineError(ValueError):
    """Why a line cannot be written, in words for whoever wrote it."""


@transaction.atomic
def write_line(*, student: Student, author: User, text: str, about: Entry | None = None) -> Line:
    """Keep a line; the student sees it on the phone, and a child's guardians see it too.

    Nobody can write to a child in private: without a guardian who has agreed to
    messages there is nobody to see the line, and it is not written. Raises LineError.
    """
    words = text.strip()
    if not words or not is_storable(words):
        raise LineError("Write a few words first.")
    if len(words) > LONGEST_LINE:
        raise LineError(f"Keep it to {LONGEST_LINE} characters.")
    if student.is_minor and not _a_guardian_reads(student):
        raise LineError("No guardian has agreed to messages yet, so nothing can be written here.")
    if about is not None and about.student_id != student.pk:
        about = None
    return Line.objects.create(student=student, author=author, text=words, about=about)


def _a_guardian_reads(student: Student) -> bool:
    guardians = student.guardianships.filter(withdrawn_at=None, consents_to_messages=True)
    return guardians.filter(user__is_active=True).exists()
