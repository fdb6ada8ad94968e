"""A code by e-mail that proves an address before anything about it is stored.

Who signs in again does so through the sign-in library; this is for somebody with
an invitation whom the studio does not know yet. Only a keyed hash of the code is
kept, in the visitor's own session, for ten minutes and five tries.
"""

import secrets
from dataclasses import asdict, dataclass
from datetime import timedelta

from django.contrib.sessions.backends.base import SessionBase
from django.core.mail import send_mail
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.crypto import constant_time_compare, salted_hmac

GOOD_FOR = timedelta(minutes=10)
MOST_TRIES = 5
KEY = "code_by_mail"
PROVEN_KEY = "proven_address"


class CodeOver(Exception):
    """There is no code to compare with any more: ask for another."""


class WrongCode(Exception):
    """Not that code; it may be tried again."""


@dataclass(slots=True)
class _Pending:
    purpose: str
    email: str
    digest: str
    until: float
    tries: int = 0


def start(session: SessionBase, *, purpose: str, email: str) -> str:
    """Remember a new code for this address and purpose; the code, to be mailed."""
    code = f"{secrets.randbelow(1_000_000):06d}"
    until = (timezone.now() + GOOD_FOR).timestamp()
    pending = _Pending(purpose, email, _digest(purpose, email, code), until)
    session[KEY] = asdict(pending)
    return code


def mail(code: str, email: str) -> None:
    """Raises OSError (smtplib's errors among them) if the mail server does not take it."""
    text = render_to_string("people/mail/code.txt", {"code": code})
    send_mail("Your code", text, None, [email])


def waits_for(session: SessionBase, purpose: str) -> str | None:
    """The address a code was sent to for this purpose, while it may be entered."""
    pending = _read(session)
    return pending.email if pending and pending.purpose == purpose else None


def check(session: SessionBase, *, purpose: str, code: str) -> str:
    """The address this code proves; remembered as proven. Raises CodeOver or WrongCode."""
    pending = _read(session)
    if pending is None or pending.purpose != purpose:
        raise CodeOver
    if not constant_time_compare(pending.digest, _digest(purpose, pending.email, code)):
        _count_try(session, pending)
        raise WrongCode
    del session[KEY]
    session[PROVEN_KEY] = {"purpose": purpose, "email": pending.email}
    return pending.email


def proven(session: SessionBase, purpose: str) -> str | None:
    """The address this visitor has proven for this purpose."""
    kept = session.get(PROVEN_KEY) or {}
    return kept.get("email") if kept.get("purpose") == purpose else None


def _count_try(session: SessionBase, pending: _Pending) -> None:
    pending.tries += 1
    if pending.tries < MOST_TRIES:
        session[KEY] = asdict(pending)
        return
    del session[KEY]
    raise CodeOver


def _read(session: SessionBase) -> _Pending | None:
    kept = session.get(KEY)
    if not kept or kept["until"] <= timezone.now().timestamp():
        return None
    return _Pending(**kept)


def _digest(purpose: str, email: str, code: str) -> str:
    return salted_hmac("shared.people.codes", f"{purpose}\n{email}\n{code}").hexdigest()
