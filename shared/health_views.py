"""For whatever watches over the processes. Says nothing about anybody."""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shared import health


@never_cache
@require_safe
def live(request: HttpRequest) -> HttpResponse:
    """The web process answers. Asks nothing of the database."""
    return HttpResponse("alive\n", content_type="text/plain")


@never_cache
@require_safe
def ready(request: HttpRequest) -> HttpResponse:
    """503 when the database is away or the last tick is older than five minutes."""
    found = health.check()
    body = {
        "database": found.database,
        "last_tick_seconds_ago": found.tick_seconds,
        "detail": found.words,
    }
    return JsonResponse(body, status=200 if found.ready else 503)
