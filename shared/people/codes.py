"""A code by e-mail that proves an address: for signing in, and before anything new is stored.

The database keeps a keyed hash and how often it was tried; the visitor's own session keeps
which code it asked for and a secret that goes into the hash, so that no other browser can
enter it. Ten minutes, five tries, one use.
"""

import secrets
from datetime import timedelta
from uuid import UUID

from django.contrib.sessions.backends.base import SessionBase
from django.db.models import F
from django.utils import timezone
from django.utils.crypto import constant_time_compare, salted_hmac

from shared.people import invitation_mail, undelivered
from shared.people.models import MailedCode

GOOD_FOR = timedelta(minutes=10)
MOST_TRIES = 5
KEY = "code_by_mail"
PROVEN_KEY = "proven_address"


class CodeOver(Exception):
    """There is no code to compare with any more: ask for another."""


class WrongCode(Exception):
    """Not that code; it may be tried again."""


def start(session: SessionBase, *, purpose: str, email: str, wanted: bool = True) -> str:
    """Remember a new code for this address and purpose, and mail it if it is wanted.

    Returns the code.
    """
    now = timezone.now()
    MailedCode.objects.filter(until__lte=now).delete()
    if earlier := session.get(KEY):
        MailedCode.objects.filter(pk=earlier["id"]).delete()
    code, secret = f"{secrets.randbelow(1_000_000):06d}", secrets.token_urlsafe(16)
    row = MailedCode.objects.create(
        purpose=purpose,
        email=email,
        digest=_digest(purpose, email, secret, code),
        until=now + GOOD_FOR,
    )
    session[KEY] = {"id": str(row.pk), "purpose": purpose, "secret": secret}
    invitation_mail.send_code(code, email, until=row.until, wanted=wanted)
    return code


def waits_for(session: SessionBase, purpose: str) -> str | None:
    """The address a code was sent to for this purpose, while it may be entered."""
    kept = session.get(KEY) or {}
    if kept.get("purpose") != purpose:
        return None
    open_ones = MailedCode.objects.filter(pk=kept["id"], until__gt=timezone.now())
    return open_ones.filter(tries__lt=MOST_TRIES).values_list("email", flat=True).first()


def check(session: SessionBase, *, purpose: str, code: str) -> str:
    """The address this code proves; remembered as proven. Raises CodeOver or WrongCode.

    A conditional update counts the try before anything is compared, so that many who try at
    once share the five tries; the deletion decides between two who enter the right code.
    """
    kept = session.get(KEY) or {}
    if kept.get("purpose") != purpose:
        raise CodeOver
    row = _count_try(UUID(kept["id"]))
    if not constant_time_compare(row.digest, _digest(purpose, row.email, kept["secret"], code)):
        raise CodeOver if row.tries >= MOST_TRIES else WrongCode
    if MailedCode.objects.filter(pk=row.pk).delete()[0] != 1:
        raise CodeOver
    del session[KEY]
    session[PROVEN_KEY] = {"purpose": purpose, "email": row.email}
    undelivered.arrived([row.email])
    return row.email


def proven(session: SessionBase, purpose: str) -> str | None:
    """The address this visitor has proven for this purpose."""
    kept = session.get(PROVEN_KEY) or {}
    return kept.get("email") if kept.get("purpose") == purpose else None


def _count_try(row_id: UUID) -> MailedCode:
    open_ones = MailedCode.objects.filter(pk=row_id, until__gt=timezone.now())
    counted = open_ones.filter(tries__lt=MOST_TRIES).update(tries=F("tries") + 1)
    row = MailedCode.objects.filter(pk=row_id).first() if counted else None
    if row is None:
        raise CodeOver
    return row


def _digest(purpose: str, email: str, secret: str, code: str) -> str:
    said = f"{purpose}\n{email}\n{secret}\n{code}"
    return salted_hmac("shared.people.codes", said, algorithm="sha256").hexdigest()
