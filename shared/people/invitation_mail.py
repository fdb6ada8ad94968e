"""Mails that let somebody in. They are put into the outbox, never sent by a request."""

import json
import re
from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from email.utils import formataddr, parseaddr
from typing import Any
from uuid import uuid4

from cryptography.fernet import InvalidToken
from django.conf import settings
from django.core.mail import EmailMessage, EmailMultiAlternatives
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from shared.outbox.models import message_id_of
from shared.outbox.send import NothingToSay
from shared.people import invitations, sealed, undelivered
from shared.people.models import AccountMail, Invitation, Student, User
from shared.site import reach

NEWS_GOOD_FOR = timedelta(days=3)
_A_LINK = re.compile(r"https?://\S+")
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


def letter(template: str, facts: Mapping[str, Any], to: str) -> EmailMessage:
    """A mail from one template: its subject, a sentence, then an empty line, and its text."""
    said, _, text = render_to_string(template, dict(facts)).partition("\n\n")
    subject = " ".join(said.split()).removesuffix(".")
    return EmailMessage(subject, text.strip() + "\n", to=[to])


def sender(by: str, studio: str) -> str:
    """Our address in the coach's and the studio's name."""
    names = ", ".join(" ".join(name.split()) for name in (by, studio) if name)
    _, address = parseaddr(settings.DEFAULT_FROM_EMAIL)
    return formataddr((names, address)) if names else settings.DEFAULT_FROM_EMAIL


def html_of(text: str) -> str:
    """The same text as HTML: paragraphs, and a link where one stands alone."""
    paragraphs = [each.strip() for each in text.split("\n\n") if each.strip()]
    shown = [(each, bool(_A_LINK.fullmatch(each))) for each in paragraphs]
    return render_to_string("people/mail/_paragraphs.html", {"paragraphs": shown})


def send_code(code: str, email: str, *, until: datetime, wanted: bool = True) -> None:
    put(letter("people/mail/code.txt", {"code": code}, email), until=until, wanted=wanted)


def send_invitation(invitation: Invitation) -> None:
    facts = {
        "invitation": invitation,
        "link": invitations.link_to(invitation),
        "own_network": reach.is_own_network(settings.SITE_URL),
        "own_certificate": bool(settings.REACH.tls),
    }
    message = letter("people/mail/invitation.txt", facts, invitation.email)
    message.from_email = sender(str(invitation.invited_by), invitation.studio.name)
    put(message, until=invitation.expires_at, invitation=invitation)


def send_about_child(student: Student, text: str, readers: Iterable[User]) -> None:
    """A sentence of news to each of a child's guardians."""
    page = settings.SITE_URL + reverse("consents", args=[student.pk])
    for reader in readers:
        if reader.has_mail:
            facts = {"text": text, "page": page}
            message = letter("people/mail/child.txt", facts, reader.email)
            put(message, until=timezone.now() + NEWS_GOOD_FOR)


def objection(mail: AccountMail, now: datetime) -> str:
    """Why it should not be sent after all."""
    invited = mail.invitation
    if invited is not None and not invitations.open_ones().filter(pk=invited.pk).exists():
        return "the invitation is over"
    if undelivered.stops(mail.address):
        return "mails to this address did not arrive"
    return ""


def build(mail: AccountMail) -> EmailMessage:
    """The message again. Raises NothingToSay if this installation cannot read it any more."""
    try:
        said = json.loads(sealed.unseal(mail.sealed))
    except InvalidToken as error:
        raise NothingToSay from error
    headers = {"Message-ID": mail.message_id, "Auto-Submitted": "auto-generated"}
    message = EmailMultiAlternatives(
        said["subject"], said["body"], said.get("from"), to=[mail.address], headers=headers
    )
    for content, kind in said["more"]:
        message.attach_alternative(content, kind)
    if not said["more"]:
        filling = {"subject": said["subject"], "body": html_of(said["body"])}
        message.attach_alternative(render_to_string("people/mail/frame.html", filling), "text/html")
    message.message()  # A bad header or address is found out now, not while sending.
    return message


def _seal(message: EmailMessage) -> str:
    more = [[part.content, part.mimetype] for part in getattr(message, "alternatives", ())]
    subject = " ".join(message.subject.split())
    said = {"subject": subject, "body": message.body, "more": more, "from": message.from_email}
    return sealed.seal(json.dumps(said))
