"""Sending: one mail at a time, each step written down before and after.

due -> claimed -> sending -> sent | failed | unknown, or cancelled, or expired.

`sending` is committed right before the conversation with the mail server, so only
that state is ambiguous after a crash. Exactly once cannot be had over two systems
without a common transaction. We err towards a second copy, which is visible and
harmless, and away from none, which nobody notices: an interrupted sending is
repeated once, with the same Message-ID, never after `expires_at`; then it is
`unknown` and shown to the owner.

No transaction is open while the network is waited for, and every later write is
fenced by the claim, so that a worker that was frozen past its lease changes nothing.
"""

import logging
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.core.mail import EmailMessage
from django.db.models import Q, QuerySet
from django.utils import timezone

from shared.jobs.backoff import LONGEST_WAIT, wait_after
from shared.jobs.claims import claim as take
from shared.jobs.claims import lapsed
from shared.jobs.models import Retry
from shared.jobs.steady import new_claim
from shared.jobs.sweep import is_put_off, put_off, put_right, ran
from shared.outbox import push_sender
from shared.outbox.mail_sender import (
    TO_A_FILE,
    TO_A_PHONE,
    MailRefused,
    NoAnswer,
    NoServer,
    NotOffered,
    Postman,
    reaches_nobody,
)
from shared.outbox.models import LONGEST_WHY, OPEN, Outgoing
from shared.outbox.push_sender import Nudge

log = logging.getLogger(__name__)

State = Outgoing.State
LEASE = timedelta(seconds=120)  # Longer than all time limits of one conversation together.
SENDING = "mails to send"
BUDGET = 45.0  # Seconds of one sweep.
MAX_TRIES = 8
MAX_COPIES = 2
SERVER = "mail server"
LONGEST_WITHOUT_SERVER = timedelta(minutes=2)


class NothingToSay(Exception):
    """What the mail was about is no longer there, or there is nobody to say it to."""


def never(mail: Any) -> None:
    """For kinds that go by mail alone."""


@dataclass(frozen=True, slots=True)
class MailKind:
    """One table of mails. `objection` says why one should not go out after all, or nothing;
    `build` makes the message, right before it is sent. `nudge` is what goes to its reader's
    phones in the place of the mail, and `gone` hears of a phone that is no more: one decision,
    one message, whichever way it takes. The most urgent kind goes first."""

    model: type[Outgoing]
    objection: Callable[[Any, datetime], str]
    build: Callable[[Any], EmailMessage]
    urgency: int = 0
    nudge: Callable[[Any], Nudge | None] = never
    gone: Callable[[str], object] = never


_kinds: list[MailKind] = []
# Called with an address that its mail server refuses for good, and with what it said.
address_refused: list[Callable[[str, str], object]] = []


def carry(kind: MailKind) -> None:
    """Have the mails of a table sent; called once for each when the apps are loaded."""
    _kinds.append(kind)
    _kinds.sort(key=lambda each: -each.urgency)


def send_due(*, budget: float = BUDGET) -> Counter[str]:
    """Send what is due until nothing is or the time is up. Returns the states reached."""
    ran(SENDING)
    reached: Counter[str] = Counter()
    end = time.monotonic() + budget
    with Postman(is_away=is_put_off(SENDING, SERVER)) as postman:
        while time.monotonic() < end and (taken := claim()) is not None:
            try:
                reached[_one(*taken, postman)] += 1
            except NoServer as error:
                reached[_wait_for_server(taken[1], error, postman)] += 1
    return reached


def _wait_for_server(mail: Outgoing, error: NoServer, postman: Postman) -> str:
    """The mail has lost no try: it was never offered. Mails wait, and nudges go on."""
    if not postman.is_away:
        log.warning("no mail server: %s", error)
        put_off(SENDING, SERVER, str(error), longest=LONGEST_WITHOUT_SERVER)
        postman.is_away = True
    waits = Retry.objects.filter(sweep=SENDING, row=SERVER).first()
    mail.tries -= 1
    mail.copies -= 1
    return _give_back(mail, waits.next_try_at if waits else timezone.now(), str(error))


def claim() -> tuple[MailKind, Outgoing] | None:
    """Take one mail for LEASE."""
    for kind in _kinds:
        waiting = kind.model._default_manager.filter(_open(timezone.now()))  # noqa: SLF001 (documented)
        mail = take(waiting.order_by("next_try_at"), LEASE, state=State.CLAIMED)
        if mail is not None:
            mail.state = State.CLAIMED
            return kind, mail
    return None


def _open(now: datetime) -> Q:
    """Due, or held by somebody whose lease is over. A time too far ahead is a clock set back."""
    later = now + 2 * LONGEST_WAIT
    ready = Q(next_try_at__lte=now) | Q(next_try_at__gt=later)
    held = Q(state__in=(State.CLAIMED, State.SENDING))
    return (Q(state=State.DUE) & ready) | (held & lapsed(LEASE))


def forget_open(why: str) -> None:
    """Send nothing of what is on its way: it may have gone out from elsewhere."""
    for kind in _kinds:
        waiting = kind.model._default_manager.filter(state__in=OPEN)  # noqa: SLF001 (documented)
        waiting.update(state=State.UNKNOWN, why=why, ended_at=timezone.now(), **kind.model.EMPTIED)


def mail_with(message_id: str) -> Outgoing | None:
    """The mail that went out, or may have, under this Message-ID."""
    gone = (State.SENT, State.UNKNOWN)
    for kind in _kinds:
        found = kind.model._default_manager.filter(message_id=message_id, state__in=gone).first()  # noqa: SLF001 (documented)
        if found is not None:
            return found
    return None


def is_troubled() -> bool:
    """Whether the mail server could not be reached when it was last tried."""
    return Retry.objects.filter(sweep=SENDING, row=SERVER).exists()


def _one(kind: MailKind, mail: Outgoing, postman: Postman) -> str:
    """See one mail through. Whatever is wrong with it stops no other."""
    tries = mail.tries + 1
    try:
        return _send(kind, mail, postman)
    except NoServer:
        raise
    except NothingToSay as nothing:
        return _end(mail, State.CANCELLED, str(nothing) or "nothing left to say")
    except Exception as error:
        log.exception("mail %s cannot be sent", mail.pk)
        mail.tries = tries
        return _again(mail, f"{type(error).__name__}: {error}")


def _send(kind: MailKind, mail: Outgoing, postman: Postman) -> str:
    state, why = _too_late(kind, mail, timezone.now())
    if state:
        return _end(mail, state, why)
    if (nudge := kind.nudge(mail)) and (became := _push(kind, mail, nudge)):
        return became
    message = kind.build(mail)
    if not _mark_sending(mail):
        return "lost"  # The lease ran out and another worker has it.
    return _offer(mail, message, postman)


def _too_late(kind: MailKind, mail: Outgoing, now: datetime) -> tuple[str, str]:
    """The state to end in without sending, and why; two empty texts if it is to be sent."""
    if now >= mail.expires_at:
        return State.EXPIRED, mail.why or "too late for its day"
    if mail.copies >= MAX_COPIES:
        return State.UNKNOWN, mail.why or "interrupted twice while being sent"
    why = kind.objection(mail, now)
    return (State.CANCELLED, why) if why else ("", "")


def _offer(mail: Outgoing, message: EmailMessage, postman: Postman) -> str:
    try:
        postman.post(message)
    except MailRefused as refusal:
        return _refused(mail, refusal)
    except NoServer:
        raise
    except NotOffered as error:
        mail.copies -= 1
        return _again(mail, str(error))
    except NoAnswer as error:
        return _again(mail, str(error))
    if is_troubled():
        put_right(SENDING, SERVER)
    return _end(mail, State.SENT, TO_A_FILE if reaches_nobody() else "")


def _push(kind: MailKind, mail: Outgoing, nudge: Nudge) -> str:
    """Its end, if a phone took it; nothing where none did, and the mail goes instead."""
    if not _mark_sending(mail):
        return "lost"
    try:
        taken = push_sender.offer(nudge, timezone.now(), kind.gone)
    except NoAnswer as error:
        return _again(mail, str(error))
    if taken:
        return _end(mail, State.SENT, TO_A_PHONE)
    mail.tries -= 1
    mail.copies -= 1
    back = _mine(mail, State.SENDING)
    same = back.update(state=State.CLAIMED, tries=mail.tries, copies=mail.copies)
    return "" if same else "lost"


def _mark_sending(mail: Outgoing) -> bool:
    """From here until the answer is written down it is uncertain whether it went out."""
    mail.tries += 1
    mail.copies += 1
    claim = new_claim()
    same = _mine(mail, State.CLAIMED).update(
        state=State.SENDING,
        claim=claim,
        tries=mail.tries,
        copies=mail.copies,
        lease_until=timezone.now() + LEASE,
    )
    mail.claim = claim
    return bool(same)


def _mine(mail: Outgoing, *states: str) -> QuerySet[Outgoing]:
    return type(mail)._default_manager.filter(  # noqa: SLF001 (documented)
        pk=mail.pk, claim=mail.claim, state__in=states
    )


def _refused(mail: Outgoing, refusal: MailRefused) -> str:
    """A clear no: that copy never existed. 4xx means later, 5xx means never."""
    mail.copies -= 1
    if refusal.temporary:
        return _again(mail, str(refusal))
    if refusal.is_of_address:
        for hear in address_refused:
            hear(mail.sent_to, str(refusal))
    return _end(mail, State.FAILED, str(refusal))


def _again(mail: Outgoing, why: str) -> str:
    """Give it back for later, unless it has been tried or offered enough."""
    if mail.copies >= MAX_COPIES:
        return _end(mail, State.UNKNOWN, why)
    if mail.tries >= MAX_TRIES:
        return _end(mail, State.FAILED, why)
    return _give_back(mail, timezone.now() + wait_after(mail.tries), why)


def _give_back(mail: Outgoing, next_try_at: datetime, why: str) -> str:
    given_back = _mine(mail, State.CLAIMED, State.SENDING).update(
        state=State.DUE,
        claim=None,
        lease_until=None,
        tries=mail.tries,
        copies=mail.copies,
        next_try_at=next_try_at,
        why=why[:LONGEST_WHY],
    )
    return State.DUE if given_back else "lost"


def _end(mail: Outgoing, state: str, why: str) -> str:
    """Write down what became of it. A copy without an answer makes it `unknown` at best."""
    if state in {State.CANCELLED, State.EXPIRED, State.FAILED} and mail.copies > 0:
        state = State.UNKNOWN
    done = _mine(mail, State.CLAIMED, State.SENDING).update(
        state=state,
        why=why[:LONGEST_WHY],
        tries=mail.tries,
        copies=mail.copies,
        lease_until=None,
        ended_at=timezone.now(),
        **mail.EMPTIED,
    )
    return state if done else "lost"
