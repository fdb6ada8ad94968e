"""A mail server that misbehaves as told, and a student for whom a call is due."""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from email import message_from_bytes
from email.message import Message

import pytest
import time_machine
from aiosmtpd.controller import Controller

from coaching.reminders.models import ReminderRule
from shared.jobs import steady
from tests import factories
from tests.ports import own_port
from tests.running.processes import LONGEST

# Wednesday 26 February 2031, 17:00 and a little: the usual hour of a call, in UTC.
DUE = datetime(2031, 2, 26, 17, 0, 30, tzinfo=UTC)


@dataclass
class Sink:
    """Answers each mail by the next of `answers`, then 250. 'drop' and 'take and drop' hang up."""

    answers: list[str] = field(default_factory=list)
    rcpt_answers: list[str] = field(default_factory=list)
    by_recipient: dict[str, str] = field(default_factory=dict)
    taken: list[Message] = field(default_factory=list)
    offered: int = 0
    port: int = 0

    async def handle_RCPT(self, server, session, envelope, address, options):  # noqa: N802
        answer = self.by_recipient.get(address) or (
            self.rcpt_answers.pop(0) if self.rcpt_answers else ""
        )
        if answer:
            return answer
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server, session, envelope):  # noqa: N802
        self.offered += 1
        answer = self.answers.pop(0) if self.answers else "250 OK"
        if answer in {"250 OK", "take and drop"}:
            self.taken.append(message_from_bytes(envelope.content))
        if answer in {"drop", "take and drop"}:
            server.transport.abort()
        return answer

    def ids(self) -> list[str]:
        return [message["Message-ID"] for message in self.taken]


@contextmanager
def running_sink() -> Iterator[Sink]:
    """A real SMTP server on a port of this machine, stopped at the end."""
    handler = Sink()
    with own_port() as handler.port:
        controller = Controller(
            handler, hostname="127.0.0.1", port=handler.port, ready_timeout=LONGEST
        )
        controller.start()
        try:
            yield handler
        finally:
            controller.stop()


@pytest.fixture
def sink(settings):
    """A mail server of our own, and Django told to use it."""
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_USE_TLS = settings.EMAIL_USE_SSL = False
    settings.EMAIL_TIMEOUT = LONGEST
    with running_sink() as handler:
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", handler.port
        yield handler


def due_student(coach, name="Sam Sample", **fields):
    """A student with a sent week, something left, and a rule that is due at 17:00."""
    with time_machine.travel(DUE - timedelta(hours=3), tick=False):
        student = factories.make_student(coach, name, **fields)
        give_week(student)
    return student


def give_week(student, **fields):
    drill = factories.make_drill(student.studio, "Wall-back turns")
    week = factories.make_week(student, **fields)
    factories.make_part(week, drill, minutes=12, cue="tail stays on the fence")
    # The week is told of already, so that the call comes to the fore.
    ReminderRule.objects.update_or_create(
        student=student, defaults={"new_week": False, "next_due_utc": DUE.replace(second=0)}
    )
    return week


@pytest.fixture
def due(coach):
    return due_student(coach)


@pytest.fixture
def at_five(monkeypatch):
    """The clock at half a minute past five, moved by hand, and the steady one with it."""
    monkeypatch.setattr(steady, "milliseconds", lambda: time.time_ns() // 1_000_000)
    with time_machine.travel(DUE, tick=False) as clock:
        yield clock
