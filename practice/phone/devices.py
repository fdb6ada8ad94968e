"""Where somebody is signed in, and which phones may log in their name."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.contrib.sessions.backends.base import SessionBase

from practice.phone import keys, push
from shared.people import sessions
from shared.people.device_text import device_words
from shared.people.models import User

MOST_KEYS = 100


@dataclass(frozen=True, slots=True)
class DeviceRow:
    name: str
    device: str
    since: datetime | None
    seen: datetime
    is_this: bool


@dataclass(frozen=True, slots=True)
class KeyRow:
    """`lasting`: not the key of a reminder’s link, which ends with its week."""

    id: UUID
    device: str
    student: str
    writer: str
    since: datetime
    used: datetime | None
    lasting: bool
    reminds: bool
    is_this: bool


def session_rows(user: User, current: SessionBase) -> list[DeviceRow]:
    return [
        DeviceRow(
            name=row.session_key,
            device=row.device or "Device without a name",
            since=row.began_at,
            seen=row.seen_at,
            is_this=row.session_key == sessions.stored_key(current.session_key or ""),
        )
        for row in sessions.open_sessions(user)[: sessions.MOST_SHOWN]
    ]


def key_rows(user: User, browser: str) -> list[KeyRow]:
    """`browser`: the one that asks, by its name among those we know."""
    found = keys.open_keys(user).select_related("student", "user", "push_device")
    return [
        KeyRow(
            id=key.pk,
            device=device_words(key.device),
            student=key.student.name,
            writer="" if key.user_id == user.pk else str(key.user),
            since=key.made_at,
            used=key.last_used_at,
            lasting=key.is_lasting,
            reminds=push.is_nudged(key),
            is_this=bool(browser) and key.browser == browser,
        )
        for key in found.order_by("-made_at")[:MOST_KEYS]
    ]
