"""The page Today’s lessons as frozen rows: the template only prints."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.http import Http404

from coaching.board.queries import viewer_of
from coaching.board.read import people, raw_of
from coaching.board.rows import judge_student, said
from coaching.board.rules.states import state_words
from coaching.board.weighing import facts_of
from coaching.lessons import queries
from coaching.lessons.current_cues import cues_of
from coaching.lessons.models import Lesson
from coaching.season.limits_pages import LimitsShown, limits_shown
from shared.kit.text import date_words, day_words
from shared.people import access
from shared.people.models import Student, User
from shared.people.today import today_of

MOST_STUDENTS = 500
LATE = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class LessonRow:
    """One lesson of the page. `coach` is empty where it is the reader's own."""

    id: str
    student_id: str
    name: str
    time: str
    coach: str
    place: str
    priority: str
    state: str
    care: str
    doing: str
    may_write: bool
    is_planned: bool
    is_open: bool


@dataclass(frozen=True, slots=True)
class UnsentRow:
    id: str
    student_id: str
    name: str
    why: str
    is_open: bool


@dataclass(frozen=True, slots=True)
class Day:
    title: str
    rows: tuple[LessonRow, ...]


@dataclass(frozen=True, slots=True)
class NextLesson:
    """The lesson that is on or comes next today, large: its point, cue and limits.

    `words` are the rest: how the week stands, unless a stop says it already, and where.
    """

    row: LessonRow
    words: str
    cue: str
    limits: LimitsShown


@dataclass(frozen=True, slots=True)
class NextUp:
    unsent: tuple[UnsentRow, ...]
    next: NextLesson | None
    # The other lessons of the day, a line each.
    today: tuple[LessonRow, ...]
    later: tuple[Day, ...]
    students: tuple[tuple[str, str], ...]
    may_plan: bool
    next_hour: str


@dataclass(frozen=True, slots=True)
class _Standing:
    state: str
    care: str


def next_up_of(user: User, now: datetime) -> NextUp:
    """Twenty-two queries at most, however many lessons. Raises Http404 for who teaches nowhere."""
    roles = access.roles_by_studio(user)
    if not roles:
        raise Http404
    zone = ZoneInfo(user.time_zone)
    today = now.astimezone(zone).date()
    midnight = datetime.combine(today, time(), tzinfo=zone)
    lessons = queries.coming(user, now, midnight)
    unsent = [each for each in queries.unsent_of(user, now) if not _is_on(each, midnight)]
    mine = {lesson.student_id for lesson in lessons}
    standing = _standings(user, roles, mine, now)
    priorities = queries.priorities_of(mine)
    planned_by = access.students_planned_by(user).order_by("name")[:MOST_STUDENTS]
    students = list(planned_by.values_list("pk", "name"))
    writes = {pk for pk, _ in students}
    rows = [
        (
            lesson.at.astimezone(zone).date(),
            _row(user, lesson, standing, priorities, may_write=lesson.student_id in writes),
        )
        for lesson in lessons
    ]
    days = sorted({day for day, _ in rows if day > today})
    coming = next((each for each in lessons if _comes_next(each, now, today, zone)), None)
    return NextUp(
        unsent=tuple(_unsent(each, zone, today) for each in unsent),
        next=_next(user, coming, [row for _, row in rows]) if coming else None,
        today=tuple(row for day, row in rows if day <= today and not _is(row, coming)),
        later=tuple(
            Day(date_words(day), tuple(row for on, row in rows if on == day)) for day in days
        ),
        students=tuple((str(pk), name) for pk, name in students),
        may_plan=bool(students),
        next_hour=f"{(now.astimezone(zone) + timedelta(hours=1)):%Y-%m-%dT%H:00}",
    )


def _comes_next(lesson: Lesson, now: datetime, today: date, zone: ZoneInfo) -> bool:
    """On now, or still to come today; one that should have begun within the last hour too."""
    if lesson.state == Lesson.State.OPEN:
        return True
    is_today = lesson.at.astimezone(zone).date() == today
    return is_today and lesson.state == Lesson.State.PLANNED and lesson.at >= now - LATE


def _is(row: LessonRow, lesson: Lesson | None) -> bool:
    return lesson is not None and row.id == str(lesson.pk)


def _next(user: User, lesson: Lesson, rows: Iterable[LessonRow]) -> NextLesson:
    """Seven queries."""
    student = Student.objects.select_related("studio").get(pk=lesson.student_id)
    cues = cues_of(student, user, today_of(student))
    row = next(row for row in rows if _is(row, lesson))
    limits = limits_shown(user, student)
    state = "" if limits.stops else row.state
    return NextLesson(
        row=row,
        words="; ".join(filter(None, (state, row.doing, row.place, row.coach))),
        cue=cues[0].cue if cues and cues[0].place == 0 else "",
        limits=limits,
    )


def lesson_lines(user: User, day: date, now: datetime) -> list[str]:
    """The day's lessons for a mail: time, name, state, priority. Health stays on the page."""
    lessons = queries.lessons_on(user, day)
    mine = {lesson.student_id for lesson in lessons}
    standing = _standings(user, access.roles_by_studio(user), mine, now, in_mail=True)
    priorities = queries.priorities_of(mine)
    lines = []
    for lesson in lessons:
        row = _row(user, lesson, standing, priorities, may_write=False)
        said = [row.state, row.priority, "something hurts, see the page" if row.care else ""]
        lines.append(f"{row.time} {row.name}: " + "; ".join(filter(None, said)))
    return lines


def _is_on(lesson: Lesson, midnight: datetime) -> bool:
    """A lesson opened today and still open is not unsent yet: it is on."""
    return bool(
        lesson.state == Lesson.State.OPEN and lesson.opened_at and lesson.opened_at >= midnight
    )


def _standings(
    user: User,
    roles: dict[UUID, set[str]],
    ids: Iterable[UUID],
    now: datetime,
    *,
    in_mail: bool = False,
) -> dict[UUID, _Standing]:
    """The state and any care of each, by the rules of Who needs me; a mail names no pain."""
    found = people(Student.objects.filter(pk__in=set(ids)), now)
    raw = raw_of(found, now)
    standing = {}
    for person in found:
        judged = judge_student(person, raw[person.id], facts_of(person, raw[person.id]))
        viewer = viewer_of(user, roles, person)
        words = said(judged, reads_pain=viewer.reads_pain)
        state = state_words(judged.state, reads_pain=viewer.reads_pain and not in_mail)
        standing[person.id] = _Standing(state, words.reason if judged.care else "")
    return standing


def _row(
    user: User,
    lesson: Lesson,
    standing: dict[UUID, _Standing],
    priorities: dict[UUID, str],
    *,
    may_write: bool,
) -> LessonRow:
    here = standing.get(lesson.student_id, _Standing("", ""))
    return LessonRow(
        id=str(lesson.pk),
        student_id=str(lesson.student_id),
        name=lesson.student.name,
        time=f"{lesson.at.astimezone(ZoneInfo(user.time_zone)):%H:%M}",
        coach="" if lesson.coach_id == user.pk else str(lesson.coach),
        place=lesson.place,
        priority=priorities.get(lesson.student_id, ""),
        state=here.state,
        care=here.care,
        doing=_doing(lesson),
        may_write=may_write,
        is_planned=lesson.state == Lesson.State.PLANNED,
        is_open=lesson.state == Lesson.State.OPEN,
    )


def _doing(lesson: Lesson) -> str:
    if lesson.state == Lesson.State.OPEN:
        return "on now"
    return lesson.get_ending_display() if lesson.state == Lesson.State.CLOSED else ""


def _unsent(lesson: Lesson, zone: ZoneInfo, today: date) -> UnsentRow:
    at = (lesson.opened_at or lesson.at).astimezone(zone)
    when = f"{at:%H:%M}" if at.date() == today else day_words(at.date(), today)
    is_open = lesson.state == Lesson.State.OPEN
    why = f"Lesson of {when}: " + ("still open." if is_open else "the week is to be sent.")
    return UnsentRow(str(lesson.pk), str(lesson.student_id), lesson.student.name, why, is_open)
