"""What went to a student's readers, what waits, and whether it was opened; for the coach's page."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import DateField, UUIDField

from coaching.reminders import facts
from coaching.reminders.due import ReminderKind, due_day, is_quiet, local_day
from coaching.reminders.models import Notice, ReminderRule, Silence
from coaching.reminders.written import Item, WrittenAsked, untold_from, written_asked
from shared.kit.text import date_words
from shared.outbox.mail_sender import TO_A_PHONE
from shared.people.models import Student, User
from shared.people.undelivered import DID_NOT_ARRIVE
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

MOST_SHOWN = 60
STATES = {
    Notice.State.FAILED: "refused by the mail server",
    Notice.State.UNKNOWN: "perhaps sent: no answer came",
    Notice.State.CANCELLED: "not sent",
    Notice.State.EXPIRED: "not sent in time",
}
NOUNS = {
    "line": "a message",
    "answer": "an answer",
    "report": "a report",
    "clip": "a clip",
    "change": "a changed week",
}


@dataclass(frozen=True, slots=True)
class SentRow:
    """One mail: what it was, to whom, and what became of it."""

    what: str
    to: str
    became: str
    opened: str


@dataclass(frozen=True, slots=True)
class WaitingRow:
    """What one reader has neither read nor been sent, and when it goes or why it does not."""

    what: str
    to: str
    when: str


def sent(student: Student, clock: ZoneInfo) -> list[SentRow]:
    """Mails about the student's practice, latest first. Two queries."""
    notices = Notice.objects.filter(student=student).exclude(kind=ReminderKind.PAIN_TOLD)
    found = notices.select_related("recipient").prefetch_related("told")
    return [_row(notice, clock) for notice in found.order_by("-planned_at")[:MOST_SHOWN]]


def _row(notice: Notice, clock: ZoneInfo) -> SentRow:
    told = list_words(told.what for told in notice.told.all())
    kind = ReminderKind(notice.kind)
    alone = kind in {ReminderKind.WRITTEN, ReminderKind.ANSWER}
    what = told if alone and told else notice.get_kind_display()
    if told and not alone:
        what += f", with {told}"
    return SentRow(
        what[0].upper() + what[1:],
        str(notice.recipient),
        _became(notice, clock),
        moment(notice.opened_at, clock) if notice.opened_at else "",
    )


def _became(notice: Notice, clock: ZoneInfo) -> str:
    ended = moment(notice.ended_at or notice.planned_at, clock)
    if notice.state == Notice.State.SENT:
        return f"sent {ended}" + (f", {TO_A_PHONE}" if notice.why == TO_A_PHONE else "")
    if notice.why.startswith(DID_NOT_ARRIVE):
        return f"{DID_NOT_ARRIVE}, {ended}{notice.why.removeprefix(DID_NOT_ARRIVE)}"
    if notice.state in STATES:
        why = f" ({notice.why})" if notice.why else ""
        return f"{STATES[Notice.State(notice.state)]}, {ended}{why}"
    return "on its way"


def list_words(whats: Iterable[str]) -> str:
    """'an answer, 2 messages and a clip'; empty for none."""
    many: dict[str, int] = {}
    for what in whats:
        many[what] = many.get(what, 0) + 1
    said = [
        NOUNS[what] if count == 1 else f"{count} {NOUNS[what].split(' ', 1)[1]}s"
        for what, count in many.items()
    ]
    return " and ".join(filter(None, (", ".join(said[:-1]), *said[-1:])))


def moment(at: datetime, clock: ZoneInfo) -> str:
    local = at.astimezone(clock)
    return f"{date_words(local.date())} {local:%H:%M}"


@dataclass(frozen=True, slots=True)
class WaitingAsked:
    """What waits for a student's readers, and when it goes; to be asked with others."""

    student: Student
    now: datetime
    family: facts.FamilyAsked
    written: WrittenAsked
    rule: Rows
    silences: Rows
    today: Rows

    def rows(self) -> list[Question[Any]]:
        own: list[Question[Any]] = [self.rule, self.silences, self.today]
        return [*self.family.rows(), *self.written.rows(), *own]


def waiting_asked(student: Student, now: datetime) -> WaitingAsked:
    own, day = {"student": student.pk}, local_day(now, student.time_zone)
    return WaitingAsked(
        student,
        now,
        facts.family_asked(student),
        written_asked(student),
        Rows(_rule, **own),
        Rows(_silences, **own),
        Rows(_mails_of, **own, day=day),
    )


_rule = Prepared(lambda student: ReminderRule.objects.filter(student=student), student=UUIDField)
_silences = Prepared(
    lambda student: Silence.objects.filter(student=student).values_list("user"), student=UUIDField
)
_mails_of = Prepared(
    lambda student, day: (
        Notice.objects.filter(student=student, local_day=day, state__in=Notice.TAKEN)
        .exclude(kind=ReminderKind.PAIN_TOLD)
        .values_list("recipient")
    ),
    student=UUIDField,
    day=DateField,
)


def waiting(asked: WaitingAsked) -> list[WaitingRow]:
    """What is still to go, a reader at a time."""
    readers = asked.family.told
    found = zip(readers, untold_from(asked.written, asked.student, readers), strict=True)
    when = _When(asked)
    return [
        WaitingRow(
            list_words(item.what for item in items), str(reader), when.goes_to(reader, items)
        )
        for reader, items in found
        if items
    ]


class _When:
    """When what waits goes to each reader, or why it does not."""

    def __init__(self, asked: WaitingAsked) -> None:
        rules = asked.rule.answer or [ReminderRule(student=asked.student)]
        self.rule, self.now, self.zone = rules[0], asked.now, asked.student.time_zone
        self.may_write = asked.family.may_write
        self.silent = {user for (user,) in asked.silences.answer}
        self.had_mail = {user for (user,) in asked.today.answer}

    def goes_to(self, reader: User, items: list[Item]) -> str:
        if not self.may_write:
            return "not sent: nobody has agreed to mails, or this is the demo"
        if reader.pk in self.silent:
            return "not sent: stopped by the reader"
        if ReminderKind.WRITTEN not in self.rule.wants:
            return "not sent: mails from the coach are off"
        if any(item.answers for item in items):
            quiet = is_quiet(self.now, self.zone)
            return (
                "goes at 07:00, when the quiet hours end" if quiet else "goes now: it is waited for"
            )
        had_mail = reader.pk in self.had_mail
        if due_day(self.now, self.rule.at, self.zone) and not had_mail:
            return "goes now"
        is_over = self.now.astimezone(ZoneInfo(self.zone)).time() >= self.rule.at
        day = "tomorrow" if had_mail or is_over else "today"
        return f"goes {day} at {self.rule.at:%H:%M} their time, with that day’s mail"
