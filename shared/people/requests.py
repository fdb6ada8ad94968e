"""The request of a page that asks for a sign-in, and what its address names."""

from datetime import UTC, datetime
from uuid import UUID

from django.db.models import DateTimeField, UUIDField
from django.http import Http404, HttpRequest
from django.utils import timezone

from shared.people import access
from shared.people.models import Student, User
from shared.site.prepared import Prepared

MOST_FOLLOWED = 50


class SignedInRequest(HttpRequest):
    """For the annotation of views under `login_required`: there is a user."""

    user: User


def followed(request: HttpRequest, user: User) -> list[Student]:
    """The own places and the children of whoever asks, by name: read once a request, for the page
    and for its frame."""
    found: list[Student] | None = getattr(request, "_followed", None)
    if found is None:
        found = _followed(user=user.pk, now=timezone.now())
        request._followed = found  # type: ignore[attr-defined]  # noqa: SLF001
    return found


_followed = Prepared(
    lambda *, user, now: (
        access.followed_of(user=user, now=now)
        .select_related("studio", "lead_coach")
        .order_by("name", "pk")[:MOST_FOLLOWED]
    ),
    user=UUIDField,
    now=DateTimeField,
)


def followed_or_404(request: SignedInRequest, student_id: UUID) -> Student:
    """`access.student_followed_or_404` of a page that changes nothing before it is printed."""
    for student in followed(request, request.user):
        if student.pk == student_id:
            return student
    return access.student_followed_or_404(request.user, student_id)


def child_or_404(request: SignedInRequest, student_id: UUID) -> Student:
    """`access.child_or_404` of such a page."""
    student = followed_or_404(request, student_id)
    if student.user_id == request.user.pk:
        raise Http404
    return student


def moment_of(text: str) -> datetime | None:
    """A moment in an address, as a page of older things names it; None for whatever is none.

    A day off either end of the calendar is none: no zone could show the days beside it.
    """
    try:
        found = datetime.fromisoformat(text.replace(" ", "+"))
        return found.astimezone(UTC) if found.tzinfo and 1900 < found.year < 9000 else None
    except ValueError:
        return None
