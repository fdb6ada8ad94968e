"""How often somebody may try, counted in the database that all processes share."""

from allauth.core.internal.ratelimit import consume
from django.http import HttpRequest

# Ours, by common practice: generous to a person, short for a program.
RATES = {
    "bad_link": "20/h/ip",
    "join_code": "20/h/ip,5/h/key",
    "try_code": "60/h/ip",
    "invitation_mail": "5/h/key,20/d/user",
    "first_run": "20/h/ip",
}


def may(request: HttpRequest, action: str, key: str | None = None) -> bool:
    """Count one try; whether it was within the limit."""
    used = consume(request, app="people", action=action, config=RATES, key=key, limit_get=True)
    return used is not None
