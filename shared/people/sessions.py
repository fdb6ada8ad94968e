"""Sessions that know whose they are, on what device and since when, so that each can be ended.

A row of people.UserSession is the whole session: delete it, and the next request is signed
out. It is stored under a digest of its key, so that whoever reads the table enters nowhere.
How long a session lives depends on what its user may see (settings.SESSION_AGES).
"""

import hashlib
from datetime import UTC, datetime, timedelta
from typing import Any, cast

from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore as DatabaseStore
from django.db.models import CharField, DateTimeField, FilteredRelation, Q, QuerySet
from django.utils import timezone
from django.utils.crypto import constant_time_compare

from shared.people.models import WORK, User, UserSession, WorkNow
from shared.site.prepared import Prepared, columns_of, made_of

BEGAN, DEVICE = "began", "device"
PHONE = "phone"  # The key that a child's own phone is signed in by.
MOST_SHOWN = 50
PLAIN_LENGTH = 32  # Of Django's own keys; a digest is longer, so that none is taken for a key.
SEEN_EVERY = timedelta(minutes=5)


_BOTH = columns_of(("", UserSession), ("user__", User))
_open_now = Prepared(
    lambda key, now: (
        UserSession.objects.filter(pk=key, expire_date__gt=now)
        .annotate(
            work=FilteredRelation(
                "user__memberships", condition=Q(user__memberships__ended_at=None)
            )
        )
        .values_list(*_BOTH, *(f"work__{name}" for name in WORK))
    ),
    key=CharField,
    now=DateTimeField,
)


def _one_open(key: str, now: datetime) -> tuple[UserSession, User | None] | None:
    """The session, whose it is, and what they work here: every page asks for all three."""
    rows = _open_now(key=key, now=now)
    if not rows:
        return None
    session, user = made_of(rows[0], UserSession, User)
    work = [WorkNow(*row[len(_BOTH) :]) for row in rows if row[len(_BOTH)] is not None]
    return session, user.read_with(work) if session.user_id else None


class SessionStore(DatabaseStore):
    """Django's own store in a table of ours. `seen_at` is None for a session not loaded yet.

    `came_with` is the user as the session's row names one: who is signed in by it says `user_of`.
    """

    seen_at: datetime | None = None
    came_with: User | None = None

    @classmethod
    def get_model_class(cls) -> type[UserSession]:
        return UserSession

    def _read(self) -> tuple[UserSession, User | None] | None:
        """What stands under the key's digest; one from before is put under it at its first use."""
        plain = self.session_key or ""
        stored, now = stored_key(plain), timezone.now()
        found = _one_open(stored, now)
        if found is None and len(plain) == PLAIN_LENGTH:
            there = UserSession.objects.filter(expire_date__gt=now, pk=plain)
            there.update(session_key=stored)
            found = _one_open(stored, now)
        if found is None:
            self._session_key = None
        return found

    def exists(self, session_key: str) -> bool:
        return super().exists(stored_key(session_key))

    def delete(self, session_key: str | None = None) -> None:
        key = session_key or self.session_key
        if key:
            UserSession.objects.filter(pk=stored_key(key)).delete()

    def load(self) -> dict[str, Any]:
        row, self.came_with = self._read() or (None, None)
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


def user_of(session: SessionStore) -> User | None:
    """Who came with the session, where it proves to be theirs; else Django has to look.

    By Django's own rules: the backend is one of ours, and the password of then is that of now.
    """
    signed_in, by = session.get(SESSION_KEY), session.get(BACKEND_SESSION_KEY)
    user, proof = session.came_with, session.get(HASH_SESSION_KEY, "")
    is_theirs = user is not None and user.is_active and str(user.pk) == signed_in
    if user is None or not is_theirs or by not in settings.AUTHENTICATION_BACKENDS:
        return None
    return user if constant_time_compare(proof, user.get_session_auth_hash()) else None


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
