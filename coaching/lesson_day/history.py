"""A student's lessons, newest first, as the templates print them."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from coaching.lesson_day.note_pages import LastNote, notes_of
from coaching.lessons import queries
from coaching.lessons.models import Lesson
from shared.kit.text import date_words
from shared.people import access
from shared.people.models import Student, User


@dataclass(frozen=True, slots=True)
class LessonView:
    id: str
    when: str
    coach: str
    ending: str
    is_open: bool
    findings: tuple[LastNote, ...]
    private: str


@dataclass(frozen=True, slots=True)
class History:
    lessons: tuple[LessonView, ...]
    planned: tuple[str, ...]
    older: str
    may_write: bool


def history(user: User, student: Student, until: datetime | None, *, for_coach: bool) -> History:
    """A page of lessons; of one that is still being written only a coach reads. Five queries."""
    zone = ZoneInfo(user.time_zone)
    found = queries.lessons_of(student, until=until, is_closed=not for_coach)
    shown = found[: queries.HISTORY]
    planned = [each.at.astimezone(zone) for each in queries.planned_of(student)]
    writes = for_coach and access.students_planned_by(user).filter(pk=student.pk).exists()
    return History(
        lessons=tuple(_view(each, zone, for_coach=for_coach) for each in shown),
        planned=tuple(f"{date_words(at.date())}, {at:%H:%M}" for at in planned),
        older=shown[-1].at.isoformat() if len(found) > len(shown) else "",
        may_write=writes,
    )


def _view(lesson: Lesson, zone: ZoneInfo, *, for_coach: bool) -> LessonView:
    at = lesson.at.astimezone(zone)
    return LessonView(
        id=str(lesson.pk),
        when=f"{date_words(at.date())} {at.year}, {at:%H:%M}",
        coach=str(lesson.coach),
        ending=lesson.get_ending_display() if for_coach else "",
        is_open=lesson.state == Lesson.State.OPEN,
        findings=notes_of(lesson),
        private=lesson.private if for_coach else "",
    )
