"""Sessions that know whose they are, on what device and since when, so that each can be ended.

A row of people.UserSession is the whole session: delete it, and the next request is signed
out. It is stored under a digest of its key, so that whoever reads the table enters nowhere.
How long a session lives depends on what its user may see (settings.SESSION_AGES).
"""

import hashlib
from datetime import UTC, datetime, timedelta
from typing import Any, cast

from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore as DatabaseStore
from django.db.models import CharField, DateTimeField, QuerySet
from django.utils import timezone

from shared.people.models import User, UserSession
from shared.site.prepared import Prepared, columns_of, made_of

BEGAN, DEVICE = "began", "device"
PHONE = "phone"  # The key that a child's own phone is signed in by.
MOST_SHOWN = 50
PLAIN_LENGTH = 32  # Of Django's own keys; a digest is longer, so that none is taken for a key.
SEEN_EVERY = timedelta(minutes=5)


_open_now = Prepared(
    lambda key, now: UserSession.objects.filter(pk=key, expire_date__gt=now).values_list(
        *columns_of(("", UserSession))
    ),
    key=CharField,
    now=DateTimeField,
)


def _one_open(key: str, now: datetime) -> UserSession | None:
    rows = _open_now(key=key, now=now)
    return cast("UserSession", next(made_of(rows[0], UserSession))) if rows else None


class SessionStore(DatabaseStore):
    """Django's own store in a table of ours. `seen_at` is None for a session not loaded yet."""

    seen_at: datetime | None = None

    @classmethod
    def get_model_class(cls) -> type[UserSession]:
        return UserSession

    def _get_session_from_db(self) -> UserSession | None:
        """The row under the key's digest; one from before is put under it at its first use."""
        plain = self.session_key or ""
        stored, now = stored_key(plain), timezone.now()
        row = _one_open(stored, now)
        if row is None and len(plain) == PLAIN_LENGTH:
            there = UserSession.objects.filter(expire_date__gt=now, pk=plain)
            there.update(session_key=stored)
            row = _one_open(stored, now)
        if row is None:
            self._session_key = None
        return row

    def exists(self, session_key: str) -> bool:
        return super().exists(stored_key(session_key))

    def delete(self, session_key: str | None = None) -> None:
        key = session_key or self.session_key
        if key:
            UserSession.objects.filter(pk=stored_key(key)).delete()

    def load(self) -> dict[str, Any]:
        row = self._get_session_from_db()
        self.seen_at = row.seen_at if row else None
        return self.decode(row.session_data) if row else {}

    def save(self, must_create: bool = False) -> None:
        kept = getattr(self, "_session_cache", {})
        if SESSION_KEY in kept:
            kept.setdefault(BEGAN, timezone.now().timestamp())
        super().save(must_create)

    def create_model_instance(self, data: dict[str, Any]) -> UserSession:
        row = cast("UserSession", super().create_model_instance(data))
        row.session_key = stored_key(row.session_key)
        row.user_id = data.get(SESSION_KEY)
        row.device = data.get(DEVICE, "")
        row.began_at = datetime.fromtimestamp(data[BEGAN], UTC) if BEGAN in data else None
        row.seen_at = timezone.now()
        return row

    @property
    def began_at(self) -> datetime | None:
        began = self.get(BEGAN)
        return datetime.fromtimestamp(began, UTC) if began else None


def stored_key(session_key: str) -> str:
    """What is stored of a session's key, and names it on pages: nobody who reads it can use it.

    The key is random (165 bits), so that a slow hash would add nothing.
    """
    return hashlib.sha256(session_key.encode()).hexdigest()[:40]


def open_sessions(user: User) -> QuerySet[UserSession]:
    """The user's sessions, last used first."""
    found = UserSession.objects.filter(user=user, expire_date__gt=timezone.now())
    return found.order_by("-seen_at")


def end(user: User, name: str) -> bool:
    """End the session that is stored under this name; whether the user has one."""
    return bool(open_sessions(user).filter(pk=name).delete()[0])


def end_all(user: User, but: str | None = None) -> None:
    """End every session of the user, but for the one with this key."""
    UserSession.objects.filter(user=user).exclude(pk=stored_key(but or "")).delete()


def note_seen(session_key: str) -> None:
    UserSession.objects.filter(pk=stored_key(session_key)).update(seen_at=timezone.now())
