"""The tick: what is due becomes a notice. Repeatable, and safe with several tickers.

A rule is taken by moving its `next_due_utc` on with a conditional UPDATE in the
transaction that adds its notices, and the notices' unique keys decide the rest. So
two tickers, a crash at any point and a clock set back all give one notice or none,
never two.
"""

import logging
from collections.abc import Callable, Iterable
from datetime import date, datetime, timedelta
from typing import Any
from urllib.parse import urlsplit
from uuid import uuid4

from django.conf import settings
from django.db import DatabaseError, transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from coaching.lessons.queries import lessons_on
from coaching.reminders import due, facts
from coaching.reminders.commands import adopt
from coaching.reminders.due import Kind
from coaching.reminders.models import EveningRule, Heartbeat, Notice, ReminderRule, SummaryRule
from practice.care.models import PainNote
from shared.people import access
from shared.people.models import Student, User

log = logging.getLogger(__name__)

A_TICK = 500
# No rule is ever due later than this; if one is, the clock was set back since.
FURTHEST = timedelta(days=3)
PAIN_HOLDS = timedelta(days=2)
KEPT = timedelta(days=400)
HOURLY = timedelta(hours=1)
TOO_LATE = "nothing was running at the time"


def tick() -> int:
    """Plan everything due now. Returns how many notices were added."""
    now = timezone.now()
    _hourly(now)
    added = sum(_each(_due(ReminderRule.objects.select_related(*_STUDENT), now), plan_rule, now))
    added += sum(_each(_due(SummaryRule.objects.select_related("user"), now), plan_summary, now))
    added += sum(_each(_due(EveningRule.objects.select_related("user"), now), plan_evening, now))
    Heartbeat.beat("plan")
    return added


_STUDENT = ("student__studio", "student__user", "student__lead_coach")


def _due(rules: QuerySet[Any], now: datetime) -> list[Any]:
    """Rules due now, or so far ahead that they were reckoned by a clock since set back."""
    when = Q(next_due_utc__lte=now) | Q(next_due_utc__gt=now + FURTHEST)
    return list(rules.filter(when).order_by("next_due_utc")[:A_TICK])


def _each(rules: Iterable[Any], plan: Callable[[Any, datetime], int], now: datetime) -> list[int]:
    """Plan each rule; one that cannot be planned waits ten minutes and stops no other."""
    added = []
    for rule in rules:
        if not _still(rule).exists():
            continue  # Another ticker has done it meanwhile; spare the work.
        try:
            added.append(plan(rule, now))
        except DatabaseError:
            raise  # Nothing to do with this rule; the next tick tries again.
        except Exception:  # Whatever it is: told in the log, and no other rule waits for it.
            log.exception("%s %s cannot be planned", type(rule).__name__, rule.pk)
            type(rule).objects.filter(pk=rule.pk).update(next_due_utc=now + timedelta(minutes=10))
    return added


def _still(rule: Any) -> QuerySet[Any]:
    """The rule, as long as nobody has moved it on since it was read."""
    return type(rule).objects.filter(pk=rule.pk, next_due_utc=rule.next_due_utc)


def _hourly(now: datetime) -> None:
    last = Heartbeat.objects.filter(name="hourly").values_list("at", flat=True).first()
    if last is not None and abs(now - last) < HOURLY:
        return
    adopt(now)
    Notice.objects.filter(planned_at__lt=now - KEPT).delete()
    Heartbeat.beat("hourly")


def plan_rule(rule: ReminderRule, now: datetime) -> int:
    """Add what is due for one student, and reckon when to look again."""
    student, zone = rule.student, rule.student.time_zone
    notices: list[Notice] = []
    if student.left_on is None:
        days = due.due_days(now, rule.at, zone)
        for day in days:
            notices += _notices_for(rule, day, due.ABOUT_PRACTICE)
        notices += _missed(rule, now, days)
        today = due.local_day(now, zone)
        if today not in days and not due.is_quiet(now, zone):
            notices += _notices_for(rule, today, (Kind.NEW_WEEK,))
    after = due.next_due(now, rule.at, zone) if student.left_on is None else None
    return _keep(rule, after, notices)


def _missed(rule: ReminderRule, now: datetime, days: list[date]) -> list[Notice]:
    """The notice of a day that passed while nothing ran: written down, never sent late."""
    if rule.next_due_utc is None or rule.next_due_utc > now:
        return []
    zone = rule.student.time_zone
    day = due.local_day(rule.next_due_utc, zone)
    if day in days or now < due.cut_off(day, zone):
        return []
    kinds = tuple(kind for kind in due.ABOUT_PRACTICE if kind is not Kind.NEW_WEEK)
    notices = _notices_for(rule, day, kinds)
    for notice in notices:
        notice.state, notice.why, notice.ended_at = Notice.State.EXPIRED, TOO_LATE, now
    return notices


def _notices_for(rule: ReminderRule, day: date, kinds: tuple[Kind, ...]) -> list[Notice]:
    student, found = rule.student, []
    for reader in facts.readers_of(student):
        kind = due.choose(facts.facts_for(rule, day, reader), kinds)
        if kind is not None:
            expires = due.cut_off(day, student.time_zone)
            about = _about(kind, student, day, reader)
            found.append(make(reader, kind, day, expires, student=student, about=about))
    return found


def _about(kind: Kind, student: Student, day: date, reader: User) -> str:
    week = facts.new_week_of(student, day, reader) if kind is Kind.NEW_WEEK else None
    return str(week.pk) if week else ""


def make(
    reader: User,
    kind: Kind,
    day: date,
    expires: datetime,
    *,
    student: Student | None = None,
    about: str = "",
) -> Notice:
    """A notice, unsaved. Its key makes it the only one, its Message-ID stays with it."""
    whom = student.pk.hex if student else "-"
    pk = uuid4()
    extra = f":{about}" if kind is Kind.PAIN_TOLD else ""
    return Notice(
        pk=pk,
        key=f"{kind}:{whom}:{reader.pk.hex}:{day}{extra}",
        recipient=reader,
        student=student,
        kind=kind,
        local_day=day,
        about=about,
        expires_at=expires,
        message_id=f"<{pk.hex}@{urlsplit(settings.SITE_URL).hostname}>",
    )


def _keep(
    rule: ReminderRule | SummaryRule | EveningRule,
    after: datetime | None,
    notices: list[Notice],
) -> int:
    """Move the rule on and add its notices, unless another ticker was first."""
    with transaction.atomic():
        if not _still(rule).update(next_due_utc=after):
            return 0
        Notice.objects.bulk_create(notices, ignore_conflicts=True)
    return len(notices)


def plan_summary(rule: SummaryRule, now: datetime) -> int:
    """The coach's summary, on the first day of the studio's week, on the coach's own clock."""
    user = rule.user
    studio = access.studios_of(user).order_by("created_at").first()
    if studio is None:
        return _keep(rule, None, [])
    notices = [
        make(user, Kind.COACH_MONDAY, day, due.cut_off(day, user.time_zone))
        for day in due.due_days(now, rule.at, user.time_zone)
        if rule.on and day.weekday() == studio.first_weekday
    ]
    return _keep(rule, due.next_due(now, rule.at, user.time_zone), notices)


def plan_evening(rule: EveningRule, now: datetime) -> int:
    """Tomorrow's lessons, on an evening before lessons, on the coach's own clock."""
    user, zone = rule.user, rule.user.time_zone
    if not access.teaches(user):
        return _keep(rule, None, [])
    notices = [
        make(user, Kind.COACH_EVENING, day, due.cut_off(day, zone))
        for day in due.due_days(now, rule.at, zone)
        if lessons_on(user, day + timedelta(days=1))
    ]
    return _keep(rule, due.next_due(now, rule.at, zone), notices)


def tell_of_pain(note: PainNote) -> None:
    """Tell the coach, and of a minor the guardians, at once. In the entry's transaction."""
    student = note.student
    readers = [student.lead_coach]
    if student.is_minor:
        readers += access.guardians_of(student)
    expires = timezone.now() + PAIN_HOLDS
    notices = [
        make(reader, Kind.PAIN_TOLD, note.day, expires, student=student, about=str(note.pk))
        for reader in readers
        if reader.pk != note.entry.writer_id
    ]
    Notice.objects.bulk_create(notices, ignore_conflicts=True)


def objection(notice: Notice, now: datetime) -> str:
    """Why a planned notice should not be sent after all; asked again right before sending."""
    if not notice.recipient.is_active:
        return "no access any more"
    kind = Kind(notice.kind)
    if kind is Kind.COACH_MONDAY:
        rule = SummaryRule.objects.filter(user=notice.recipient, on=True)
        return "" if rule.exists() and access.teaches(notice.recipient) else "summary is off"
    if kind is Kind.COACH_EVENING:
        wants = EveningRule.objects.filter(user=notice.recipient, next_due_utc__isnull=False)
        return "" if wants.exists() and access.teaches(notice.recipient) else "it is off"
    student = notice.student
    if student is None or student.left_on is not None:
        return "the student has left"
    if kind is Kind.PAIN_TOLD:
        reads = facts.reads_pain_of(notice.recipient, student, now)
        return "" if reads and _really(student) else "no access any more"
    return _practice_objection(notice, student, kind, now)


def _really(student: Student) -> bool:
    """No mail leaves a real mail server for people whom the demo invented."""
    return not (student.studio.is_demo and settings.EMAIL_BACKEND.endswith("smtp.EmailBackend"))


def _practice_objection(notice: Notice, student: Student, kind: Kind, now: datetime) -> str:
    if due.is_quiet(now, student.time_zone):
        return "quiet hours"
    if notice.recipient not in facts.readers_of(student):
        return "no access any more"
    rule = ReminderRule.objects.select_related(*_STUDENT).get(student=student)
    known = facts.facts_for(rule, notice.local_day, notice.recipient, but=notice.pk)
    return due.objection(kind, known)
