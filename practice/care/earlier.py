"""What hurt before somebody came: read by need and kept like all words about pain."""

from datetime import datetime

from django.db.models import QuerySet

from practice.care.models import EarlierHurt
from shared.people.access import Recordable
from shared.people.models import Student, User


def tell(*, student: Recordable, by: User, words: str) -> None:
    """In the place of what was told; nothing told is nothing kept."""
    EarlierHurt.objects.filter(student=student).delete()
    if words:
        EarlierHurt.objects.create(student=student, told_by=by, words=words)


def words_of(student: Student) -> str:
    """For those who read this student's pain: whoever shows it keeps the look."""
    return EarlierHurt.objects.filter(student=student).values_list("words", flat=True).first() or ""


def told_before(moment: datetime) -> QuerySet[EarlierHurt]:
    return EarlierHurt.objects.filter(told_at__lt=moment)
