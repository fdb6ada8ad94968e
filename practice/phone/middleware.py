"""What a request of a child's own phone passes through."""

from collections.abc import Callable

from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse

from practice.phone import keys
from shared.people.sessions import PHONE


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
