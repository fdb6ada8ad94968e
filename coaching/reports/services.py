"""Drafting, wording and sending a report."""

from datetime import date, timedelta

from django.db import transaction
from django.utils import timezone

from coaching.reports.body import body_of
from coaching.reports.models import LONGEST_WORDS, Report
from shared.kit.refused import Refused
from shared.people import access
from shared.people.access import Recordable
from shared.people.models import Student, User
from shared.people.today import today_of

LONGEST = timedelta(days=371)
FARTHEST = timedelta(days=30 * 366)


def draft(*, student: Recordable, by: User, first: date, last: date) -> Report:
    """Begin a report on these days. The draft of the same days again is the same one."""
    today = today_of(student)
    if first > last:
        raise Refused("The last day cannot be before the first.")
    if last > today:
        raise Refused("A report ends today or earlier.")
    if today - first > FARTHEST:
        raise Refused("A report begins within the last thirty years.")
    if last - first > LONGEST:
        raise Refused("A report covers a year at most.")
    found = Report.objects.filter(student=student, first=first, last=last, sent_at=None).first()
    return found or Report.objects.create(student=student, by=by, first=first, last=last)


def keep_words(*, report: Report, words: str) -> None:
    """Keep what the coach has written so far. Raises Refused; nothing is lost then."""
    if len(words) > LONGEST_WORDS:
        raise Refused(f"The words have {len(words)} characters; {LONGEST_WORDS} fit.")
    access.recordable(report.student)
    words = words.strip()
    Report.objects.filter(pk=report.pk, sent_at=None).update(words=words)
    report.words = words


@transaction.atomic
def send(*, report: Report, by: User, has_read: bool) -> Report:
    """From now on the student, or the guardians, can read it, just as it stands.

    Sending twice changes nothing. Raises Refused.
    """
    locked = (
        Report.objects.select_for_update(of=("self",))
        .select_related("student__user")
        .get(pk=report.pk)
    )
    if locked.sent_at is not None:
        return locked
    if not locked.words:
        raise Refused("Write a paragraph of your own first: figures alone are no report.")
    if not has_read:
        raise Refused("Read it to the end, and say so beside the button.")
    access.recordable(locked.student)
    if not access.may_write_to(locked.student):
        raise Refused(
            f"Nobody has agreed to read messages about {locked.student.name}, so it cannot be sent."
        )
    locked.body = body_of(locked.student, reader_of(locked.student, by), locked.first, locked.last)
    locked.by, locked.sent_at = by, timezone.now()
    locked.save()
    return locked


def reader_of(student: Student, otherwise: User) -> User:
    """In whose units it is written: the student's own, where there is a sign-in."""
    return student.user or otherwise


def discard(*, report: Report) -> None:
    """Drop a draft; what was sent stays."""
    Report.objects.filter(pk=report.pk, sent_at=None).delete()
