"""A notice as a nudge to its reader's phones: the heading, one line, and where to tap."""

from django.conf import settings
from django.urls import reverse

from coaching.reminders import mail
from coaching.reminders.due import ABOUT_PRACTICE, OF_THE_COACH, ReminderKind
from coaching.reminders.models import Notice
from practice.phone import push
from shared.outbox.push_sender import Nudge

# What hurts is told by mail: it names nobody's pain on a locked screen, and is read with time.
NUDGED = (*ABOUT_PRACTICE, *OF_THE_COACH)


def of(notice: Notice) -> Nudge | None:
    """None where this reader asked for none on any phone. Raises NothingToSay, as a mail does."""
    student = notice.student
    if student is None or notice.kind not in NUDGED:
        return None
    devices = push.devices_of(notice.recipient, student)
    if not devices:
        return None
    letter, link = mail.letter_of(notice)
    return Nudge(
        devices=devices,
        name=str(notice.pk),
        title=letter.subject,
        body=letter.short,
        opens=_on_the_phone(notice, link),
        until=notice.expires_at,
    )


def _on_the_phone(notice: Notice, link: str) -> str:
    """The phone has its week and the coach's words already; a report or a clip has its own page."""
    words = settings.SITE_URL + reverse("words:own", args=[notice.student_id])
    if notice.kind in (*OF_THE_COACH, ReminderKind.CALLS_STOP) and link != words:
        return link
    return f"{settings.SITE_URL}{reverse('log:shell')}#for={notice.student_id}"
