"""Everything that changes what somebody wants to be reminded of. Each may be repeated."""

from collections.abc import Collection
from datetime import datetime, time

from django.db import transaction
from django.utils import timezone

from coaching.reminders.due import Kind, is_quiet, next_due
from coaching.reminders.models import (
    KIND_FIELDS,
    EveningRule,
    ReminderRule,
    Silence,
    SummaryRule,
)
from shared.people.access import TEACHING
from shared.people.models import Membership, Student, User

ADOPTED_AT_ONCE = 500


def ensure_rule(student: Student) -> ReminderRule:
    """The student's rule; made with the usual choices if there is none."""
    due = next_due(timezone.now(), time(17), student.time_zone)
    rule, _ = ReminderRule.objects.get_or_create(student=student, defaults={"next_due_utc": due})
    return rule


def _next(pending: datetime | None, at: time, zone: str) -> datetime:
    """When to look next. What is due and waits for the tick stays due: it reckons itself."""
    now = timezone.now()
    return pending if pending is not None and pending <= now else next_due(now, at, zone)


def ensure_summary(user: User) -> SummaryRule:
    due = next_due(timezone.now(), time(7), user.time_zone)
    rule, _ = SummaryRule.objects.get_or_create(user=user, defaults={"next_due_utc": due})
    return rule


@transaction.atomic
def change_rule(
    *, student: Student, at: time, weekdays: Collection[int], kinds: Collection[Kind]
) -> ReminderRule:
    """Keep a student's choice, and reckon anew when the next one is due."""
    rule = ensure_rule(student)
    rule.at = at
    rule.weekdays = sum(1 << day for day in set(weekdays))
    for name in KIND_FIELDS:
        setattr(rule, name, Kind(name) in kinds)
    rule.next_due_utc = _next(rule.next_due_utc, at, student.time_zone)
    rule.save()
    return rule


def silence(*, user: User, student: Student) -> None:
    """No more reminders about this student to this person."""
    Silence.objects.get_or_create(user=user, student=student)


def end_silence(*, user: User, student: Student) -> None:
    Silence.objects.filter(user=user, student=student).delete()


def change_summary(*, user: User, on: bool) -> None:
    rule = ensure_summary(user)
    rule.on, rule.next_due_utc = on, _next(rule.next_due_utc, rule.at, user.time_zone)
    rule.save(update_fields=["on", "next_due_utc"])


def change_evening(*, user: User, on: bool) -> None:
    """Tomorrow's lessons by mail the evening before, or no longer."""
    rule, _ = EveningRule.objects.get_or_create(user=user)
    due = _next(rule.next_due_utc, rule.at, user.time_zone) if on else None
    EveningRule.objects.filter(pk=rule.pk).update(next_due_utc=due)


def reckon_anew(student: Student) -> None:
    """After a change of the student's time zone."""
    rule = ReminderRule.objects.filter(student=student).first()
    if rule is not None:
        due = _next(rule.next_due_utc, rule.at, student.time_zone)
        ReminderRule.objects.filter(pk=rule.pk).update(next_due_utc=due)


def look_soon(student: Student) -> None:
    """Have the next tick look at this student: something happened that may be told at once.

    In quiet hours nothing is moved; it is told at the student's own hour.
    """
    now = timezone.now()
    if is_quiet(now, student.time_zone):
        return
    ensure_rule(student)
    ReminderRule.objects.filter(student=student, next_due_utc__gt=now).update(next_due_utc=now)


def adopt(now: datetime) -> None:
    """Give a rule to whoever has none, for rows that were written in bulk. Bounded."""
    without = Student.objects.filter(reminder_rule=None, left_on=None).order_by("pk")
    rules = [
        ReminderRule(student=student, next_due_utc=next_due(now, time(17), student.time_zone))
        for student in without[:ADOPTED_AT_ONCE]
    ]
    ReminderRule.objects.bulk_create(rules, ignore_conflicts=True)
    working = Membership.objects.filter(ended_at=None, role__in=TEACHING).values("user")
    coaches = User.objects.filter(pk__in=working, summary_rule=None).order_by("pk")
    summaries = [
        SummaryRule(user=user, next_due_utc=next_due(now, time(7), user.time_zone))
        for user in coaches[:ADOPTED_AT_ONCE]
    ]
    SummaryRule.objects.bulk_create(summaries, ignore_conflicts=True)


def reckon_summary_anew(user: User) -> None:
    """After a change of the coach's time zone."""
    for rules in (SummaryRule.objects, EveningRule.objects):
        rule = rules.filter(user=user, next_due_utc__isnull=False).first()
        if rule is not None:
            due = _next(rule.next_due_utc, rule.at, user.time_zone)
            rules.filter(pk=rule.pk).update(next_due_utc=due)


def rule_of(student: Student) -> ReminderRule:
    """The student's rule to look at; not stored if there is none yet."""
    return ReminderRule.objects.filter(student=student).first() or ReminderRule(student=student)
