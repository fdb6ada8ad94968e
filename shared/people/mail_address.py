"""The address somebody signs in with: it moves once a code mailed to the new one is typed."""

from django.db import IntegrityError, transaction

from shared.people.models import User


class AddressTaken(Exception):
    """Somebody signs in with this address already."""


def move(user: User, email: str) -> None:
    """Sign in with this address from now on. Raises AddressTaken."""
    was, user.email = user.email, email
    try:
        with transaction.atomic():
            user.save(update_fields=["email"])
    except IntegrityError as error:
        user.email = was
        raise AddressTaken from error
