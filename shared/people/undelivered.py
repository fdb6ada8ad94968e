"""Addresses at which our mails do not arrive, as their mail servers say, at once or in a report.

Nothing more is sent there until somebody says that it is right, or a code that was mailed there
is typed in: that alone shows that mails arrive. Codes are asked for by whoever waits for them,
and still go.
"""

import logging
from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.db.models import QuerySet, UUIDField
from django.utils import timezone

from shared.jobs.sweep import is_put_off, put_off, put_right, ran
from shared.outbox.bounce_mailbox import Unreachable, look, mailbox_at
from shared.outbox.delivery_reports import NotDelivered, read
from shared.outbox.models import LONGEST_WHY
from shared.outbox.send import mail_with
from shared.people.models import Guardianship, Invitation, MailedCode, Student, Undelivered, User
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

log = logging.getLogger(__name__)

LOOKING = "returned mails"
MAILBOX = "mailbox"
DID_NOT_ARRIVE = "did not arrive"


def stops(address: str) -> bool:
    """Whether nothing is to be sent there: mails did not arrive, and nobody waits for a code."""
    if not Undelivered.objects.filter(address=address.lower()).exists():
        return False
    return not MailedCode.objects.filter(email__iexact=address, until__gt=timezone.now()).exists()


def arrived(addresses: Iterable[str]) -> int:
    """These addresses are right after all; how many were held back."""
    found = Undelivered.objects.filter(address__in=[each.lower() for each in addresses])
    return found.delete()[0]


def addresses_of(student: Student) -> list[str]:
    """Where mails about a student go: to the student, the guardians, and who is invited. One
    query."""
    return addresses_asked(student).answer


def addresses_asked(student: Student) -> Question[list[str]]:
    """The same, to be asked with others."""
    return Question(lambda rows: [address for (address,) in rows], Rows(_mails, student=student.pk))


def _mails_of(student: UUID) -> QuerySet[User, Any]:
    own = User.objects.filter(student_places=student).values_list("email")
    ties = Guardianship.objects.filter(student=student, ended_at=None, withdrawn_at=None)
    invited = Invitation.objects.filter(student=student, accepted_at=None, revoked_at=None)
    return own.union(
        ties.values_list("user__email"), invited.exclude(email="").values_list("email")
    )


_mails = Prepared(_mails_of, student=UUIDField)


def of(addresses: Iterable[str]) -> list[Undelivered]:
    """Of these addresses those at which mails did not arrive. One query."""
    small = [each.lower() for each in addresses]
    return list(Undelivered.objects.filter(address__in=small).order_by("address"))


def look_for_returned() -> int:
    """Read the mailbox that the settings name, if one is named; how many reports there were."""
    if not settings.BOUNCES_URL or is_put_off(LOOKING, MAILBOX):
        return 0
    ran(LOOKING)
    try:
        found = look(mailbox_at(settings.BOUNCES_URL), take)
    except Unreachable as error:
        log.warning("%s", error)
        put_off(LOOKING, MAILBOX, str(error))
        return 0
    put_right(LOOKING, MAILBOX)
    return found


def take(raw: bytes) -> int:
    """One message that came back: what it says of mails of ours; how many did not arrive."""
    return sum(map(_take_one, read(raw)))


@transaction.atomic
def _take_one(report: NotDelivered) -> bool:
    mail = mail_with(report.message_id)
    if mail is None:
        return False
    why = f"{DID_NOT_ARRIVE}: {report.status} {report.words}".strip()
    mail.state, mail.why, mail.ended_at = mail.State.FAILED, why[:LONGEST_WHY], timezone.now()
    mail.save(update_fields=["state", "why", "ended_at"])
    address = mail.sent_to.lower()
    if report.is_final and address in report.addresses:
        _hold(address, why)
    return True


def refused(address: str, words: str) -> None:
    """Its mail server said at once, and for good, that it takes nothing for this address."""
    _hold(address.lower(), f"{DID_NOT_ARRIVE}: {words}")


def _hold(address: str, why: str) -> None:
    Undelivered.objects.update_or_create(
        address=address, defaults={"at": timezone.now(), "why": why[:LONGEST_WHY]}
    )
