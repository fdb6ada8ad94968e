"""What the database says about a reminder: to whom, and whether it should still go out."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db.models import UUIDField
from django.utils import timezone

from coaching.board.read import people_of, raw_of
from coaching.board.weighing import facts_of as board_facts_of
from coaching.forecast.outlook import Pace
from coaching.reminders.chance import is_unheard
from coaching.reminders.due import (
    ABOUT_PRACTICE,
    LESSON_AHEAD,
    OF_THE_COACH,
    WEDNESDAY,
    ReminderFacts,
    ReminderKind,
)
from coaching.reminders.models import Notice, ReminderRule, Silence
from coaching.reminders.written import untold
from practice.care.models import Stop
from practice.compliance.queries import tally_of
from practice.log.models import Entry
from practice.phone import push
from practice.weeks import queries as weeks
from practice.weeks.models import Part, Week
from shared.kit.weeks import DAYS_IN_WEEK, week_start
from shared.people import access
from shared.people.models import Student, User
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

NEW_FOR = timedelta(days=3)
SEVEN_DAYS = timedelta(days=6)  # With the day itself.


def readers_of(student: Student) -> list[User]:
    """Who gets this student's reminders: the student, or every guardian of a child.

    A child without an address may have a phone that asked for them: the guardians' mails go on.
    """
    return family_asked(student).readers


def also_told(student: Student) -> list[User]:
    """Guardians of a minor whose mails go to the minor: they get what a coach writes as well."""
    return family_asked(student).also_told


def told_of(student: Student) -> list[User]:
    """All who get what a coach writes."""
    return family_asked(student).told


def may_write(student: Student) -> bool:
    """Consent stands, and the student is no invention on a machine that really sends."""
    return family_asked(student).may_write


@dataclass(frozen=True, slots=True)
class FamilyAsked:
    """Who reads of a student, to be asked with others."""

    student: Student
    may: Question[bool]
    guardians: Question[list[User]]
    own: Question[list[User]]

    def rows(self) -> tuple[Question[Any], ...]:
        return self.may, self.guardians, self.own

    @property
    def readers(self) -> list[User]:
        found = [user for user in self.own.answer if user.is_active]
        if any(user.has_mail for user in self.own.answer):
            return found
        if not self.may.answer:
            return []
        nudged = [user for user in found if push.reaches(user, self.student)]
        return nudged + self.guardians.answer

    @property
    def also_told(self) -> list[User]:
        if not self.student.is_minor or not self.may.answer:
            return []
        first = {reader.pk for reader in self.readers}
        return [user for user in self.guardians.answer if user.pk not in first]

    @property
    def told(self) -> list[User]:
        return self.readers + self.also_told

    @property
    def may_write(self) -> bool:
        really = settings.EMAIL_BACKEND.endswith("smtp.EmailBackend")
        return self.may.answer and not (self.student.studio.is_demo and really)


def family_asked(student: Student) -> FamilyAsked:
    return FamilyAsked(
        student, access.write_asked(student), access.guardians_asked(student), _own_user(student)
    )


def _own_user(student: Student) -> Question[list[User]]:
    """Nobody, or the one user whose place this is."""
    if student.user_id is None or Student.user.is_cached(student):
        return Question(lambda: [student.user] if student.user else [])
    return Rows(_users, user=student.user_id)


_users = Prepared(lambda user: User.objects.filter(pk=user), user=UUIDField)


def facts_for(
    rule: ReminderRule, day: date, reader: User, *, but: UUID | None = None
) -> ReminderFacts:
    """Everything that bears on a reminder of this day to this reader.

    `but` is a notice not to count among those sent. About fifteen queries; on
    Wednesdays nine more for the outlook.
    """
    return for_reader(_facts(rule, day), rule, reader, but=but)


def for_reader(
    facts: ReminderFacts, rule: ReminderRule, reader: User, *, but: UUID | None = None
) -> ReminderFacts:
    """The same facts with what only this reader has: silence, and what was sent so far."""
    student = rule.student
    silenced = Silence.objects.filter(user=reader, student=student).exists()
    taken = Notice.objects.filter(
        student=student,
        recipient=reader,
        kind__in=(*ABOUT_PRACTICE, *OF_THE_COACH),
        state__in=Notice.TAKEN,
        local_day__range=(facts.day - SEVEN_DAYS, facts.day),
    )
    if but is not None:
        taken = taken.exclude(pk=but)
    sent = list(taken.values_list("kind", "local_day"))
    waiting = untold(student, reader, but=but)
    unheard = ReminderKind.PRACTICE_CALL in facts.wants and is_unheard(rule, reader)
    return replace(
        facts,
        silenced=silenced,
        unheard=unheard,
        stop_told=unheard and _stop_told(rule, reader, but),
        new_week=new_week_of(student, facts.day, reader) is not None,
        sent_today=sum(day == facts.day for _, day in sent),
        sent_lately=sum(kind in ABOUT_PRACTICE for kind, _ in sent),
        written=bool(waiting),
        answered=any(item.answers for item in waiting),
    )


def _stop_told(rule: ReminderRule, reader: User, but: UUID | None) -> bool:
    told = Notice.objects.filter(
        student=rule.student, recipient=reader, kind=ReminderKind.CALLS_STOP, state__in=Notice.TAKEN
    )
    if but is not None:
        told = told.exclude(pk=but)
    if rule.calls_since is not None:
        told = told.filter(planned_at__gte=rule.calls_since)
    return told.exists()


def _facts(rule: ReminderRule, day: date) -> ReminderFacts:
    student = rule.student
    opens = week_start(day, student.studio.first_weekday)
    open_parts = left_parts(student, opens)
    lesson, tomorrow = student.next_lesson, day + timedelta(days=1)
    return ReminderFacts(
        day=day,
        wants=rule.wants,
        weekdays=rule.chosen_weekdays,
        may_write=may_write(student),
        excused=weeks.excusals(student, day, day).exists(),
        hurting=Stop.objects.filter(student=student, cleared_at=None).exists(),
        logged=_logged(student, day),
        left=bool(open_parts),
        planned=any(is_for(part, (day - opens).days) for part in open_parts),
        pace=_pace(student) if _asks_pace(rule, day) and open_parts else None,
        event_week=_in_week(student.next_event, opens),
        lesson_tomorrow=lesson == tomorrow,
        lesson_ahead=bool(lesson and day < lesson <= day + timedelta(days=LESSON_AHEAD)),
        test_tomorrow=_test_on(student, tomorrow),
    )


def left_parts(student: Student, opens: date) -> list[Part]:
    """Parts of the sent week with sessions still to do, first priority first. Three queries."""
    week = weeks.week_of(student, opens)
    if week is None or week.state != Week.State.SENT:
        return []
    tally = tally_of(student, opens)
    standing = {part["part"]: part for part in tally.parts} if tally else {}
    return [part for part in weeks.standing_parts(week) if _is_left(standing.get(str(part.pk)))]


def _is_left(tally: dict[str, Any] | None) -> bool:
    if tally is None:
        return True
    return bool(tally["sessions_left"]) and not tally["stopped"] and not tally["removed"]


def visits_left(student: Student, opens: date, left: Iterable[Part]) -> int:
    """Times at practice that these parts still want: parts of one visit are done together."""
    tally = tally_of(student, opens)
    kept = {part["part"]: part["sessions_left"] for part in tally.parts} if tally else {}
    most: int = max(kept.get(str(part.pk), part.sessions) for part in left)
    return most


def is_for(part: Part, offset: int) -> bool:
    """Whether a part is meant for this day of the week: fixed to it, or free."""
    return offset in part.days or len(part.days) < part.sessions


def _logged(student: Student, day: date) -> bool:
    kinds = (Entry.Kind.LOG, Entry.Kind.CHANGE)
    return Entry.objects.filter(student=student, day=day, counts=True, kind__in=kinds).exists()


def _in_week(day: date | None, opens: date) -> bool:
    return day is not None and opens <= day < opens + timedelta(days=DAYS_IN_WEEK)


def _test_on(student: Student, day: date) -> bool:
    opens = week_start(day, student.studio.first_weekday)
    tests: Iterable[Part] = (part for part in left_parts(student, opens) if part.drill.is_test)
    return any((day - opens).days in part.days for part in tests)


def new_week_of(student: Student, day: date, reader: User) -> Week | None:
    """A week sent lately, not over, nothing logged to, and this reader was not told of it."""
    since = timezone.now() - NEW_FOR
    fresh = Week.objects.filter(
        student=student,
        state=Week.State.SENT,
        sent_at__gte=since,
        opens__gt=day - timedelta(days=DAYS_IN_WEEK),
    ).order_by("-sent_at")
    week = fresh.first()
    if week is None:
        return None
    told = Notice.objects.filter(
        student=student,
        recipient=reader,
        kind=ReminderKind.NEW_WEEK,
        about=str(week.pk),
        state__in=(Notice.State.SENT, Notice.State.UNKNOWN, Notice.State.FAILED),
    )
    return None if told.exists() or week.parts.filter(results__isnull=False).exists() else week


def _asks_pace(rule: ReminderRule, day: date) -> bool:
    """The outlook costs as much as all the rest: asked only where it decides."""
    return rule.midweek_offer and day.weekday() == WEDNESDAY


def _pace(student: Student) -> Pace:
    """The outlook by the board's own rule."""
    now = timezone.now()
    (person,) = people_of([student.pk], now)
    return board_facts_of(person, raw_of([person], now)[person.id]).outlook.pace


def reads_pain_of(user: User, student: Student, now: datetime) -> bool:
    """Whether this person is still one to be told where something hurts."""
    if access.children_of(user).filter(pk=student.pk).exists():
        return True
    if access.students_cared_for_by(user).filter(pk=student.pk).exists():
        return True
    # That something hurts, not what: where nobody leads the student any more, an owner is told.
    owns = access.owners_of(student.studio).filter(pk=user.pk)
    return not access.lead_works_here(student) and owns.exists()
