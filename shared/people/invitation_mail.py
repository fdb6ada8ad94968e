"""Mails that let somebody in. They are put into the outbox, never sent by a request."""

import json
from base64 import urlsafe_b64encode
from collections.abc import Iterable
from datetime import datetime, timedelta
from hashlib import sha256
from uuid import uuid4

from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from django.conf import settings
from django.core.mail import EmailMessage, EmailMultiAlternatives
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from shared.outbox.models import message_id_of
from shared.outbox.send import NothingToSay
from shared.people import invitations
from shared.people.models import AccountMail, Invitation, Student, User

NEWS_GOOD_FOR = timedelta(days=3)
NOBODY = "nobody here has this address"


def put(
    message: EmailMessage,
    *,
    until: datetime,
    wanted: bool = True,
    invitation: Invitation | None = None,
) -> None:
    """Have this mail sent to its one recipient, not after `until`.

    What is not wanted is written down all the same and never sent, so that asking takes as
    long for an address that nobody here has.
    """
    pk = uuid4()
    state = AccountMail.State.DUE if wanted else AccountMail.State.CANCELLED
    AccountMail.objects.create(
        pk=pk,
        address=message.to[0],
        sealed=_seal(message),
        invitation=invitation,
        message_id=message_id_of(pk),
        expires_at=until,
        state=state,
        why="" if wanted else NOBODY,
    )


def send_code(code: str, email: str, *, until: datetime, wanted: bool = True) -> None:
    text = render_to_string("people/mail/code.txt", {"code": code})
    put(EmailMessage("Your code", text, to=[email]), until=until, wanted=wanted)


def send_invitation(invitation: Invitation) -> None:
    facts = {"invitation": invitation, "link": invitations.link_to(invitation)}
    text = render_to_string("people/mail/invitation.txt", facts)
    subject = " ".join(f"{invitation.studio.name} invites you".split())
    message = EmailMessage(subject, text, to=[invitation.email])
    put(message, until=invitation.expires_at, invitation=invitation)


def send_about_child(student: Student, text: str, readers: Iterable[User]) -> None:
    """A sentence of news to each of a child's guardians."""
    page = settings.SITE_URL + reverse("consents", args=[student.pk])
    for reader in readers:
        if reader.has_mail:
            body = render_to_string("people/mail/child.txt", {"text": text, "page": page})
            message = EmailMessage("What holds for your child has changed", body, to=[reader.email])
            put(message, until=timezone.now() + NEWS_GOOD_FOR)


def objection(mail: AccountMail, now: datetime) -> str:
    """Why it should not be sent after all."""
    invited = mail.invitation
    if invited is not None and not invitations.open_ones().filter(pk=invited.pk).exists():
        return "the invitation is over"
    return ""


def build(mail: AccountMail) -> EmailMessage:
    """The message again. Raises NothingToSay if this installation cannot read it any more."""
    try:
        said = json.loads(_box().decrypt(mail.sealed.encode()))
    except InvalidToken as error:
        raise NothingToSay from error
    headers = {"Message-ID": mail.message_id, "Auto-Submitted": "auto-generated"}
    message = EmailMultiAlternatives(
        said["subject"], said["body"], to=[mail.address], headers=headers
    )
    for content, kind in said["more"]:
        message.attach_alternative(content, kind)
    message.message()  # A bad header or address is found out now, not while sending.
    return message


def _seal(message: EmailMessage) -> str:
    more = [[part.content, part.mimetype] for part in getattr(message, "alternatives", ())]
    subject = " ".join(message.subject.split())
    said = {"subject": subject, "body": message.body, "more": more}
    return _box().encrypt(json.dumps(said).encode()).decode()


def _box() -> MultiFernet:
    """Opened by the key of now or by an earlier one that is still taken."""
    keys = (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS)
    return MultiFernet([Fernet(_key_from(key)) for key in keys])


def _key_from(secret: str) -> bytes:
    return urlsafe_b64encode(sha256(f"shared.people.invitation_mail\n{secret}".encode()).digest())
