"""Show times on the clock of whoever is looking."""

from collections.abc import Callable
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.utils import timezone


class OwnTimeZone:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.user.is_authenticated:
            timezone.activate(ZoneInfo(request.user.time_zone))
        else:
            timezone.deactivate()
        return self.get_response(request)
