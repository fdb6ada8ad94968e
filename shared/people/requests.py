"""The request of a page that asks for a sign-in, and what its address names."""

from datetime import UTC, datetime

from django.http import HttpRequest

from shared.people.models import User


class SignedInRequest(HttpRequest):
    """For the annotation of views under `login_required`: there is a user."""

    user: User


def moment_of(text: str) -> datetime | None:
    """A moment in an address, as a page of older things names it; None for whatever is none.

    A day off either end of the calendar is none: no zone could show the days beside it.
    """
    try:
        found = datetime.fromisoformat(text.replace(" ", "+"))
        return found.astimezone(UTC) if found.tzinfo and 1900 < found.year < 9000 else None
    except ValueError:
        return None
