"""The page Today’s lessons as frozen rows: the template only prints."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.http import Http404

from coaching.board.kept import standings
from coaching.board.line_rows import Readers
from coaching.board.rules.order import Need
from coaching.board.rules.states import state_words
from coaching.lessons import queries
from coaching.lessons.current_cues import cues_of
from coaching.lessons.models import Lesson
from coaching.season.limits_pages import LimitsShown, limits_shown
from practice.care.limits import Limits
from practice.compliance.limits import limits_of_many
from shared.kit.text import date_words, day_words
from shared.people import access
from shared.people.models import Student, User
from shared.people.today import calendar_day, today_of

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
    doing: str
    # What the student may not do now, in short.
    limit: str
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
    """A later day's lessons; `is_rest` where one of them stands large already."""

    title: str
    rows: tuple[LessonRow, ...]
    is_rest: bool

    @property
    def limited(self) -> tuple[LessonRow, ...]:
        """Who may not do everything now: said while the day is closed too."""
        return tuple(row for row in self.rows if row.limit)


@dataclass(frozen=True, slots=True)
class NextLesson:
    """The lesson that is on or comes next, large: its point, cue and limits.

    `day` is empty today, else *Tomorrow* or *Thursday*. `words` are the rest: how the week
    stands, unless a stop says it already, and where.
    """

    row: LessonRow
    day: str
    words: str
    cue: str
    limits: LimitsShown


@dataclass(frozen=True, slots=True)
class NextUp:
    unsent: tuple[UnsentRow, ...]
    next: NextLesson | None
    # The other lessons of the day, a line each; later days without the one that is large.
    today: tuple[LessonRow, ...]
    later: tuple[Day, ...]
    students: tuple[tuple[str, str], ...]
    may_plan: bool
    next_hour: str


def next_up_of(user: User, now: datetime) -> NextUp:
    """Fifteen queries at most, however many lessons, and thirteen more where a line does not
    stand. Raises Http404 for who teaches nowhere."""
    if not access.teaches(user):
        raise Http404
    zone = ZoneInfo(user.time_zone)
    today = calendar_day(user, now)
    midnight = datetime.combine(today, time(), tzinfo=zone)
    lessons = queries.coming(user, now, midnight)
    unsent = [each for each in queries.unsent_of(user, now) if not _is_on(each, midnight)]
    mine = {lesson.student_id for lesson in lessons}
    states = _states(user, mine, now)
    limits = limits_of_many({each.student_id: each.student for each in lessons}.values())
    priorities = queries.priorities_of(mine)
    planned_by = access.students_planned_by(user).order_by("name")[:MOST_STUDENTS]
    students = list(planned_by.values_list("pk", "name"))
    writes = {pk for pk, _ in students}
    rows = [
        (
            lesson.at.astimezone(zone).date(),
            _row(
                user,
                lesson,
                states,
                priorities,
                limits[lesson.student_id].in_short,
                may_write=lesson.student_id in writes,
            ),
        )
        for lesson in lessons
    ]
    coming = _coming_next(lessons, now, today, zone)
    others = [(day, row) for day, row in rows if not _is(row, coming)]
    days = sorted({day for day, _ in others if day > today})
    return NextUp(
        unsent=tuple(_unsent(each, zone, today) for each in unsent),
        next=_next(user, coming, rows, limits[coming.student_id], today) if coming else None,
        today=tuple(row for day, row in others if day <= today),
        later=tuple(_day(day, rows, others) for day in days),
        students=tuple((str(pk), name) for pk, name in students),
        may_plan=bool(students),
        next_hour=f"{(now.astimezone(zone) + timedelta(hours=1)):%Y-%m-%dT%H:00}",
    )


def _coming_next(
    lessons: Sequence[Lesson], now: datetime, today: date, zone: ZoneInfo
) -> Lesson | None:
    """The lesson of now or of the rest of today; else the first that is planned after it."""
    of_today = next((each for each in lessons if _comes_next(each, now, today, zone)), None)
    planned = (each for each in lessons if each.state == Lesson.State.PLANNED and each.at > now)
    return of_today or next(planned, None)


def _comes_next(lesson: Lesson, now: datetime, today: date, zone: ZoneInfo) -> bool:
    """On now, or still to come today; one that should have begun within the last hour too."""
    if lesson.state == Lesson.State.OPEN:
        return True
    is_today = lesson.at.astimezone(zone).date() == today
    return is_today and lesson.state == Lesson.State.PLANNED and lesson.at >= now - LATE


def _day(
    day: date, rows: Iterable[tuple[date, LessonRow]], others: Iterable[tuple[date, LessonRow]]
) -> Day:
    left = tuple(row for on, row in others if on == day)
    return Day(date_words(day), left, is_rest=len(left) < sum(on == day for on, _ in rows))


def _is(row: LessonRow, lesson: Lesson | None) -> bool:
    return lesson is not None and row.id == str(lesson.pk)


def _next(
    user: User,
    lesson: Lesson,
    rows: Iterable[tuple[date, LessonRow]],
    known: Limits,
    today: date,
) -> NextLesson:
    """Two queries, and up to three more where a screening found something."""
    student = lesson.student
    cues = cues_of(student, user, today_of(student))
    day, row = next((day, row) for day, row in rows if _is(row, lesson))
    limits = limits_shown(user, student, limits=known)
    state = "" if limits.stops else row.state
    return NextLesson(
        row=row,
        day=day_words(day, today).capitalize() if day > today else "",
        words="; ".join(filter(None, (state, row.doing, row.place, row.coach))),
        cue=cues[0].cue if cues and cues[0].place == 0 else "",
        limits=limits,
    )


def lesson_lines(user: User, day: date, now: datetime) -> list[str]:
    """The day's lessons for a mail: time, name, state, priority. Health stays on the page."""
    lessons = queries.lessons_on(user, day)
    mine = {lesson.student_id for lesson in lessons}
    standing = standings(Student.objects.filter(pk__in=mine), now)
    states = {each.id: state_words(each.line.state, reads_pain=False) for each in standing}
    hurts = {each.id for each in standing if each.line.need is Need.CARE}
    priorities = queries.priorities_of(mine)
    lines = []
    for lesson in lessons:
        who = lesson.student_id
        care = "something hurts, see the page" if who in hurts else ""
        words = [states.get(who, ""), priorities.get(who, ""), care]
        name = f"{_clock(lesson, user)} {lesson.student.name}"
        lines.append(f"{name}: " + "; ".join(filter(None, words)))
    return lines


def _is_on(lesson: Lesson, midnight: datetime) -> bool:
    """A lesson opened today and still open is not unsent yet: it is on."""
    return bool(
        lesson.state == Lesson.State.OPEN and lesson.opened_at and lesson.opened_at >= midnight
    )


def _states(user: User, ids: Iterable[UUID], now: datetime) -> dict[UUID, str]:
    """The word of each on the board. One query, and thirteen more where a line does not stand."""
    readers = Readers(user, access.roles_by_studio(user), now)
    return {
        each.id: state_words(each.line.state, reads_pain=readers.to(each).reads_pain)
        for each in standings(Student.objects.filter(pk__in=set(ids)), now)
    }


def _row(
    user: User,
    lesson: Lesson,
    states: dict[UUID, str],
    priorities: dict[UUID, str],
    limit: str,
    *,
    may_write: bool,
) -> LessonRow:
    return LessonRow(
        id=str(lesson.pk),
        student_id=str(lesson.student_id),
        name=lesson.student.name,
        time=_clock(lesson, user),
        coach="" if lesson.coach_id == user.pk else str(lesson.coach),
        place=lesson.place,
        priority=priorities.get(lesson.student_id, ""),
        state=states.get(lesson.student_id, ""),
        doing=_doing(lesson),
        limit=limit,
        may_write=may_write,
        is_planned=lesson.state == Lesson.State.PLANNED,
        is_open=lesson.state == Lesson.State.OPEN,
    )


def _clock(lesson: Lesson, user: User) -> str:
    return f"{lesson.at.astimezone(ZoneInfo(user.time_zone)):%H:%M}"


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
