"""What a coach has written to a student, and of that what a reader has not been told of yet.

Nothing is stored for it but `Told`: a line that was read, taken back or told of needs no mail.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, fields
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID, uuid5

from django.db.models import DateField, DateTimeField, Max, Q, UUIDField
from django.utils import timezone

from coaching.reminders.due import ReminderKind
from coaching.reminders.models import Notice, Told
from coaching.reports.models import Report
from practice.care.models import PainNote
from practice.clips.models import Clip
from practice.log.models import Entry, Line
from practice.weeks.changed import changed_since
from practice.weeks.given import not_given
from practice.weeks.models import Week
from practice.weeks.queries import this_opening
from shared.kit.text import date_words
from shared.people import access
from shared.people.models import Student, User
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows, together

# Older things are found on the page; a mail about them would only puzzle.
TOLD_WITHIN = timedelta(days=14)
MOST = 60  # Of each kind, whoever wrote it.
MOST_CHANGES = 5  # Of one week in one mail; the week itself says the rest.
NOT_SENT = (Notice.State.CANCELLED, Notice.State.EXPIRED)


@dataclass(frozen=True, slots=True)
class Item:
    """One thing written. `text` is empty where the words are for the page alone."""

    what: str  # "line", "answer", "report", "clip" or "change".
    id: UUID
    by: str  # Nobody of a change: whoever may set the week may change it.
    at: datetime
    text: str = ""
    answers: bool = False  # A question of the student's, who waits for it.


def untold(student: Student, reader: User, *, but: UUID | None = None) -> list[Item]:
    """What this reader has neither read nor been told of, oldest first.

    `but` is a notice that tells of it now and does not count.
    """
    return untold_of(student, [reader], but=but)[0]


def untold_of(
    student: Student, readers: Sequence[User], *, but: UUID | None = None
) -> list[list[Item]]:
    """The same of each reader. Three queries at most, and two more a reader for a week that was
    changed."""
    asked = written_asked(student)
    together(*asked.rows())
    return untold_from(asked, student, readers, but=but)


@dataclass(frozen=True, slots=True)
class WrittenAsked:
    """What a coach wrote to a student lately, to be asked with others."""

    lines: Rows
    reports: Rows
    clips: Rows
    weeks: Rows
    takes: Question[access.Taken]
    guardians: Question[list[User]]

    def rows(self) -> list[Question[Any]]:
        return [getattr(self, each.name) for each in fields(self)]


def written_asked(student: Student) -> WrittenAsked:
    since = {"student": student.pk, "since": timezone.now() - TOLD_WITHIN}
    return WrittenAsked(
        Rows(_newest_lines, **since),
        Rows(_reports, **since),
        Rows(_newest_clips, **since),
        Rows(_changed, **since, opens=this_opening(student)),
        access.taken_asked(student),
        access.guardians_asked(student),
    )


_SINCE: dict[str, Any] = {"student": UUIDField, "since": DateTimeField}
_newest_lines = Prepared(
    lambda student, since: Line.objects.filter(
        student=student, at__gte=since, seen_at=None
    ).select_related("author", "about")[:MOST],
    **_SINCE,
)
_reports = Prepared(
    lambda student, since: Report.objects.filter(
        student=student, sent_at__gte=since
    ).select_related("by")[:MOST],
    **_SINCE,
)
_newest_clips = Prepared(
    lambda student, since: Clip.objects.filter(
        student=student, made_at__gte=since, removed_at=None, seen_at=None
    ).select_related("author")[:MOST],
    **_SINCE,
)
# Those that nobody of the student's side has as they stand.
_changed = Prepared(
    lambda student, since, opens: not_given(
        Week.objects.filter(
            student=student, state=Week.State.SENT, amended_at__gte=since, opens__gte=opens
        )
    ).order_by("opens"),
    **_SINCE,
    opens=DateField,
)


def untold_from(
    asked: WrittenAsked, student: Student, readers: Sequence[User], *, but: UUID | None = None
) -> list[list[Item]]:
    """The same of rows that were asked with others. Two queries at most, and two more a reader
    for a week that was changed."""
    written = [
        *_lines(asked.lines.answer),
        *(
            (report.by_id, Item("report", report.pk, str(report.by), report.sent_at))
            for report in asked.reports.answer
            if report.sent_at is not None
        ),
        *_clips(student, asked),
    ]
    weeks = asked.weeks.answer
    found = [
        [
            *(item for author, item in written if author != reader.pk),
            *_changes(weeks, reader, but),
        ]
        for reader in readers
    ]
    told = _told(readers, {item.id for items in found for item in items}, but)
    return [
        sorted((i for i in items if (reader.pk, i.id) not in told), key=lambda item: item.at)
        for reader, items in zip(readers, found, strict=True)
    ]


def _lines(lines: Iterable[Line]) -> list[tuple[UUID, Item]]:
    """Each with its author."""
    rows = list(lines)
    asked = [line.about.root for line in rows if line.about is not None]
    hurt = set(PainNote.objects.filter(entry__root__in=asked).values_list("entry__root", flat=True))
    return [
        (
            line.author_id,
            Item(
                "answer" if line.about else "line",
                line.pk,
                str(line.author),
                line.at,
                "" if line.about and line.about.root in hurt else line.text,
                is_question(line.about),
            ),
        )
        for line in rows
    ]


def is_question(entry: Entry | None) -> bool:
    return entry is not None and "?" in entry.note


def _clips(student: Student, asked: WrittenAsked) -> list[tuple[UUID, Item]]:
    """Each with its author. Those by somebody who teaches; not what the family sent itself, nor
    without consent."""
    if not asked.takes.answer.film:
        return []
    family = {student.user_id, *(guardian.pk for guardian in asked.guardians.answer)}
    return [
        (clip.author_id, Item("clip", clip.pk, str(clip.author), clip.made_at, clip.words))
        for clip in asked.clips.answer
        if clip.author_id not in family
    ]


def _changes(weeks: Iterable[Week], reader: User, but: UUID | None) -> Iterable[Item]:
    """Of those weeks the ones that were changed after this reader was told of them, or had them
    on a phone. Changed back, there is nothing to say.
    """
    for week in weeks:
        known = _known_since(week, reader, but)
        if week.amended_at is None or known is None or known >= week.amended_at:
            continue
        if said := changed_since(week, known):
            # Of this change alone: after one that is taken back, its number comes again.
            each = uuid5(week.pk, week.amended_at.isoformat())
            yield Item("change", each, "", week.amended_at, _change_words(week.opens, said))


def _change_words(opens: date, said: list[str]) -> str:
    more = ["The week says the rest."] if len(said) > MOST_CHANGES else []
    lead = f"The week of {date_words(opens)} was changed."
    return " ".join([lead, *said[:MOST_CHANGES], *more])


def _known_since(week: Week, reader: User, but: UUID | None) -> datetime | None:
    """When a mail last told this reader of the week; else, if it was opened, when it was sent."""
    notices = Notice.objects.filter(
        Q(kind=ReminderKind.NEW_WEEK, about=str(week.pk)) | Q(told__what="change"),
        recipient=reader,
        student=week.student_id,
        state__in=(Notice.State.SENT, Notice.State.UNKNOWN),
        ended_at__gte=week.sent_at,
    )
    if but is not None:
        notices = notices.exclude(pk=but)
    told: datetime | None = notices.aggregate(at=Max("ended_at"))["at"]
    return told or (week.sent_at if week.given_revision else None)


def _told(
    readers: Iterable[User], items: Collection[UUID], but: UUID | None
) -> set[tuple[UUID, UUID]]:
    """Who was told of what."""
    rows = Told.objects.filter(item__in=items, notice__recipient__in=list(readers))
    rows = rows.exclude(Q(notice__state__in=NOT_SENT) | Q(notice=but))
    return set(rows.values_list("notice__recipient", "item"))


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
