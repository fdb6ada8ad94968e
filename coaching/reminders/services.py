"""Everything that changes what somebody wants to be reminded of. Each may be repeated."""

from collections.abc import Collection
from dataclasses import asdict
from datetime import datetime, time, timedelta
from uuid import UUID

from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.utils import timezone

from coaching.reminders.due import OF_THE_WEEK, ReminderKind, next_due
from coaching.reminders.if_then import IfThen
from coaching.reminders.models import (
    KIND_FIELDS,
    EveningRule,
    Heard,
    Notice,
    ReminderRule,
    Silence,
    SummaryRule,
)
from practice.weeks.models import Week
from shared.people.access import TEACHING, Recordable, recordable_students
from shared.people.models import Membership, Student, User


def ensure_rule(student: Recordable) -> ReminderRule:
    """The student's rule; made with the usual choices if there is none, and looked at at once."""
    rule, _ = ReminderRule.objects.get_or_create(
        student=student, defaults={"next_due_utc": timezone.now()}
    )
    return rule


def _next(pending: datetime | None, at: time, zone: str) -> datetime:
    """When to look next. What is due and waits for the tick stays due: it reckons itself."""
    now = timezone.now()
    return pending if pending is not None and pending <= now else next_due(now, at, zone)


def ensure_summary(user: User) -> SummaryRule:
    """The same of somebody who teaches; the first comes in a week that begins from now on."""
    due = next_due(timezone.now(), SummaryRule().at, user.time_zone)
    rule, _ = SummaryRule.objects.get_or_create(user=user, defaults={"next_due_utc": due})
    return rule


MOST_HEARD = 500
MOMENT = timedelta(microseconds=1)


def take_heard(now: datetime) -> list[UUID]:
    """Have this tick look at everybody of whom something was written since the last."""
    who: list[UUID] = []
    while heard := dict(Heard.objects.order_by("pk").values_list("pk", "who")[:MOST_HEARD]):
        with transaction.atomic():
            _look_at(set(heard.values()), now)
            Heard.objects.filter(pk__in=heard).delete()
        who += heard.values()
    return who


def _look_at(who: Collection[UUID], now: datetime) -> None:
    """What is due stays due, yet moves by a moment: a tick that has read it without what was
    written since may not move it on. Back, as the day that was missed is the first after it."""
    later, rests = Q(next_due_utc__gt=now), Q(next_due_utc=None)
    for rules in (
        ReminderRule.objects.filter(student__in=who),
        SummaryRule.objects.filter(user__in=who),
        EveningRule.objects.filter(user__in=who).exclude(rests),  # One that rests was switched off.
    ):
        rules.filter(next_due_utc__lte=now).update(next_due_utc=F("next_due_utc") - MOMENT)
        rules.filter(later | rests).update(next_due_utc=now)


@transaction.atomic
def change_rule(
    *,
    student: Recordable,
    at: time,
    weekdays: Collection[int],
    kinds: Collection[ReminderKind],
    follows_practice: bool = False,
    by_chance: bool = False,
    **plan: str,
) -> ReminderRule:
    """Keep a student's choice, and reckon anew when the next one is due.

    `plan` is an `IfThen` by its fields. Calls that nobody followed are counted anew from here.
    """
    rule, _ = ReminderRule.objects.get_or_create(student=student)
    for name, words in asdict(IfThen(**plan)).items():
        setattr(rule, name, words)
    rule.follows_practice = follows_practice
    rule.by_chance = by_chance and student.born_year is None
    rule.calls_since = timezone.now()
    rule.at = at
    rule.weekdays = sum(1 << day for day in set(weekdays))
    for name in KIND_FIELDS:
        setattr(rule, name, ReminderKind(name) in kinds)
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


def call_off_week(week: Week, since: datetime) -> list[str]:
    """Call off what waits to tell of a week that is a draft again, and leave its day free; the
    names of those who were told since then of the week, or of practice by it."""
    notices = Notice.objects.filter(student=week.student)
    if week.state == Week.State.DRAFT:
        waits = (Notice.State.DUE, Notice.State.CLAIMED)
        notices.filter(kind=ReminderKind.NEW_WEEK, about=str(week.pk), state__in=waits).delete()
    gone = Q(state=Notice.State.SENDING) | Q(
        state__in=(Notice.State.SENT, Notice.State.UNKNOWN), ended_at__gte=since
    )
    told = Q(kind__in=OF_THE_WEEK) | Q(told__what="change")
    went = notices.filter(gone, told).select_related("recipient")
    return sorted({str(notice.recipient) for notice in went})


def opened(user: User, student: Student) -> None:
    """This reader looks at what was written: whatever was sent to them has been opened."""
    sent = Notice.objects.filter(recipient=user, student=student, opened_at=None)
    sent.filter(state__in=(Notice.State.SENT, Notice.State.UNKNOWN)).update(
        opened_at=timezone.now()
    )


def without_rule() -> QuerySet[Recordable]:
    """Present students who have no rule."""
    return recordable_students().filter(reminder_rule=None).order_by("pk")


def without_summary() -> QuerySet[User]:
    """The same of those who teach."""
    working = Membership.objects.filter(ended_at=None, role__in=TEACHING).values("user")
    return User.objects.filter(pk__in=working, summary_rule=None).order_by("pk")


def rule_of(student: Student) -> ReminderRule:
    """The student's rule to look at; not stored if there is none yet."""
    return ReminderRule.objects.filter(student=student).first() or ReminderRule(student=student)
