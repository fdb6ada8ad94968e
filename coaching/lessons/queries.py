"""What the pages of the lessons read. Each function's cost is in its docstring."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import (
    DateField,
    DateTimeField,
    Exists,
    OuterRef,
    Prefetch,
    Q,
    QuerySet,
    UUIDField,
    prefetch_related_objects,
)
from django.http import Http404
from django.utils import timezone

from coaching.lessons.models import Finding, Lesson
from practice.clips.models import Clip
from practice.compliance.dates import first_week_of
from practice.drills.models import Drill
from practice.log.models import Result
from practice.weeks.models import Week
from shared.people import access
from shared.people.models import Student, User
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

UNSENT_FOR = timedelta(days=14)
AHEAD = timedelta(days=8)
ON_FOR = timedelta(hours=12)
MOST_LESSONS = 60
MOST_NOTES = 200
MOST_RESULTS = 500
HISTORY = 20
CLEAN_DAYS = timedelta(days=21)
MOST_SUGGESTED = 12
MOST_CLIPS = 12


BESIDE = ("student__studio", "coach", "week")
BELOW = ("findings", Prefetch("findings__drills", Drill.objects.select_related("current")))


def _with_findings(lessons: QuerySet[Lesson]) -> QuerySet[Lesson]:
    return lessons.select_related(*BESIDE).prefetch_related(*BELOW)


def lesson_or_404(user: User, lesson_id: UUID, *, writing: bool = False) -> Lesson:
    """A lesson of a student the user teaches; for writing, whose weeks the user sets."""
    may = access.students_planned_by if writing else access.students_taught_by
    lesson = _with_findings(Lesson.objects.filter(pk=lesson_id, student__in=may(user))).first()
    if lesson is None:
        raise Http404
    return lesson


def last_lesson(student: Student, *, before: Lesson | None = None) -> Lesson | None:
    """The latest lesson that was written. Three queries."""
    lessons = Lesson.objects.filter(student=student).exclude(state=Lesson.State.PLANNED)
    if before is not None:
        lessons = lessons.exclude(pk=before.pk).filter(at__lte=before.at)
    return _with_findings(lessons.order_by("-at")).first()


def last_asked(student: Student, now: datetime) -> Question[Lesson | None]:
    """The latest lesson that was written, without one that is on now; to be asked with others. Two
    queries more for what was found in it."""

    def made(rows: list[Lesson]) -> Lesson | None:
        prefetch_related_objects(rows, *BELOW)
        return rows[0] if rows else None

    return Question(made, Rows(_last, student=student.pk, since=now - ON_FOR))


_last = Prepared(
    lambda student, since: (
        Lesson.objects.filter(student=student)
        .exclude(state=Lesson.State.PLANNED)
        .exclude(state=Lesson.State.OPEN, opened_at__gte=since)
        .select_related(*BESIDE)
        .order_by("-at")[:1]
    ),
    student=UUIDField,
    since=DateTimeField,
)


def lessons_of(
    student: Student, *, until: datetime | None = None, is_closed: bool = False
) -> list[Lesson]:
    """Written lessons, the newest first, a page of them. Three queries."""
    lessons = Lesson.objects.filter(student=student).exclude(state=Lesson.State.PLANNED)
    if is_closed:
        lessons = lessons.filter(state=Lesson.State.CLOSED)
    if until is not None:
        lessons = lessons.filter(at__lt=until)
    return list(_with_findings(lessons.order_by("-at"))[: HISTORY + 1])


def planned_of(student: Student) -> list[Lesson]:
    """Lessons still to come. One query."""
    ahead = Lesson.objects.filter(
        student=student, state=Lesson.State.PLANNED, at__gte=timezone.now() - timedelta(days=1)
    )
    return list(ahead.order_by("at")[:HISTORY])


def unsent_of(user: User, now: datetime) -> list[Lesson]:
    """Lessons whose week is still to be sent, the oldest first. One query.

    Closed for later, or left open since another day, and no week was sent or changed
    for the student since the lesson began.
    """
    who = access.who_plans(user, now)
    return _unsent(since=now - UNSENT_FOR, **who) if who["studios"] else []


def _unsent_since(since: datetime, studios: list[UUID], grown: datetime) -> QuerySet[Lesson]:
    sent = Week.objects.filter(student=OuterRef("student"), state=Week.State.SENT).filter(
        Q(sent_at__gte=OuterRef("opened_at")) | Q(amended_at__gte=OuterRef("opened_at"))
    )
    lessons = Lesson.objects.filter(
        Q(ending=Lesson.Ending.LATER) | Q(state=Lesson.State.OPEN),
        student__in=access.taught_in(studios=studios, grown=grown),
        opened_at__gte=since,
    ).exclude(Exists(sent), ending=Lesson.Ending.LATER)
    return lessons.select_related("student").order_by("opened_at")[:MOST_LESSONS]


_unsent = Prepared(
    lambda since, studios, grown: _unsent_since(since, [studios], grown),
    since=DateTimeField,
    studios=UUIDField,
    grown=DateTimeField,
)


def coming(user: User, now: datetime, first: datetime) -> list[Lesson]:
    """Today's lessons and those of the week ahead, in order. One query."""
    who = access.who_teaches(user, now)
    return _coming(first=first, end=now + AHEAD, **who) if who["studios"] else []


_coming = Prepared(
    lambda first, end, studios, grown: (
        Lesson.objects.filter(
            student__in=access.taught_in(studios=[studios], grown=grown), at__gte=first, at__lt=end
        )
        .select_related("student__studio", "coach")
        .order_by("at")[:MOST_LESSONS]
    ),
    first=DateTimeField,
    end=DateTimeField,
    studios=UUIDField,
    grown=DateTimeField,
)


def lessons_on(user: User, day: date) -> list[Lesson]:
    """The user's own lessons of one day on the user's clock, in order. One query."""
    zone = ZoneInfo(user.time_zone)
    first = datetime.combine(day, time(), tzinfo=zone)
    last = datetime.combine(day + timedelta(days=1), time(), tzinfo=zone)
    lessons = Lesson.objects.filter(
        student__in=access.students_taught_by(user), coach=user, at__gte=first, at__lt=last
    )
    return list(lessons.select_related("student", "coach").order_by("at")[:MOST_LESSONS])


def priorities_of(students: Iterable[UUID]) -> dict[UUID, str]:
    """The first priority of each student's latest written lesson. One query."""
    found: dict[UUID, str] = {}
    asked = list(students)
    for student, fault in _first_faults(students=asked) if asked else ():
        found.setdefault(student, fault)
    return found


_first_faults = Prepared(
    lambda students: (
        Finding.objects.filter(
            lesson__student__in=[students], position=0, lesson__opened_at__isnull=False
        )
        .exclude(fault="")
        .order_by("lesson__student", "-lesson__at")
        .values_list("lesson__student", "fault")[: MOST_NOTES * 5]
    ),
    students=UUIDField,
)


def clips_of_lesson(lesson: Lesson) -> list[Clip]:
    """The clips taken in a lesson that may be shown, in order. One query."""
    kept = Clip.objects.filter(
        pk__in=lesson.taken.values("clip"),
        student__in=access.students_seen(),
        removed_at=None,
        expires_on__gte=timezone.localdate(),
    )
    return list(kept.order_by("made_at")[:MOST_CLIPS])


@dataclass(frozen=True, slots=True)
class OwnWords:
    """What was written of this student before, the latest first, then what the coaches of the
    studio wrote of others, the most frequent first; and the drills that went with each fault."""

    faults: list[str]
    causes: list[str]
    cues: list[str]
    rehearsals: list[str]
    drills_of_fault: Mapping[str, list[UUID]]


def own_words(student: Student) -> OwnWords:
    """From the studio's latest findings. Two queries."""
    recent = Finding.objects.filter(lesson__student__studio=student.studio_id)
    rows = list(
        recent.order_by("-lesson__at")
        .select_related("lesson")
        .prefetch_related("drills")
        .only("fault", "cause", "cue", "rehearsal", "lesson__student")[:MOST_NOTES]
    )
    drills: dict[str, Counter[UUID]] = defaultdict(Counter)
    for row in rows:
        if row.fault:
            drills[row.fault.casefold()].update(drill.pk for drill in row.drills.all())
    return OwnWords(
        faults=_own_first(rows, "fault", student),
        causes=_own_first(rows, "cause", student),
        cues=_own_first(rows, "cue", student),
        rehearsals=_own_first(rows, "rehearsal", student),
        drills_of_fault={
            fault: [pk for pk, _ in count.most_common(MOST_SUGGESTED)]
            for fault, count in drills.items()
        },
    )


def _own_first(rows: Sequence[Finding], field: str, student: Student) -> list[str]:
    """`rows`: the latest first."""
    own = [getattr(row, field) for row in rows if row.lesson.student_id == student.pk]
    often = Counter(getattr(row, field) for row in rows).most_common()
    return [word for word in dict.fromkeys([*own, *(word for word, _ in often)]) if word][:30]


def clean_asked(student: Student, today: date) -> Rows:
    """What was logged of drills in the last three weeks, the latest first."""
    since = today - CLEAN_DAYS
    days = {"since": since, "until": today, "weeks": first_week_of(since)}
    return Rows(_clean, student=student.pk, **days)


_clean = Prepared(
    lambda student, since, until, weeks: (
        Result.objects.filter(
            student=student,
            drill__isnull=False,
            entry__counts=True,
            entry__from_memory=False,
            entry__day__range=(since, until),
            opens__gte=weeks,
        )
        .select_related("part")
        .order_by("-entry__day")[:MOST_RESULTS]
    ),
    student=UUIDField,
    since=DateField,
    until=DateField,
    weeks=DateField,
)


def drills_by_id(student: Student, ids: Iterable[UUID]) -> dict[UUID, Drill]:
    """Drills of the studio with their words, tests and swaps. Two queries."""
    shelf = Drill.objects.filter(studio=student.studio_id, pk__in=list(ids), current__isnull=False)
    return {
        drill.pk: drill
        for drill in shelf.select_related("current", "tested_by__current").prefetch_related(
            Prefetch("swaps", Drill.objects.select_related("current"))
        )
    }
