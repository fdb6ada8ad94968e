"""Log keys: a device's own right to add entries for one student.

The secret is shown once and only its SHA-256 is kept. It is random enough
(256 bits) that a slow hash would add nothing.
"""

import hashlib
import secrets
from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone

from practice.log.models import LogKey
from shared.people import access
from shared.people.models import Student, User

LIFETIME = timedelta(days=400)
REFRESH_AFTER = timedelta(days=1)
MOST_PER_STUDENT = 30


def digest_of(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


@transaction.atomic
def make_key(
    *, user: User, student: Student, device: str = "", expires_at: datetime | None = None
) -> tuple[str, LogKey]:
    """A new key and its secret. One with a given end does not live longer by being used."""
    secret = secrets.token_urlsafe(32)
    now = timezone.now()
    key = LogKey.objects.create(
        user=user,
        student=student,
        digest=digest_of(secret),
        device=device[:80],
        made_at=now,
        expires_at=expires_at or now + LIFETIME,
        is_lasting=expires_at is None,
    )
    _revoke_the_oldest(user, student, now, is_lasting=expires_at is None)
    return secret, key


def _revoke_the_oldest(user: User, student: Student, now: datetime, *, is_lasting: bool) -> None:
    keys = LogKey.objects.filter(
        user=user, student=student, is_lasting=is_lasting, revoked_at=None, expires_at__gt=now
    )
    spare = list(keys.order_by("-made_at").values_list("pk", flat=True)[MOST_PER_STUDENT:][:100])
    if spare:
        LogKey.objects.filter(pk__in=spare).update(revoked_at=now)


def find_key(secret: str) -> LogKey | None:
    """The key with this secret, if it still opens anything. Asked on every request.

    It stops with the person: when they may no longer log for the student, when the
    student has left, when no guardian's consent stands.
    """
    key = (
        LogKey.objects.select_related("user", "student__studio")
        .filter(digest=digest_of(secret), revoked_at=None, expires_at__gt=timezone.now())
        .first()
    )
    if key is None or not key.user.is_active or not may_log(key.user, key.student):
        return None
    return key


def may_log(user: User, student: Student) -> bool:
    is_theirs = access.students_logged_by(user).filter(pk=student.pk).exists()
    return is_theirs and access.may_be_recorded(student)


def touch(key: LogKey) -> None:
    """Note that a key is in use, at most once a day, and let a lasting one live on."""
    now = timezone.now()
    if key.last_used_at is not None and now - key.last_used_at < REFRESH_AFTER:
        return
    key.last_used_at = now
    if key.is_lasting:
        key.expires_at = now + LIFETIME
    key.save(update_fields=["last_used_at", "expires_at"])


def revoke(key: LogKey) -> None:
    LogKey.objects.filter(pk=key.pk, revoked_at=None).update(revoked_at=timezone.now())
