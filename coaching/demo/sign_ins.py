"""Who of the demo can be walked in as, and when."""

from dataclasses import dataclass

from django.conf import settings
from django.db.models import QuerySet

from shared.people.models import Studio, User


@dataclass(frozen=True, slots=True)
class SignIn:
    """One line on the first page of a demo."""

    user_id: str
    name: str
    role: str
    rank: int


def is_demo_only() -> bool:
    """Whether the demo's studio is the only one here."""
    return list(Studio.objects.values_list("is_demo", flat=True)[:2]) == [True]


def demo_users() -> QuerySet[User]:
    """The demo's people; none while a real studio exists, and none on a public server."""
    if settings.PRODUCTION or not is_demo_only():
        return User.objects.none()
    return User.objects.filter(is_active=True)


def sign_ins() -> list[SignIn]:
    """Those who work in the studio first, then guardians and students. Five queries."""
    rows = demo_users().prefetch_related("memberships", "guardianships__student")
    return sorted((_sign_in(user) for user in rows[:60]), key=lambda row: (row.rank, row.name))


def _sign_in(user: User) -> SignIn:
    roles = [membership.get_role_display() for membership in user.memberships.all()]
    wards = [guardianship.student.name for guardianship in user.guardianships.all()]
    if roles:
        role, rank = " and ".join(sorted(roles)), 0 if "coach" in roles else 1
    elif wards:
        role, rank = f"guardian of {wards[0]}", 3
    else:
        role, rank = "student", 2
    return SignIn(str(user.pk), user.name, role, rank)
