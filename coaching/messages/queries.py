"""Notes and their answers. Each function's cost is in its docstring."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import ceil
from statistics import median
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import (
    DateField,
    DateTimeField,
    Exists,
    Field,
    Min,
    OuterRef,
    Q,
    QuerySet,
    UUIDField,
)
from django.http import Http404

from coaching.messages.models import KeptWords, NoteSeen
from practice.care.models import PainNote
from practice.clips.models import Clip
from practice.clips.queries import with_entries_asked
from practice.compliance.facts import counting_at
from practice.log.models import Entry, Line, Result
from practice.weeks.models import Part
from shared.kit.text import date_words, many
from shared.people import access
from shared.people.models import Student, User
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows, together

OPEN_FOR = timedelta(days=30)
PAGE = 40
CUES = 20
HOURS_SAID = 48  # Longer is said in days.
MOST_ANSWERED = 500
REPLY_DAYS = 2


@dataclass(frozen=True, slots=True)
class NoteAnswer:
    by: str
    at: str
    text: str
    is_seen: bool


@dataclass(frozen=True, slots=True)
class NoteView:
    """One note of a student with its answers, as the templates print it."""

    id: UUID
    root: UUID
    student_id: UUID
    student: str
    at: str
    day: str
    text: str
    drills: str
    is_question: bool
    is_seen: bool
    answers: tuple[NoteAnswer, ...]
    # Pain was told with it: its words are no cue.
    tells_pain: bool = False
    clips: tuple[Clip, ...] = ()


def noted(students: QuerySet[Student]) -> QuerySet[Entry]:
    counting = Entry.objects.filter(counts=True, student__in=students)
    return counting.exclude(note="").select_related("student")


def unanswered(user: User, now: datetime) -> list[NoteView]:
    """Notes of the last month without answer or tick: pain, then questions; the oldest first.

    Of the students whose notes the user reads. Three queries.
    """
    who = access.who_cares(user, now)
    rows = _waiting(**who, since=now - OPEN_FOR) if who["studios"] else []
    notes = _notes(rows, ZoneInfo(user.time_zone))
    return sorted(notes, key=lambda note: (not note.tells_pain, not note.is_question))


def count_unanswered(user: User, now: datetime) -> int:
    """How many notes `unanswered` would list, a page of them at most. One query."""
    who = access.who_cares(user, now)
    return len(_waiting_now(**who, since=now - OPEN_FOR)) if who["studios"] else 0


def question_asked(student: Student, now: datetime) -> Question[str]:
    """The student's oldest question of the last month that still waits; to be asked with others."""
    return Question(
        lambda rows: rows[0][0] if rows else "",
        Rows(_questions, student=student.pk, since=now - OPEN_FOR),
    )


def questions_since(students: QuerySet[Student], since: datetime) -> QuerySet[Entry]:
    """Notes with a question received since then that still wait, oldest first."""
    waiting = _waiting_since(students, since).filter(note__contains="?")
    return waiting.order_by("received_at", "pk")


def questions_known_at(student: Student, at: datetime, since: datetime) -> list[datetime]:
    """When those were received of which was known at a moment that they wait, oldest first."""
    answered = Line.objects.filter(about__root=OuterRef("root"), at__lte=at)
    ticked = NoteSeen.objects.filter(root=OuterRef("root"), at__lte=at)
    asked = Entry.objects.filter(
        pk__in=counting_at(student, Q(received_at__gte=since), at),
        received_at__gte=since,
        note__contains="?",
    )
    waiting = asked.exclude(Exists(answered)).exclude(Exists(ticked))
    return list(waiting.order_by("received_at", "pk").values_list("received_at", flat=True))


def _waiting_since(students: QuerySet[Student], since: datetime) -> QuerySet[Entry]:
    answered = Line.objects.filter(about__root=OuterRef("root"))
    ticked = NoteSeen.objects.filter(root=OuterRef("root"))
    waiting = noted(students).filter(received_at__gte=since)
    return waiting.exclude(Exists(answered)).exclude(Exists(ticked)).order_by("at")


def _waiting_for(*, studios: UUID, since: datetime, **who: Any) -> QuerySet[Entry]:
    return _waiting_since(access.cared_for(studios=[studios], **who), since)


_FOR: dict[str, "type[Field[Any, Any]]"] = {
    "user": UUIDField,
    "studios": UUIDField,
    "now": DateTimeField,
    "grown": DateTimeField,
    "since": DateTimeField,
}
_waiting = Prepared(lambda **asked: _waiting_for(**asked)[:PAGE], **_FOR)
_waiting_now = Prepared(lambda **asked: _waiting_for(**asked).values_list("pk")[:PAGE], **_FOR)


_questions = Prepared(
    lambda student, since: (
        _waiting_since(Student.objects.filter(pk=student), since)
        .filter(note__contains="?")
        .values_list("note")[:1]
    ),
    student=UUIDField,
    since=DateTimeField,
)


def answered_words(user: User, now: datetime) -> str:
    """How long notes of the last month waited for a first answer, by the middle one:
    'Usually answered within 20 hours.' Empty without any. One query."""
    lines = Line.objects.filter(
        student__in=access.students_cared_for_by(user), about__isnull=False, at__gte=now - OPEN_FOR
    )
    rows = lines.values("about__root").annotate(first=Min("at"), written=Min("about__received_at"))
    waited = [row["first"] - row["written"] for row in rows[:MOST_ANSWERED]]
    if not waited:
        return ""
    return f"Usually answered within {_span(median(waited))}."


def _span(waited: timedelta) -> str:
    """Hours up to two days, then days; rounded up."""
    hours = ceil(waited / timedelta(hours=1))
    return many(hours, "hour") if hours <= HOURS_SAID else many(ceil(hours / 24), "day")


def of_student(user: User, student: Student, until: datetime | None = None) -> list[NoteView]:
    """A page of a student's notes with their answers, newest first. Three queries."""
    rows = noted(Student.objects.filter(pk=student.pk)).order_by("-at")
    if until is not None:
        rows = rows.filter(at__lt=until)
    return _notes(list(rows[: PAGE + 1]), ZoneInfo(user.time_zone))


def _notes(entries: list[Entry], zone: ZoneInfo) -> list[NoteView]:
    """Two queries, the second where one asks about a part."""
    if not entries:
        return []
    roots = [entry.root for entry in entries]
    lines, seen = Rows(_lines, roots=roots), Rows(_seen, roots=roots)
    done = Rows(_done, entries=[entry.pk for entry in entries])
    filmed, hurt = with_entries_asked(roots), _pains_asked(entries)
    together(lines, seen, done, filmed, hurt)
    answers, ticked = _answers(lines.answer, zone), {root for (root,) in seen.answer}
    drills, clips, pains = _drills(entries, done.answer), filmed.answer, hurt.answer
    return [
        NoteView(
            id=entry.pk,
            root=entry.root,
            student_id=entry.student_id,
            student=entry.student.name,
            at=entry.at.isoformat(),
            day=date_words(entry.day),
            text=entry.note,
            drills=", ".join(drills.get(entry.pk, ())),
            is_question="?" in entry.note,
            is_seen=entry.root in ticked,
            answers=tuple(answers.get(entry.root, ())),
            tells_pain=not pains.isdisjoint({entry.root, (entry.student_id, entry.day)}),
            clips=tuple(clips.get(entry.root, ())),
        )
        for entry in entries
    ]


def _pains_asked(entries: Sequence[Entry]) -> Question[set[UUID | tuple[UUID, date]]]:
    """The visits with which pain was told, and the days of a student on which it was: a note of
    the same day may be about it. To be asked with others, of one entry or more."""
    days = [entry.day for entry in entries]
    of = {"students": list(_students(entries)), "first": min(days), "last": max(days)}
    return Question(_hurt, Rows(_told, **of))


_told = Prepared(
    lambda students, first, last: PainNote.objects.filter(
        student__in=[students], day__range=(first, last)
    ).values_list("entry__root", "student", "day", "level"),
    students=UUIDField,
    first=DateField,
    last=DateField,
)


def _hurt(rows: Iterable[tuple[UUID, UUID, date, int]]) -> set[UUID | tuple[UUID, date]]:
    return {
        each
        for root, student, day, level in rows
        for each in (root, (student, day))
        if each == root or level > 0
    }


_seen = Prepared(
    lambda roots: NoteSeen.objects.filter(root__in=[roots]).values_list("root"), roots=UUIDField
)
_lines = Prepared(
    lambda roots: (
        Line.objects.filter(about__root__in=[roots])
        .select_related("author", "about")
        .order_by("at")[: PAGE * 10]
    ),
    roots=UUIDField,
)
_done = Prepared(
    lambda entries: (
        Result.objects.filter(entry__in=[entries])
        .order_by("position")
        .values_list("entry", "drill__current__name")
    ),
    entries=UUIDField,
)


def _answers(lines: Iterable[Line], zone: ZoneInfo) -> dict[UUID, list[NoteAnswer]]:
    found: dict[UUID, list[NoteAnswer]] = defaultdict(list)
    for line in lines:
        at = line.at.astimezone(zone)
        about = line.about
        if about is not None:
            said = NoteAnswer(
                str(line.author), f"{date_words(at.date())} {at:%H:%M}", line.text,
                line.seen_at is not None,
            )  # fmt: skip
            found[about.root].append(said)
    return found


def _drills(entries: list[Entry], done: Iterable[tuple[UUID, str | None]]) -> dict[UUID, list[str]]:
    """Of each note the drills it was written with, or the part it asks about. One query."""
    found: dict[UUID, list[str]] = defaultdict(list)
    for entry, name in done:
        if name:
            found[entry].append(name)
    asked = {entry.pk: about for entry in entries if (about := entry.document.get("about"))}
    if asked:
        parts = Part.objects.filter(
            pk__in=set(asked.values()), week__student__in=_students(entries)
        )
        names = {str(pk): name for pk, name in parts.values_list("pk", "revision__name")}
        for entry_id, about in asked.items():
            found[entry_id] += [names[about]] if about in names else []
    return found


def _students(entries: Iterable[Entry]) -> set[UUID]:
    return {entry.student_id for entry in entries}


def cues_of(student: Student) -> list[tuple[str, str, date]]:
    """The student's kept words: text, drill, day; newest first. One query."""
    rows = KeptWords.objects.filter(student=student).order_by("-at")
    found = rows.values_list("text", "drill__current__name", "at")[:CUES]
    return [(text, drill or "", at.date()) for text, drill, at in found]


def unseen_lines(student: Student) -> list[Line]:
    """Lines to the student that nobody has ticked as read, newest first. One query."""
    lines = Line.objects.filter(student=student, seen_at=None).select_related("author")
    return list(lines.order_by("-at")[:PAGE])


def note_or_404(user: User, entry_id: UUID) -> Entry:
    """A note the user may answer: of a student whose notes they read."""
    entry = noted(access.students_cared_for_by(user)).filter(pk=entry_id).first()
    if entry is None:
        raise Http404
    return entry


def tells_of_pain(entry: Entry) -> bool:
    """Whether pain was told with the session, in this or an earlier wording. One query."""
    return bool({entry.root, (entry.student_id, entry.day)} & _pains_asked([entry]).answer)


def first_drill(entry: Entry) -> UUID | None:
    """The drill of the session's first block, if any. One query."""
    named = Result.objects.filter(entry=entry, drill__isnull=False).order_by("position")
    return named.values_list("drill", flat=True).first()


def cues_kept_asked(student: Student) -> Question[dict[UUID, str]]:
    """The latest kept words of each drill, to be asked with others."""
    return Question(dict, Rows(_kept_cues, student=student.pk))


_kept_cues = Prepared(
    lambda student: (
        KeptWords.objects.filter(student=student, drill__isnull=False)
        .order_by("at")
        .values_list("drill", "text")
    ),
    student=UUIDField,
)
