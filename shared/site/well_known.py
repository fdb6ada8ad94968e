"""What programs ask every site for by names that are settled elsewhere."""

from datetime import timedelta

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.templatetags.static import static
from django.utils import timezone
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe

GOOD_FOR = timedelta(days=180)  # RFC 9116, 2.5.5: less than a year.


@require_safe
def security_txt(request: HttpRequest) -> HttpResponse:
    """Where to tell of a weakness, as RFC 9116 has it; only if SECURITY_CONTACT says whom."""
    if not settings.SECURITY_CONTACT:
        raise Http404
    lines = [
        f"Contact: {settings.SECURITY_CONTACT}",
        f"Expires: {(timezone.now() + GOOD_FOR).isoformat(timespec='seconds')}",
        "Preferred-Languages: en",
        f"Canonical: {settings.SITE_URL}/.well-known/security.txt",
    ]
    return HttpResponse("\n".join(lines) + "\n", content_type="text/plain; charset=utf-8")


@require_safe
@cache_control(public=True, max_age=24 * 3600)
def favicon(request: HttpRequest) -> HttpResponse:
    """Browsers look here wherever an answer names no icon: the offline page, a file, plain text."""
    return redirect(static("icon-192.png"))
