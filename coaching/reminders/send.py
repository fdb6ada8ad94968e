"""Sending: one notice at a time, each step written down before and after.

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
import random
import time
from collections import Counter
from datetime import datetime, timedelta
from uuid import uuid4

from django.core.mail import EmailMessage
from django.db import DatabaseError, connection, transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from coaching.reminders import mail, plan
from coaching.reminders.models import Heartbeat, Notice
from coaching.reminders.postman import NoAnswer, NotOffered, Postman, Refused

log = logging.getLogger(__name__)

State = Notice.State
LEASE = timedelta(seconds=120)  # Longer than all time limits of one conversation together.
BUDGET = 45.0  # Seconds of one sweep.
MAX_TRIES = 8
MAX_COPIES = 2
FIRST_WAIT = timedelta(minutes=1)
LONGEST_WAIT = timedelta(minutes=30)
LONGEST_WHY = 300


def send_due(*, budget: float = BUDGET) -> Counter[str]:
    """Send what is due until nothing is or the time is up. Returns the states reached."""
    Heartbeat.beat("send")
    reached: Counter[str] = Counter()
    end = time.monotonic() + budget
    with Postman() as postman:
        while time.monotonic() < end and (notice := claim()) is not None:
            reached[_one(notice, postman)] += 1
    return reached


def _open(now: datetime) -> Q:
    """Due, or held by somebody whose lease is over. A time too far ahead is a clock set back."""
    later = now + 2 * LONGEST_WAIT
    ready = Q(next_try_at__lte=now) | Q(next_try_at__gt=later)
    lapsed = Q(lease_until__lte=now) | Q(lease_until__gt=now + 2 * LEASE)
    held = Q(state__in=(State.CLAIMED, State.SENDING))
    return (Q(state=State.DUE) & ready) | (held & lapsed)


def claim() -> Notice | None:
    """Take one notice for LEASE. Two workers never take the same one."""
    now = timezone.now()
    waiting = Notice.objects.filter(_open(now)).order_by("next_try_at")
    if not waiting.exists():  # Most sweeps end here, without a lock.
        return None
    with transaction.atomic():
        notice = _locked(waiting).first()
        if notice is None:
            return None
        token = uuid4()
        same = Notice.objects.filter(pk=notice.pk, state=notice.state, claim=notice.claim)
        taken = same.update(state=State.CLAIMED, claim=token, lease_until=now + LEASE)
    if not taken:
        return None
    notice.state, notice.claim = State.CLAIMED, token
    return notice


def _locked(notices: QuerySet[Notice]) -> QuerySet[Notice]:
    """On PostgreSQL past what others hold; on SQLite the transaction itself is the lock."""
    if connection.features.has_select_for_update_skip_locked:
        return notices.select_for_update(skip_locked=True)
    return notices


def _one(notice: Notice, postman: Postman) -> str:
    """See one notice through. Whatever is wrong with it stops no other."""
    tries = notice.tries + 1
    try:
        return _send(notice, postman)
    except DatabaseError:
        raise  # The lease hands it to somebody later.
    except mail.NothingToSay:
        return _end(notice, State.CANCELLED, "nothing left to say")
    except Exception as error:
        log.exception("Notice %s cannot be sent", notice.pk)
        notice.tries = tries
        return _again(notice, f"{type(error).__name__}: {error}")


def _send(notice: Notice, postman: Postman) -> str:
    state, why = _too_late(notice, timezone.now())
    if state:
        return _end(notice, state, why)
    message = mail.build(notice)
    if not _mark_sending(notice):
        return "lost"  # The lease ran out and another worker has it.
    return _offer(notice, message, postman)


def _too_late(notice: Notice, now: datetime) -> tuple[str, str]:
    """The state to end in without sending, and why; two empty texts if it is to be sent."""
    if now >= notice.expires_at:
        return State.EXPIRED, notice.why or "too late for its day"
    if notice.copies >= MAX_COPIES:
        return State.UNKNOWN, notice.why or "interrupted twice while being sent"
    why = plan.objection(notice, now)
    return (State.CANCELLED, why) if why else ("", "")


def _offer(notice: Notice, message: EmailMessage, postman: Postman) -> str:
    try:
        postman.post(message)
    except Refused as refusal:
        return _refused(notice, refusal)
    except NotOffered as error:
        notice.copies -= 1
        return _again(notice, str(error))
    except NoAnswer as error:
        return _again(notice, str(error))
    return _end(notice, State.SENT, "")


def _mark_sending(notice: Notice) -> bool:
    """From here until the answer is written down it is uncertain whether it went out."""
    notice.tries += 1
    notice.copies += 1
    return bool(
        _mine(notice, State.CLAIMED).update(
            state=State.SENDING,
            tries=notice.tries,
            copies=notice.copies,
            lease_until=timezone.now() + LEASE,
        )
    )


def _mine(notice: Notice, *states: str) -> QuerySet[Notice]:
    return Notice.objects.filter(pk=notice.pk, claim=notice.claim, state__in=states)


def _refused(notice: Notice, refusal: Refused) -> str:
    """A clear no: that copy never existed. 4xx means later, 5xx means never."""
    notice.copies -= 1
    if refusal.temporary:
        return _again(notice, str(refusal))
    return _end(notice, State.FAILED, str(refusal))


def _again(notice: Notice, why: str) -> str:
    """Give it back for later, unless it has been tried or offered enough."""
    if notice.copies >= MAX_COPIES:
        return _end(notice, State.UNKNOWN, why)
    if notice.tries >= MAX_TRIES:
        return _end(notice, State.FAILED, why)
    given_back = _mine(notice, State.CLAIMED, State.SENDING).update(
        state=State.DUE,
        claim=None,
        lease_until=None,
        tries=notice.tries,
        copies=notice.copies,
        next_try_at=timezone.now() + wait_after(notice.tries),
        why=why[:LONGEST_WHY],
    )
    return State.DUE if given_back else "lost"


def wait_after(tries: int) -> timedelta:
    """One minute, then doubled, at most half an hour; a third more or less at random."""
    wait = min(LONGEST_WAIT, FIRST_WAIT * 2 ** max(0, tries - 1))
    return wait * random.uniform(2 / 3, 4 / 3)  # noqa: S311 (no secret)


def _end(notice: Notice, state: str, why: str) -> str:
    """Write down what became of it. A copy without an answer makes it `unknown` at best."""
    if state in {State.CANCELLED, State.EXPIRED, State.FAILED} and notice.copies > 0:
        state = State.UNKNOWN
    done = _mine(notice, State.CLAIMED, State.SENDING).update(
        state=state,
        why=why[:LONGEST_WHY],
        tries=notice.tries,
        copies=notice.copies,
        lease_until=None,
        ended_at=timezone.now(),
    )
    return state if done else "lost"
