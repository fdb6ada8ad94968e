"""How often somebody may try, counted in the database that all processes share."""

from allauth.core.internal.ratelimit import RateLimitUsage, consume
from django.http import HttpRequest

from shared.people import known_devices

# Ours, by common practice: generous to a person, short for a program.
RATES = {
    "bad_link": "20/h/ip",
    "join_code": "20/h/ip,5/h/key",
    "sign_in_code": "20/m/ip,5/5m/key,20/d/key",
    "sign_in_code_known": "5/5m/key,20/d/key",
    "try_code": "60/h/ip,10/h/key,20/d/key",
    "try_code_known": "15/h/key,40/d/key",
    "password": "20/h/ip,5/5m/key",
    "password_known": "5/5m/key",
    "invitation_mail": "5/h/key,20/d/user",
    "own_copy": "6/h/key",
    "list": "10/d/user",
    "calendar": "30/d/user",
    "first_run": "20/h/ip",
    # Six digits are of nobody in particular until they fit: counted for the house as well.
    "phone_code": "10/h/ip,100/h/key",
}


def may(request: HttpRequest, action: str, key: str | None = None) -> bool:
    """Count one try; whether it was within the limit."""
    return _count(request, action, key) is not None


def may_as(request: HttpRequest, action: str, email: str) -> bool:
    """The same of one account. A browser that knows the account has a budget of its own."""
    return count_as(request, action, email) is not None


def count_as(request: HttpRequest, action: str, email: str) -> RateLimitUsage | None:
    """Count one try of one account; None beyond the limit. What it returns can be taken back."""
    known = "_known" if known_devices.is_known(request, email) else ""
    return _count(request, action + known, known_devices.bucket(request, email))


def _count(request: HttpRequest, action: str, key: str | None) -> RateLimitUsage | None:
    return consume(request, app="people", action=action, config=RATES, key=key, limit_get=True)
