"""Every mail that this house sends, as it would reach somebody, with invented people.

Each is made by the very templates and functions that make the real one.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from types import SimpleNamespace
from typing import Any
from uuid import UUID

from django.conf import settings
from django.template.loader import render_to_string

from coaching.reminders import text
from coaching.reminders.chance import UNHEARD
from coaching.reminders.due import WORDS, ReminderKind
from coaching.reminders.mail import subject_of
from coaching.reminders.text import Letter, PartWords
from coaching.reminders.written import Item
from shared.kit.text import date_words
from shared.people.invitation_mail import html_of, letter, sender
from shared.people.models import Invitation

# Invented, all of them.
COACH, STUDENT, CHILD, READER = "Mara Lindgren", "Ada Hill", "Kim", "reader@example.org"
PART = PartWords(1, 12, "Gate putting", "quiet head", "in the garage")
LINK = "https://studio.example.org/"


@dataclass(frozen=True, slots=True)
class MailPreview:
    """One mail: who gets it and when in `name`, then what the reader sees. `html` is safe."""

    name: str
    sender: str
    subject: str
    text: str
    html: str

    @property
    def lines(self) -> list[str]:
        """Of the plain text, one by one as a reader meets them."""
        return [line for line in self.text.splitlines() if line.strip()]


def previews(studio: str, now: datetime) -> list[MailPreview]:
    """All of them in the studio's name: about practice first, then about people and sign-in."""
    return [*_reminders(studio, now), *_accounts(studio, now)]


def _item(what: str, words: str, now: datetime) -> Item:
    return Item(what, UUID(int=0), COACH, now, words)


def letters(now: datetime) -> dict[ReminderKind, Letter]:
    """One letter of each kind of reminder, as its reader gets it."""
    report, line = _item("report", "", now), _item("line", "Both feet down. Well kept.", now)
    said = (
        f"The week of {date_words(_monday(now))} was changed. "
        "Wall-back turns: two visits, not three."
    )
    change = _item("change", said, now)
    call = text.with_plan(text.practice_call(PART, child=""), "After school, in the garage.")
    return {
        ReminderKind.PRACTICE_CALL: call,
        ReminderKind.MIDWEEK_OFFER: text.midweek_offer(PART, visits_left=2, child=""),
        ReminderKind.NEW_WEEK: text.new_week(
            _monday(now), "Slow first, then full.", [PART], child=""
        ),
        ReminderKind.LESSON_TOMORROW: text.lesson_tomorrow(child=""),
        ReminderKind.TEST_TOMORROW: text.test_tomorrow("Ten from two metres", child=""),
        ReminderKind.WRITTEN: text.from_the_coach([line, change, report], child=CHILD),
        ReminderKind.ANSWER: text.from_the_coach(
            [_item("answer", "Yes, both feet.", now)], child=""
        ),
        ReminderKind.CALLS_STOP: text.calls_stop(UNHEARD, child=""),
        ReminderKind.COACH_MONDAY: text.coach_monday(
            [f"{STUDENT}: no log for 5 days"],
            "Last week 12 students had a week, and 9 did it.",
        ),
        ReminderKind.COACH_EVENING: text.coach_evening([f"16:30 {STUDENT}: in step"]),
        ReminderKind.PAIN_TOLD: text.pain_told_to_guardian(CHILD),
    }


def _monday(now: datetime) -> date:
    return now.date() - timedelta(days=now.weekday())


def _reminders(studio: str, now: datetime) -> Iterator[MailPreview]:
    for kind, said in letters(now).items():
        yield _of_letter(WORDS[kind], said, studio)
    told = text.pain_told_to_coach(STUDENT)
    yield _of_letter(f"{WORDS[ReminderKind.PAIN_TOLD]}, to the coach", told, studio)


def _of_letter(name: str, said: Letter, studio: str) -> MailPreview:
    stop = "" if said.must else f"{LINK}stop/"
    filling = {"letter": said, "link": LINK, "stop": stop, "studio": studio}
    return MailPreview(
        name, sender(said.by, studio), subject_of(said),
        render_to_string("reminders/mail/letter.txt", filling),
        render_to_string("reminders/mail/_letter.html", filling),
    )  # fmt: skip


def facts_of(studio: str, now: datetime) -> dict[str, tuple[str, dict[str, Any]]]:
    """By template of a mail about accounts: what it is, and what stands in it."""
    student = _Named(STUDENT, studio=studio, lead_coach=COACH, name=STUDENT)
    erasure = SimpleNamespace(due_at=now + timedelta(days=7), asked_by=STUDENT, why="")
    shared = {"by": COACH, "student": student, "site": LINK, "page": LINK}
    at = datetime.combine(now.date(), time(9, 30), tzinfo=now.tzinfo)
    return {
        "people/mail/code.txt": ("Code to sign in", {"code": "K7QM2P"}),
        "people/mail/test.txt": ("Test mail", {"link": LINK}),
        "people/mail/child.txt": (
            "News for a guardian",
            {"text": f"{COACH} leads {CHILD} from now on.", "page": LINK},
        ),
        "people/mail/confirmed.txt": ("A child was confirmed", shared),
        "people/mail/lead.txt": ("Another lead coach", shared | {"to": "Tom Ashby"}),
        "people/mail/changed.txt": (
            "The sign-in was changed",
            {"changed": "A passkey was added to your sign-in.", "at": at,
             "device": "a phone", "page": LINK},
        ),
        "people/mail/address_taken.txt": ("An address that is taken", {}),
        "people/mail/passkey_lost.txt": ("A passkey was lost", shared),
        "records/mail/asked.txt": ("An erasure was asked for", shared | {"erasure": erasure}),
        "records/mail/copied.txt": ("A copy was taken", shared),
    }  # fmt: skip


class _Named(SimpleNamespace):
    """Something invented that a template prints by its name."""

    def __init__(self, words: str, **facts: Any) -> None:
        super().__init__(words=words, **facts)

    def __str__(self) -> str:
        return str(self.words)


def _accounts(studio: str, now: datetime) -> Iterator[MailPreview]:
    for kind in Invitation.Kind:
        facts = {"invitation": _invitation(kind, studio), "link": LINK}
        made = _of_template(f"Invitation: {kind.label}", "people/mail/invitation.txt", facts)
        yield replace(made, sender=sender(COACH, studio))
    for template, (name, facts) in facts_of(studio, now).items():
        yield _of_template(name, template, facts)


def _invitation(kind: str, studio: str) -> SimpleNamespace:
    return SimpleNamespace(
        kind=kind, name=READER.partition("@")[0].capitalize(), invited_by=COACH,
        studio=SimpleNamespace(name=studio), student=SimpleNamespace(name=CHILD),
        get_kind_display=Invitation.Kind(kind).label,
    )  # fmt: skip


def _of_template(name: str, template: str, facts: dict[str, Any]) -> MailPreview:
    made = letter(template, facts, READER)
    body = str(made.body)
    return MailPreview(name, settings.DEFAULT_FROM_EMAIL, str(made.subject), body, html_of(body))
