"""Somebody who works here has lost their passkey: it goes, and everything it opened ends."""

from typing import Any

from allauth.mfa.models import Authenticator
from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest
from django.utils import timezone

from shared.kit.text import capital, many
from shared.people import ends, invitation_mail, sessions
from shared.people.models import User


@transaction.atomic
def take_away(user: User, by: str) -> bool:
    """Their passkeys, recovery codes and sessions end, and they are told. Whether there were any.

    They then come in by password or mailed code and, where passkeys are asked for, have to add
    one before they see anything.
    """
    gone, _ = Authenticator.objects.filter(user=user).delete()
    sessions.end_all(user)
    ends.note(ends.What.PASSKEY, user.pk, stands=False)
    if gone:
        message = invitation_mail.letter("people/mail/passkey_lost.txt", {"by": by}, user.email)
        invitation_mail.put(message, until=timezone.now() + invitation_mail.NEWS_GOOD_FOR)
    return bool(gone)


def tell_codes_left(request: HttpRequest, authenticator: Authenticator, **_: Any) -> None:
    """After a recovery code let somebody in: how many are left, and what to do now."""
    if authenticator.type != Authenticator.Type.RECOVERY_CODES:
        return
    left = len(authenticator.wrap().get_unused_codes())
    words = f"{capital(many(left, 'recovery code'))} {'is' if left == 1 else 'are'} left."
    messages.info(request, f"{words} Is your passkey lost? Add a new one in the settings.")


def passkey_print(passkey: Authenticator) -> str:
    return ends.print_of(passkey.user_id, passkey.created_at.isoformat())


def note_gone(instance: Authenticator, **_: Any) -> None:
    """One that is gone stays away, whoever took it away, and the user's others stand."""
    if instance.type == Authenticator.Type.WEBAUTHN:
        ends.note_print(ends.What.REMOVED, passkey_print(instance))
