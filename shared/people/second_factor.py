"""Passkeys for those who work in a studio, where its owner asks for them.

Nobody is shut out on the first evening: everybody has a week from the day it was asked,
or from the day they came.
"""

from datetime import datetime, timedelta

from allauth.mfa.models import Authenticator

from shared.people.models import User

GRACE = timedelta(days=7)


def has_passkey(user: User) -> bool:
    rows = Authenticator.objects.filter(user=user, type=Authenticator.Type.WEBAUTHN)
    return bool(rows.exists())


def needed_from(user: User) -> datetime | None:
    """When the user's work here needs a passkey; None if no studio asks for one."""
    dates = [max(asked, since) for asked, since in user.passkeys_asked]
    return min(dates) + GRACE if dates else None


def is_missing(user: User) -> bool:
    """Whether a passkey is asked of the user, now or soon, and there is none."""
    return needed_from(user) is not None and not has_passkey(user)
