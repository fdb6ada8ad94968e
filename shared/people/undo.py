"""One tap that removes or marks something comes back with one tap, for ten minutes.

The button stands in the message that tells what was done, and works without scripts. What is
needed to do it again travels with it, signed; nothing is kept for it.
"""

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import UUID

from django.core import signing
from django.http import HttpRequest
from django.middleware.csrf import get_token
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

from shared.kit.refused import Refused
from shared.people.models import User
from shared.people.requests import SignedInRequest

GOOD_FOR = timedelta(minutes=10)
SALT = "shared.people.undo"
Facts = dict[str, Any]
# Does it again for this user, who may have lost the right meanwhile; says what came of it.
TakesBack = Callable[[User, Facts], str]
_takers: dict[str, TakesBack] = {}


def takes_back(name: str) -> Callable[[TakesBack], TakesBack]:
    """Register what undoes the tap of this name. It may be called twice for one tap."""

    def register(taker: TakesBack) -> TakesBack:
        _takers[name] = taker
        return taker

    return register


def with_undo(
    request: SignedInRequest, words: str, do: str, /, *, back: str, **facts: object
) -> SafeString:
    """The message with its button; `back` is the page to come back to."""
    said = {key: str(value) for key, value in facts.items()}
    what = signing.dumps(
        {"do": do, "by": str(request.user.pk), "back": back, "facts": said},
        salt=SALT,
        compress=True,
    )
    return format_html(
        '{} <form method="post" action="{}"><input type="hidden" name="csrfmiddlewaretoken" '
        'value="{}"><input type="hidden" name="what" value="{}">'
        '<button class="link">Undo</button></form>',
        words,
        reverse("undo"),
        get_token(request),
        what,
    )


def take_back(request: HttpRequest, user: User) -> tuple[str, str]:
    """Undo what the button names: the words for it, and the page to go to. Raises Refused."""
    try:
        told = signing.loads(request.POST.get("what", ""), salt=SALT, max_age=GOOD_FOR)
    except signing.SignatureExpired:
        raise Refused("Ten minutes are over. It stays as it is now.") from None
    except signing.BadSignature:
        raise Refused("There is nothing to undo.") from None
    if told["by"] != str(user.pk):
        raise Refused("Only who did it can undo it.")
    return _takers[told["do"]](user, told["facts"]), told["back"]


def id_of(facts: Facts, name: str) -> UUID:
    """An id among the facts, which we signed ourselves."""
    return UUID(facts[name])
