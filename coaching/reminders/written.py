"""What a coach has written to a student, and of that what a reader has not been told of yet.

Nothing is stored for it but `Told`: a line that was read, taken back or told of needs no mail.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import Q
from django.utils import timezone

from coaching.reminders.models import Notice, Told
from coaching.reports.models import Report
from practice.care.models import PainNote
from practice.clips.models import Clip
from practice.log.models import Entry, Line
from shared.people import access
from shared.people.models import Student, User

# Older things are found on the page; a mail about them would only puzzle.
TOLD_WITHIN = timedelta(days=14)
MOST = 20
NOT_SENT = (Notice.State.CANCELLED, Notice.State.EXPIRED)


@dataclass(frozen=True, slots=True)
class Item:
    """One thing written. `text` is empty where the words are for the page alone."""

    what: str  # "line", "answer", "report" or "clip".
    id: UUID
    by: str
    at: datetime
    text: str = ""
    answers: bool = False  # A question of the student's, who waits for it.


def untold(student: Student, reader: User, *, but: UUID | None = None) -> list[Item]:
    """What this reader has neither read nor been told of, oldest first. Five queries at most.

    `but` is a notice that tells of it now and does not count.
    """
    since = timezone.now() - TOLD_WITHIN
    lines = Line.objects.filter(student=student, at__gte=since, seen_at=None)
    reports = Report.objects.filter(student=student, sent_at__gte=since)
    clips = Clip.objects.filter(student=student, made_at__gte=since, removed_at=None)
    found = [
        *_lines(lines.exclude(author=reader).select_related("author", "about")[:MOST]),
        *(
            Item("report", report.pk, str(report.by), report.sent_at)
            for report in reports.exclude(by=reader).select_related("by")[:MOST]
            if report.sent_at is not None
        ),
        *_clips(student, clips.exclude(author=reader).select_related("author")[:MOST]),
    ]
    told = _told(reader, [item.id for item in found], but) if found else set()
    return sorted((item for item in found if item.id not in told), key=lambda item: item.at)


def _lines(lines: Iterable[Line]) -> list[Item]:
    rows = list(lines)
    asked = [line.about.root for line in rows if line.about is not None]
    hurt = set(PainNote.objects.filter(entry__root__in=asked).values_list("entry__root", flat=True))
    return [
        Item(
            "answer" if line.about else "line",
            line.pk,
            str(line.author),
            line.at,
            "" if line.about and line.about.root in hurt else line.text,
            is_question(line.about),
        )
        for line in rows
    ]


def is_question(entry: Entry | None) -> bool:
    return entry is not None and "?" in entry.note


def _clips(student: Student, clips: Iterable[Clip]) -> list[Item]:
    """Those by somebody who teaches; not what the family sent itself, nor without consent."""
    clips = list(clips)
    if not clips or not access.may_be_seen(student):
        return []
    family = {student.user_id, *access.guardians_of(student).values_list("pk", flat=True)}
    return [
        Item("clip", clip.pk, str(clip.author), clip.made_at, clip.words)
        for clip in clips
        if clip.author_id not in family
    ]


def _told(reader: User, items: list[UUID], but: UUID | None) -> set[UUID]:
    rows = Told.objects.filter(item__in=items, notice__recipient=reader)
    rows = rows.exclude(Q(notice__state__in=NOT_SENT) | Q(notice=but))
    return set(rows.values_list("item", flat=True))


def tell(notice: Notice) -> list[Item]:
    """What this mail tells of beside its own matter; written down, and repeatable."""
    if notice.student is None:
        return []
    items = untold(notice.student, notice.recipient, but=notice.pk)
    Told.objects.bulk_create(
        [Told(notice=notice, what=item.what, item=item.id) for item in items],
        ignore_conflicts=True,
    )
    return items
