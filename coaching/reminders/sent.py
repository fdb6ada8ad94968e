"""What went to a student's readers, what waits, and whether it was opened; for the coach's page."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from coaching.reminders import facts
from coaching.reminders.due import ReminderKind, due_days, is_quiet, local_day
from coaching.reminders.models import Notice, Silence
from coaching.reminders.services import rule_of
from coaching.reminders.written import Item, untold_of
from shared.kit.text import date_words
from shared.outbox.mail_sender import TO_A_PHONE
from shared.people.models import Student, User
from shared.people.undelivered import DID_NOT_ARRIVE

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


def waiting(student: Student, readers: Sequence[User], now: datetime) -> list[WaitingRow]:
    """What is still to go, a reader at a time; `readers` are those of `facts.told_of`."""
    found = list(zip(readers, untold_of(student, readers), strict=True))
    if not any(items for _, items in found):
        return []
    when = _When(student, now)
    return [
        WaitingRow(
            list_words(item.what for item in items), str(reader), when.goes_to(reader, items)
        )
        for reader, items in found
        if items
    ]


class _When:
    """When what waits goes to each reader, or why it does not."""

    def __init__(self, student: Student, now: datetime) -> None:
        self.rule, self.now, self.zone = rule_of(student), now, student.time_zone
        self.may_write = facts.may_write(student)
        silences = Silence.objects.filter(student=student)
        self.silent = set(silences.values_list("user", flat=True))
        today = Notice.objects.filter(
            student=student, local_day=local_day(now, self.zone), state__in=Notice.TAKEN
        ).exclude(kind=ReminderKind.PAIN_TOLD)
        self.had_mail = set(today.values_list("recipient", flat=True))

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
        if due_days(self.now, self.rule.at, self.zone) and not had_mail:
            return "goes now"
        is_over = self.now.astimezone(ZoneInfo(self.zone)).time() >= self.rule.at
        day = "tomorrow" if had_mail or is_over else "today"
        return f"goes {day} at {self.rule.at:%H:%M} their time, with that day’s mail"
