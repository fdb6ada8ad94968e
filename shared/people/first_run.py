"""The very first studio of an installation. There is no second one by this door."""

from base64 import b32encode

from django.conf import settings
from django.db import connection, transaction
from django.utils import timezone
from django.utils.crypto import constant_time_compare, salted_hmac

from shared.people.events import studio_made
from shared.people.models import Membership, Studio, User


class AlreadyMade(Exception):
    """A studio exists: somebody else was first."""


def is_first_run() -> bool:
    return not Studio.objects.exists()


def set_up_code() -> str:
    """What a public server asks for before it makes its studio; empty elsewhere.

    Otherwise whoever finds the address first would own it. Sixty bits from SECRET_KEY: every
    process and `manage.py setup_code` say the same one, and nothing is stored.
    """
    if not settings.PRODUCTION:
        return ""
    digest = salted_hmac("people.first_run", "set-up code", algorithm="sha256").digest()
    letters = b32encode(digest).decode()[:12]
    return "-".join(letters[n : n + 4] for n in (0, 4, 8))


def is_set_up_code(typed: str) -> bool:
    """Whether it is the code, however its letters and gaps were typed."""
    return constant_time_compare(_letters(typed), _letters(set_up_code()))


def _letters(code: str) -> str:
    return "".join(sign for sign in code.upper() if sign.isalnum())


def log_line() -> str:
    """What the server's log says about the code while it is needed; else empty."""
    code = set_up_code()
    if not code or not is_first_run():
        return ""
    return f"No studio yet. The set-up code for /welcome/ is {code}"


@transaction.atomic
def make_studio(
    *, name: str, time_zone: str, first_weekday: int, owner_name: str, email: str, password: str
) -> User:
    """The studio and its owner, who also coaches. Raises AlreadyMade."""
    _one_at_a_time()
    if not is_first_run():
        raise AlreadyMade
    studio = Studio.objects.create(
        name=name,
        time_zone=time_zone,
        first_weekday=first_weekday,
        passkeys_since=timezone.now() if settings.PRODUCTION else None,
    )
    owner = User.objects.create_user(email, password, name=owner_name, time_zone=time_zone)
    for role in (Membership.Role.OWNER, Membership.Role.COACH):
        Membership.objects.create(studio=studio, user=owner, role=role)
    for hook in studio_made:
        hook(studio, owner)
    return owner


def _one_at_a_time() -> None:
    """Make everybody else who makes a studio wait for this transaction.

    SQLite's transactions are IMMEDIATE: this one holds the only write lock already.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("LOCK TABLE people_studio IN EXCLUSIVE MODE")
