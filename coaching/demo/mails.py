"""Mails of the last weeks as the demo's readers had them: what the tick plans, ended already.

None of them is ever offered to a mail server.
"""

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from random import Random

from coaching.lessons.models import Lesson
from coaching.reminders import due, facts, plan
from coaching.reminders.due import ReminderKind
from coaching.reminders.models import Notice
from practice.weeks.models import Week
from shared.kit.weeks import utc_instant
from shared.people.access import Recordable
from shared.people.models import User

WEEKS_BACK = timedelta(weeks=4)
HOUR = time(17)
MOST_HOURS = 20  # Until it was opened.
OPENED = 0.8  # Of the mails.


@dataclass(frozen=True, slots=True)
class _Mail:
    at: datetime
    kind: ReminderKind
    about: str = ""


def load_mails(student: Recordable, now: datetime, random: Random) -> None:
    """A new week on the evening it was sent, and the lesson on the evening before it."""
    mails = [*_of_lessons(student, now), *_of_weeks(student, now)]
    Notice.objects.bulk_create(
        [
            _ended(student, reader, mail, random)
            for reader in facts.readers_of(student)
            for mail in mails
        ],
        ignore_conflicts=True,  # One a day, as for everybody.
    )


def _of_weeks(student: Recordable, now: datetime) -> list[_Mail]:
    weeks = Week.objects.filter(student=student, sent_at__range=(now - WEEKS_BACK, now))
    return [
        _Mail(sent_at, ReminderKind.NEW_WEEK, str(pk))
        for pk, sent_at in weeks.values_list("pk", "sent_at")
        if sent_at is not None
    ]


def _of_lessons(student: Recordable, now: datetime) -> list[_Mail]:
    lessons = Lesson.objects.filter(student=student, at__range=(now - WEEKS_BACK, now))
    zone = student.time_zone
    return [
        _Mail(
            utc_instant(due.local_day(at, zone) - timedelta(days=1), HOUR, zone),
            ReminderKind.LESSON_TOMORROW,
        )
        for at in lessons.values_list("at", flat=True)
    ]


def _ended(student: Recordable, reader: User, mail: _Mail, random: Random) -> Notice:
    day = due.local_day(mail.at, student.time_zone)
    expires = due.cut_off(day, student.time_zone)
    notice = plan.make(reader, mail.kind, day, expires, student=student, about=mail.about)
    notice.state, notice.copies = Notice.State.SENT, 1
    notice.planned_at = notice.ended_at = mail.at
    if random.random() < OPENED:
        notice.opened_at = mail.at + timedelta(hours=random.uniform(0.2, MOST_HOURS))
    return notice
