"""What a request of a phone passes through."""

from collections.abc import Callable
from functools import cached_property
from typing import Any, ClassVar

from django.contrib.auth import logout
from django.db import OperationalError
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from practice.log.models import LogKey
from practice.phone import keys
from practice.phone.sign_in import secret_of
from shared.people.sessions import PHONE

GetResponse = Callable[[HttpRequest], HttpResponse]


class ByKey:
    """What a phone sends by a key that stands goes straight to its view.

    All that lies between is about who signed in, and about forms: a key is neither. Without one
    that stands, a request goes the long way, and is answered there.
    """

    STRAIGHT: ClassVar[frozenset[str]] = frozenset({"/api/sync"})

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response, self.view = get_response, LastBeforeViews.made[-1]

    @cached_property
    def _sync(self) -> Callable[[HttpRequest, LogKey], HttpResponse | None]:
        from practice.phone.api import sync_by_key  # With it the views, which settings cannot load.

        return sync_by_key

    def __call__(self, request: Any) -> HttpResponse:
        key = _key_of(request) if request.path in self.STRAIGHT else None
        if key is None:
            return self.get_response(request)
        request.log_key = key
        timezone.deactivate()  # The thread's last one may have been somebody's who signed in.
        response = self._sync(request, key) or self.view(request)
        response.setdefault("Cache-Control", "private, no-store")
        return response


def _key_of(request: HttpRequest) -> LogKey | None:
    secret = secret_of(request)
    try:
        return keys.find_key_to_log(secret) if secret else None
    except OperationalError:  # The view asks again, and says what the trouble is.
        return None


class LastBeforeViews:
    """Stands last of all, where `ByKey` goes to. Django makes what a request passes from there."""

    made: ClassVar[list[GetResponse]] = []

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response
        self.made[:] = [get_response]

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)


class ChildPhone:
    """A child's own phone stays signed in for as long as its key stands, and no longer."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.user.is_authenticated:
            key_id = request.session.get(PHONE)
            if key_id and not keys.is_open(key_id):
                logout(request)
        return self.get_response(request)
