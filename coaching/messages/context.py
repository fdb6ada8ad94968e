"""How many notes wait for an answer, for the frame of every page of a coach."""

from typing import Any

from django.http import HttpRequest
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from coaching.messages.queries import count_unanswered
from shared.people import access
from shared.people.models import User


def notes(request: HttpRequest) -> dict[str, object]:
    """`notes_waiting`, asked for only where it is printed. One query."""
    user: Any = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return {}
    return {"notes_waiting": SimpleLazyObject(lambda: _waiting(user))}


def _waiting(user: User) -> int:
    return count_unanswered(user, timezone.now()) if access.teaches(user) else 0
