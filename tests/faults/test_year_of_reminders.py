"""A year of reminders and messages over twelve zones, against an oracle that shares no code.

Every half hour of 2031: students log or do not, the coach writes lines and answers questions,
reminders are planned and sent, to six students by mail and to six by their phones. The oracle
knows the rules as they are told to people, and a clock; it reads nothing of ours.

The worker ticks where something happens or an hour comes that somebody waits for, and at every
fifth of the other half hours, drawn: what is sent out of place is found there or at the next.
"""

import random
from collections import defaultdict
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.core import mail

from coaching.reminders import plan
from coaching.reminders.models import Notice, ReminderRule, SummaryRule, Told
from practice.log.models import Entry, Line
from practice.phone import keys
from practice.phone.models import PushDevice
from shared.outbox import push_sender, send
from shared.people import access
from tests import factories
from tests.outbox.push_service import Browser

pytestmark = [pytest.mark.long, pytest.mark.django_db]
ZONES = [
    "Pacific/Kiritimati", "Pacific/Chatham", "Australia/Lord_Howe", "Asia/Tokyo", "Asia/Kolkata",
    "Africa/Cairo", "Europe/Berlin", "Europe/London", "America/St_Johns", "America/New_York",
    "America/Santiago", "Pacific/Honolulu",
]  # fmt: skip
STEP = timedelta(minutes=30)
IDLE_TICKS = 0.2
FIRST, LAST = datetime(2031, 1, 1, tzinfo=UTC), datetime(2032, 1, 1, tzinfo=UTC)
HOURS = [time(7), time(8, 30), time(12), time(15), time(17), time(18), time(20), time(20, 30)]


@dataclass
class Lived:
    """What happens to one student in the year, by its instant."""

    zone: ZoneInfo
    hour: time
    logs: set[datetime] = field(default_factory=set)
    lines: set[datetime] = field(default_factory=set)
    answers: set[datetime] = field(default_factory=set)


def lived(zone: str, hour: time, chance: random.Random) -> Lived:
    life, now = Lived(ZoneInfo(zone), hour), FIRST
    while now < LAST:
        if 8 <= now.astimezone(life.zone).hour < 22 and chance.random() < 0.035:
            life.logs.add(now)
        if chance.random() < 0.004:
            life.lines.add(now)
        if chance.random() < 0.002:
            life.answers.add(now)
        now += STEP
    return life


def nobody_followed(called: list[datetime], logs: set[datetime], now: datetime) -> bool:
    """Ten calls in a row, and no practice within a day of any."""
    day = timedelta(days=1)
    followed = any(at <= log < at + day and log <= now for at in called[-10:] for log in logs)
    return len(called) >= 10 and not followed


def foretold(life: Lived) -> list[tuple[datetime, str, int]]:
    """Each message as it must be: when, what, and how many things of the coach's it tells."""
    said: list[tuple[datetime, str, int]] = []
    waiting = answers = 0
    taken: set[date] = set()
    logged: set[date] = set()
    looked_on, now = None, FIRST
    while now < LAST:
        local = now.astimezone(life.zone)
        today, clock = local.date(), local.time()
        logged |= {today} if now in life.logs else set()
        answers += now in life.answers
        waiting += (now in life.lines) + (now in life.answers)
        looks = clock >= life.hour and (looked_on != today or now in life.lines)
        kind = ""
        if time(7) <= clock < time(21) and answers:
            kind = "answer"
        elif time(7) <= clock < time(21) and looks and today not in taken:
            kind = of_the_day(said, life, now, is_logged=today in logged, waits=waiting > 0)
        if kind:
            said.append((now, kind, waiting))
            waiting = answers = 0
            taken.add(today)
        looked_on = today if clock >= life.hour else looked_on
        now += STEP
    return said


def of_the_day(said: list, life: Lived, now: datetime, *, is_logged: bool, waits: bool) -> str:
    """The one message of a day at its hour: a call, the word that calls stop, or what waits."""
    today = now.astimezone(life.zone).date()
    calls = [at for at, kind, _ in said if kind == "practice_call"]
    stops = [at for at, kind, _ in said if kind == "calls_stop"]
    days = [at.astimezone(life.zone).date() for at in calls + stops]
    if not is_logged and sum((today - day).days < 7 for day in days) < 3:
        if not nobody_followed(calls, life.logs, now):
            return "practice_call"
        if not stops:
            return "calls_stop"
    return "written" if waits else ""


def seeded(coach, drill, n: int, zone: str, life: Lived):
    student = factories.make_student(coach, f"Student {n}", time_zone=zone)
    for week in range(-1, 54):
        opens = date(2030, 12, 30) + timedelta(weeks=week)
        factories.make_part(factories.make_week(student, opens), drill, sessions=7)
    ReminderRule.objects.create(
        student=student, at=life.hour, new_week=False, midweek_offer=False, next_due_utc=FIRST
    )
    if n % 2:
        _, key = keys.make_key(user=student.user, student=access.recordable(student))
        PushDevice.objects.create(key=key, endpoint=f"https://push.example/{n}", **Browser().keys)
    asked = Entry.objects.create(
        student=student, root=UUID(int=n), day=date(2030, 1, 1), at=FIRST - timedelta(days=300),
        note="Which foot?", document={}, fingerprint="",
    )  # fmt: skip
    return student, asked


def is_idle(now: datetime, lives: list[Lived]) -> bool:
    """Nothing happens to anybody, and nobody's hour nor an end of the night has come just now."""
    return not any(
        now in life.logs
        or now in life.lines
        or now in life.answers
        or any(has_come(hour, now, life.zone) for hour in (life.hour, time(7), time(21)))
        for life in lives
    )


def has_come(hour: time, now: datetime, zone: ZoneInfo) -> bool:
    """Whether the clock has reached this hour since the half hour before."""
    local = now.astimezone(zone)
    return timedelta() <= local.replace(tzinfo=None) - datetime.combine(local, hour) < STEP


def happens(now: datetime, life: Lived, student, asked, coach) -> None:
    if now in life.logs:
        Entry.objects.create(
            student=student, root=factories.make_user().pk, at=now, document={}, fingerprint="",
            day=now.astimezone(life.zone).date(),
        )  # fmt: skip
    if now in life.lines:
        Line.objects.create(student=student, author=coach, text="A word")
    if now in life.answers:
        Line.objects.create(student=student, author=coach, text="The left", about=asked)


def test_none_is_missed_none_doubled_and_none_sent_at_night(monkeypatch, settings):
    pushed: list[str] = []
    monkeypatch.setattr(push_sender, "post", lambda device, nudge, now: pushed.append(nudge.name))
    monkeypatch.setattr("practice.phone.push.FRESH_FOR", timedelta(days=3650))
    chance = random.Random(2031)
    lives = [lived(zone, chance.choice(HOURS), chance) for zone in ZONES]
    came: dict[int, list[tuple[datetime, str, int]]] = defaultdict(list)
    with time_machine.travel(FIRST - timedelta(hours=1), tick=False) as clock:
        coach = factories.make_coach()
        drill = factories.make_drill(factories.studio_of(coach))
        people = [
            seeded(coach, drill, n, zone, life)
            for n, (zone, life) in enumerate(zip(ZONES, lives, strict=True))
        ]
        # The coach's own Monday is no matter of this year.
        SummaryRule.objects.create(user=coach, on=False)
        who = {student.pk: n for n, (student, _) in enumerate(people)}
        now = FIRST
        while now < LAST:
            clock.move_to(now)
            for life, (student, asked) in zip(lives, people, strict=True):
                happens(now, life, student, asked, coach)
            if now > FIRST and is_idle(now, lives) and chance.random() > IDLE_TICKS:
                now += STEP
                continue
            before = len(mail.outbox) + len(pushed)
            plan.tick()
            send.send_due()
            ways = len(mail.outbox) + len(pushed) - before
            fresh = Notice.objects.filter(ended_at=now, student__in=who, state="sent")
            for notice in fresh:
                told = Told.objects.filter(notice=notice).count()
                came[who[notice.student_id]].append((now, notice.kind, told))
                ways -= 1
            assert ways == 0, "each is delivered one way, once"
            now += STEP
    report(lives, came, len(pushed))
    for n, life in enumerate(lives):
        assert came[n] == foretold(life), ZONES[n]


def report(lives: list[Lived], came: dict[int, list], pushed: int) -> None:
    missed = doubled = night = 0
    for n, life in enumerate(lives):
        must, is_there = foretold(life), came[n]
        missed += sum(each not in is_there for each in must)
        doubled += len(is_there) - len(set(is_there)) + sum(each not in must for each in is_there)
        clocks = [now.astimezone(life.zone).hour for now, *_ in is_there]
        night += sum(not 7 <= hour < 21 for hour in clocks)
    kinds: dict[str, int] = defaultdict(int)
    for rows in came.values():
        for _, kind, _ in rows:
            kinds[kind] += 1
    print(f"\nsent {sum(map(len, came.values()))} ({dict(kinds)}), {pushed} of them to phones")
    print(f"missed {missed}, doubled or out of place {doubled}, in quiet hours {night}")
