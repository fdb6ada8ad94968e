"""Mails about invitations. Sent after what they speak of is stored, never during."""

from django.core.mail import EmailMessage
from django.template.loader import render_to_string

from shared.people.invitations import link_to
from shared.people.models import Invitation


def send_invitation(invitation: Invitation) -> bool:
    """Whether the mail server took it. Without a transaction open: this waits for a network."""
    facts = {"invitation": invitation, "link": link_to(invitation)}
    text = render_to_string("people/mail/invitation.txt", facts)
    subject = " ".join(f"{invitation.studio.name} invites you".split())
    try:
        EmailMessage(subject, text, to=[invitation.email]).send()
    except OSError:  # smtplib's errors are OSErrors.
        return False
    return True
