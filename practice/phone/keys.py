"""Log keys: a device's own right to add entries for one student.

The secret is shown once and only its SHA-256 is kept. It is random enough
(256 bits) that a slow hash would add nothing.
"""

import hashlib
import secrets
from datetime import datetime, timedelta
from typing import cast

from django.db import transaction
from django.db.models import CharField, DateTimeField, Q, QuerySet
from django.http import HttpRequest
from django.utils import timezone

from practice.log.models import LogKey
from shared.people import access, ends, sessions
from shared.people.access import Recordable
from shared.people.known_devices import device_of
from shared.people.models import Student, Studio, User
from shared.people.sessions import PHONE
from shared.site.prepared import Kind, Prepared, columns_of, made_of, stand_beside

LIFETIME = timedelta(days=400)
REFRESH_AFTER = timedelta(days=1)
MOST_PER_STUDENT = 30
Kinds = tuple[Kind, Kind, Kind, Kind]
WHOLE: Kinds = (LogKey, User, Student, Studio)
# What taking a log reads of them.
FOR_A_LOG: Kinds = (
    LogKey,
    (User, ("id", "is_active")),
    (Student, ("id", "studio_id", "user_id", "born_year", "time_zone", "joined_on", "left_on",
               "next_lesson")),
    (Studio, ("id", "first_weekday")),
)  # fmt: skip


def _standing(kinds: Kinds) -> Prepared:
    paths = ("", "user__", "student__", "student__studio__")
    columns = columns_of(*zip(paths, kinds, strict=True))
    return Prepared(
        lambda digest, now: LogKey.objects.filter(
            digest=digest, revoked_at=None, expires_at__gt=now
        ).values_list(*columns),
        digest=CharField,
        now=DateTimeField,
    )


_whole, _for_a_log = _standing(WHOLE), _standing(FOR_A_LOG)


def digest_of(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


@transaction.atomic
def make_key(
    *,
    user: User,
    student: Recordable,
    device: str = "",
    browser: str = "",
    made_by: User | None = None,
    expires_at: datetime | None = None,
) -> tuple[str, LogKey]:
    """A new key and its secret. One with a given end does not live longer by being used."""
    secret = secrets.token_urlsafe(32)
    now = timezone.now()
    key = LogKey.objects.create(
        user=user,
        student=student,
        digest=digest_of(secret),
        device=device[:80],
        browser=browser,
        made_at=now,
        expires_at=expires_at or now + LIFETIME,
        is_lasting=expires_at is None,
        made_by=made_by,
    )
    _revoke_the_oldest(user, student, now, is_lasting=expires_at is None)
    return secret, key


def _revoke_the_oldest(user: User, student: Student, now: datetime, *, is_lasting: bool) -> None:
    keys = LogKey.objects.filter(
        user=user, student=student, is_lasting=is_lasting, revoked_at=None, expires_at__gt=now
    )
    spare = list(keys.order_by("-made_at").values_list("pk", flat=True)[MOST_PER_STUDENT:][:100])
    if spare:
        end(LogKey.objects.filter(pk__in=spare))


def find_key(secret: str) -> LogKey | None:
    """The key with this secret, if it still opens anything. Asked on every request.

    It stops with the person: when they may no longer log for the student, when the
    student has left, when no guardian's consent stands.
    """
    return _found(_whole, WHOLE, secret)


def find_key_to_log(secret: str) -> LogKey | None:
    """The same with what a log needs of it; whatever else is read of it is asked for then."""
    return _found(_for_a_log, FOR_A_LOG, secret)


def _found(standing: Prepared, kinds: Kinds, secret: str) -> LogKey | None:
    rows = standing(digest=digest_of(secret), now=timezone.now())
    if not rows:
        return None
    key, user, student, studio = made_of(rows[0], *kinds)
    stand_beside(student, studio=studio)
    stand_beside(key, user=user, student=student)
    key.opened_for = access.logged_for(user, student) if user.is_active else None
    return cast("LogKey", key) if key.opened_for else None


def touch(key: LogKey) -> None:
    """Note that a key is in use, at most once a day, and let a lasting one live on."""
    now = timezone.now()
    if key.last_used_at is not None and now - key.last_used_at < REFRESH_AFTER:
        return
    key.last_used_at = now
    if key.is_lasting:
        key.expires_at = now + LIFETIME
    key.save(update_fields=["last_used_at", "expires_at"])


def was_ended(secret: str) -> bool:
    """Whether somebody has ended the key with this secret."""
    return LogKey.objects.filter(digest=digest_of(secret), revoked_at__isnull=False).exists()


def open_keys(user: User) -> QuerySet[LogKey]:
    """Keys that the user may end: those given to the user, and those of the user's children."""
    children = access.wards_of(user).values("pk")
    theirs = LogKey.objects.filter(Q(user=user) | Q(student__in=children))
    return theirs.filter(revoked_at=None, expires_at__gt=timezone.now())


def is_open(key_id: str) -> bool:
    """Whether the key still stands: a child's phone is signed in for as long as it does."""
    return LogKey.objects.filter(pk=key_id, revoked_at=None, expires_at__gt=timezone.now()).exists()


@transaction.atomic
def end(keys: QuerySet[LogKey]) -> int:
    """End these keys. How many were open."""
    still = list(keys.filter(revoked_at=None).values_list("pk", flat=True))
    ends.note_all(ends.What.KEY, still)
    return LogKey.objects.filter(pk__in=still, revoked_at=None).update(revoked_at=timezone.now())


def end_of_browser(request: HttpRequest) -> int:
    """End every key that was given to this browser, whosever it is. How many were open."""
    device = device_of(request)
    return end(LogKey.objects.filter(browser=device.id)) if device is not None else 0


def end_elsewhere(request: HttpRequest, student: Student) -> None:
    """A grown child goes on with this phone alone: another may lie in a guardian's hands."""
    found = LogKey.objects.filter(student=student)
    if PHONE in request.session:
        found = found.exclude(pk=request.session[PHONE])
    end(found)
    if student.user is not None:
        sessions.end_all(student.user, but=request.session.session_key)


def end_at_sign_out(request: HttpRequest) -> None:
    """End what the sign-in of whoever signs out gave to this browser."""
    device = device_of(request)
    if device is not None and isinstance(request.user, User):
        end(LogKey.objects.filter(user=request.user, browser=device.id))
