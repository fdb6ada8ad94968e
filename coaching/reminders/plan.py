"""The tick: what is due becomes a notice. Repeatable, and safe with several tickers.

A rule is taken by moving its `next_due_utc` on with a conditional UPDATE in the
transaction that adds its notices, and the notices' unique keys decide the rest. So
two tickers, a crash at any point and a clock set back all give one notice or none,
never two.
"""

from collections.abc import Callable, Iterator
from datetime import date, datetime, time, timedelta
from functools import partial
from typing import Any
from uuid import UUID, uuid4

from django.conf import settings
from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from coaching.lessons.queries import lessons_on
from coaching.reminders import chance, due, facts, starts
from coaching.reminders.due import ReminderKind
from coaching.reminders.models import EveningRule, Notice, ReminderRule, SummaryRule
from coaching.reminders.services import (
    ensure_rule,
    ensure_summary,
    take_heard,
    without_rule,
    without_summary,
)
from coaching.reminders.usual_hour import hour_before
from coaching.reminders.written import untold, untold_of
from practice.care.models import PainNote
from shared.jobs.sweep import HOURLY, MOST_WAITING, last_ended, sweep
from shared.kit.weeks import utc_instant
from shared.outbox.models import message_id_of
from shared.people import access
from shared.people.models import Student, Studio, User

A_TICK = 500
# No rule is ever due later than this; if one is, the clock was set back since.
FURTHEST = timedelta(days=3)
CLOCKS_DIFFER = timedelta(minutes=1)
PAIN_HOLDS = timedelta(days=2)
KEPT = timedelta(days=400)
RULES = "reminders to plan"
ADOPTED = "students without a rule"
ADOPTED_AT_ONCE = 500
TOO_LATE = "nothing was running at the time"


def tick() -> int:
    """Plan everything due now. Returns how many notices were added."""
    now = timezone.now()
    _set_right(now)
    _adopt_heard(take_heard(now))
    _hourly(now)
    return sum(
        sum(
            sweep(
                name,
                partial(_due, rules, now),
                partial(plan, now=now),
                most=A_TICK,
            )
        )
        for name, rules, plan in (
            (RULES, ReminderRule.objects.select_related(*_STUDENT), plan_rule),
            ("coaches' summaries", SummaryRule.objects.select_related("user"), plan_summary),
            ("coaches' evenings", EveningRule.objects.select_related("user"), plan_evening),
        )
    )


_STUDENT = ("student__studio", "student__user", "student__lead_coach")


def _due(rules: QuerySet[Any], now: datetime) -> Iterator[Any]:
    """Rules due now, then those so far ahead that they were reckoned by a clock since set back.

    Two queries: one with OR reads every rule of the index on SQLite.
    """
    most = A_TICK + MOST_WAITING
    yield from rules.filter(next_due_utc__lte=now).order_by("next_due_utc")[:most]
    yield from rules.filter(next_due_utc__gt=now + FURTHEST).order_by("-next_due_utc")[:A_TICK]


def _still(rule: Any) -> QuerySet[Any]:
    """The rule, as long as nobody has moved it on since it was read."""
    rules: QuerySet[Any] = type(rule).objects.all()
    return rules.filter(pk=rule.pk, next_due_utc=rule.next_due_utc)


def _set_right(now: datetime) -> None:
    """After a clock that ran ahead: look at every rule again, and take no day for missed.

    What was sent meanwhile keeps its day's key, so that no day gets a second one.
    """
    last = last_ended(RULES)
    if last is None or last <= now + CLOCKS_DIFFER:
        return
    missed = Notice.objects.filter(state=Notice.State.EXPIRED, why=TOO_LATE, ended_at__gt=now)
    missed.delete()
    for kind in (ReminderRule, SummaryRule, EveningRule):
        kind.objects.filter(next_due_utc__gt=now).update(next_due_utc=now)


def _adopt_heard(who: list[UUID]) -> None:
    """Give those their rules who are new; of very many the rest are adopted within the hour.

    One by one, each for itself: nobody waits for one whose rule cannot be made.
    """
    if not who:
        return
    here = set(who[:ADOPTED_AT_ONCE])
    sweep(
        "new students without a rule",
        lambda: without_rule().filter(pk__in=here), ensure_rule, most=ADOPTED_AT_ONCE,
    )  # fmt: skip
    sweep(
        "new coaches without a rule",
        lambda: without_summary().filter(pk__in=here), ensure_summary, most=ADOPTED_AT_ONCE,
    )  # fmt: skip


def _hourly(now: datetime) -> None:
    last = last_ended(ADOPTED)
    if last is not None and abs(now - last) < HOURLY:
        return
    sweep(ADOPTED, without_rule, ensure_rule, most=ADOPTED_AT_ONCE)
    sweep("coaches without a rule", without_summary, ensure_summary, most=ADOPTED_AT_ONCE)
    Notice.objects.filter(planned_at__lt=now - KEPT).delete()


def plan_rule(rule: ReminderRule, now: datetime) -> int:
    """Add what is due for one student, and reckon when to look again."""
    student, zone = rule.student, rule.student.time_zone
    if student.left_on is not None:
        return _keep(rule, None, [])
    notices = _missed(rule, now)
    if day := due.due_day(now, rule.at, zone):
        notices += _notices_for(rule, day, (ReminderKind.ANSWER, *due.ONE_A_DAY))
    elif not due.is_quiet(now, zone):
        notices += _notices_for(rule, due.local_day(now, zone), due.AT_ONCE)
    if rule.follows_practice and (start := starts.usual(student, now)):
        rule.at = hour_before(start)
    return _keep(rule, _next_look(rule, now), notices, at=rule.at)


def _next_look(rule: ReminderRule, now: datetime) -> datetime:
    """The student's next hour; or the end of the quiet hours, if an answer waits for that."""
    student, zone = rule.student, rule.student.time_zone
    after = due.next_due(now, rule.at, zone)
    if not due.is_quiet(now, zone):
        return after
    readers = facts.told_of(student)
    waits = any(item.answers for each in untold_of(student, readers) for item in each)
    return min(after, due.first_decent(now, zone)) if waits else after


def _missed(rule: ReminderRule, now: datetime) -> list[Notice]:
    """The notice of a day that passed while nothing ran: written down, never sent late."""
    was_due, zone = rule.next_due_utc or now, rule.student.time_zone
    day = due.local_day(was_due, zone)
    # One that is due after its hour was looked at then, and something was heard since.
    if now < due.cut_off(day, zone) or utc_instant(day, rule.at, zone) < was_due:
        return []
    kinds = tuple(kind for kind in due.ABOUT_PRACTICE if kind is not ReminderKind.NEW_WEEK)
    notices = _notices_for(rule, day, kinds, draws=never_drawn)
    for notice in notices:
        notice.state, notice.why, notice.ended_at = Notice.State.EXPIRED, TOO_LATE, now
    return notices


def never_drawn(rule: ReminderRule, reader: User) -> None:
    """Chance has no say in what is too late."""


def _notices_for(
    rule: ReminderRule,
    day: date,
    kinds: tuple[ReminderKind, ...],
    draws: Callable[[ReminderRule, User], bool | None] = chance.draws,
) -> list[Notice]:
    student, found = rule.student, []
    of_the_coach = tuple(kind for kind in kinds if kind in due.OF_THE_COACH)
    readers = [(reader, kinds) for reader in facts.readers_of(student)]
    readers += [(reader, of_the_coach) for reader in facts.also_told(student) if of_the_coach]
    for reader, among in readers:
        known = facts.facts_for(rule, day, reader)
        kind, drawn = due.choose(known, among), None
        if kind is ReminderKind.PRACTICE_CALL and (drawn := draws(rule, reader)) is False:
            found.append(_left_out(rule, day, reader))
            kind = due.choose(known, tuple(each for each in among if each is not kind))
        if kind is not None:
            expires = due.cut_off(day, student.time_zone)
            about = _about(kind, student, day, reader)
            notice = make(reader, kind, day, expires, student=student, about=about)
            notice.drawn = drawn if kind is ReminderKind.PRACTICE_CALL else None
            found.append(notice)
    return found


def _left_out(rule: ReminderRule, day: date, reader: User) -> Notice:
    """A call that chance left out, written down so that the day counts."""
    expires = due.cut_off(day, rule.student.time_zone)
    notice = make(reader, ReminderKind.PRACTICE_CALL, day, expires, student=rule.student)
    notice.state, notice.why, notice.drawn = Notice.State.CANCELLED, chance.LEFT_OUT, False
    notice.ended_at = timezone.now()
    return notice


def _about(kind: ReminderKind, student: Student, day: date, reader: User) -> str:
    if kind is ReminderKind.ANSWER:
        return next(str(item.id) for item in untold(student, reader) if item.answers)
    week = facts.new_week_of(student, day, reader) if kind is ReminderKind.NEW_WEEK else None
    return str(week.pk) if week else ""


def make(
    reader: User,
    kind: ReminderKind,
    day: date,
    expires: datetime,
    *,
    student: Student | None = None,
    about: str = "",
) -> Notice:
    """A notice, unsaved. Its key makes it the only one, its Message-ID stays with it."""
    whom = student.pk.hex if student else "-"
    pk = uuid4()
    extra = f":{about}" if kind in {ReminderKind.PAIN_TOLD, ReminderKind.ANSWER} else ""
    return Notice(
        pk=pk,
        key=f"{kind}:{whom}:{reader.pk.hex}:{day}{extra}",
        recipient=reader,
        student=student,
        kind=kind,
        local_day=day,
        about=about,
        expires_at=expires,
        message_id=message_id_of(pk),
    )


def _keep(
    rule: ReminderRule | SummaryRule | EveningRule,
    after: datetime | None,
    notices: list[Notice],
    **moved: time,
) -> int:
    """Move the rule on and add its notices, unless another ticker was first."""
    with transaction.atomic():
        if not _still(rule).update(next_due_utc=after, **moved):
            return 0
        Notice.objects.bulk_create(notices, ignore_conflicts=True)
    return len(notices)


def plan_summary(rule: SummaryRule, now: datetime) -> int:
    """The coach's summary, on the first day of the studio's week, on the coach's own clock."""
    user, zone = rule.user, rule.user.time_zone
    studio = access.studios_of(user).order_by("created_at").first()
    if studio is None:
        return _keep(rule, None, [])
    notices = [
        make(user, ReminderKind.COACH_MONDAY, day, due.cut_off(day, zone))
        for day in [due.due_day(now, rule.at, zone)]
        if day
        and rule.on
        and day.weekday() == studio.first_weekday
        and _worked_there(user, studio, utc_instant(day, rule.at, zone))
    ]
    return _keep(rule, due.next_due(now, rule.at, zone), notices)


def _worked_there(user: User, studio: Studio, at: datetime) -> bool:
    """Who began to since is told of the next week."""
    return user.memberships.filter(studio=studio, since__lte=at).exists()


def plan_evening(rule: EveningRule, now: datetime) -> int:
    """Tomorrow's lessons, on an evening before lessons, on the coach's own clock."""
    user, zone = rule.user, rule.user.time_zone
    if not access.teaches(user):
        return _keep(rule, None, [])
    notices = [
        make(user, ReminderKind.COACH_EVENING, day, due.cut_off(day, zone))
        for day in [due.due_day(now, rule.at, zone)]
        if day and lessons_on(user, day + timedelta(days=1))
    ]
    return _keep(rule, due.next_due(now, rule.at, zone), notices)


def tell_of_pain(note: PainNote) -> None:
    """Tell the coach, and of a minor the guardians, at once. In the entry's transaction.

    Where the coach works here no more, the owners are told.
    """
    student = note.student
    readers = [student.lead_coach]
    if not access.lead_works_here(student):
        readers = list(access.owners_of(student.studio))
    if student.is_minor:
        readers += access.guardians_of(student)
    expires = timezone.now() + PAIN_HOLDS
    notices = [
        make(reader, ReminderKind.PAIN_TOLD, note.day, expires, student=student, about=str(note.pk))
        for reader in {each.pk: each for each in readers}.values()  # A coach may be the guardian.
        if reader.pk != note.entry.writer_id
    ]
    # No mail may ever refuse the entry that tells of pain.
    Notice.objects.bulk_create(notices, ignore_conflicts=True)


def objection(notice: Notice, now: datetime) -> str:
    """Why a planned notice should not be sent after all; asked again right before sending."""
    if not notice.recipient.is_active:
        return "no access any more"
    kind = ReminderKind(notice.kind)
    if kind is ReminderKind.COACH_MONDAY:
        rule = SummaryRule.objects.filter(user=notice.recipient, on=True)
        return "" if rule.exists() and access.teaches(notice.recipient) else "summary is off"
    if kind is ReminderKind.COACH_EVENING:
        wants = EveningRule.objects.filter(user=notice.recipient, next_due_utc__isnull=False)
        return "" if wants.exists() and access.teaches(notice.recipient) else "it is off"
    student = notice.student
    if student is None or not access.may_be_recorded(student):
        return "no consent" if student and student.left_on is None else "the student has left"
    if kind is ReminderKind.PAIN_TOLD:
        reads = facts.reads_pain_of(notice.recipient, student, now)
        return "" if reads and _really(student) else "no access any more"
    return _practice_objection(notice, student, kind, now)


def _really(student: Student) -> bool:
    """No mail leaves a real mail server for people whom the demo invented."""
    return not (student.studio.is_demo and settings.EMAIL_BACKEND.endswith("smtp.EmailBackend"))


def _practice_objection(notice: Notice, student: Student, kind: ReminderKind, now: datetime) -> str:
    if due.is_quiet(now, student.time_zone):
        return "quiet hours"
    readers = facts.readers_of(student)
    if kind in due.OF_THE_COACH:
        readers += facts.also_told(student)
    if notice.recipient not in readers:
        return "no access any more"
    rule = ReminderRule.objects.select_related(*_STUDENT).get(student=student)
    known = facts.facts_for(rule, notice.local_day, notice.recipient, but=notice.pk)
    return due.objection(kind, known)
