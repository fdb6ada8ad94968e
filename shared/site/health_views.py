"""For whatever watches over the processes. Says nothing about anybody."""

import logging

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.utils.crypto import constant_time_compare
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shared.site import health, metrics

log = logging.getLogger(__name__)


@never_cache
@require_safe
def live(request: HttpRequest) -> HttpResponse:
    """The web process answers. Asks nothing of the database."""
    return HttpResponse("alive\n", content_type="text/plain")


@never_cache
@require_safe
def ready(request: HttpRequest) -> HttpResponse:
    """503 when the database is away, the disk full, or the last tick older than five minutes."""
    found = health.check()
    if not found.ready:
        log.warning("not ready: %s", found.words)
    body = {
        "database": found.database,
        "last_tick_seconds_ago": found.tick_seconds,
        "free_megabytes": found.free_bytes // (1024 * 1024),
        "detail": found.words,
    }
    return JsonResponse(body, status=200 if found.ready else 503)


@never_cache
@require_safe
def figures(request: HttpRequest) -> HttpResponse:
    """Figures for whoever collects them and has METRICS_TOKEN; nobody else learns they exist."""
    given = request.headers.get("Authorization", "").removeprefix("Bearer ")
    if not settings.METRICS_TOKEN or not constant_time_compare(given, settings.METRICS_TOKEN):
        raise Http404
    gauges = [gauge for source in metrics.sources for gauge in source()]
    return HttpResponse(metrics.exposition(gauges), content_type=metrics.CONTENT_TYPE)
