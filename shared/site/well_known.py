"""Where to tell of a weakness: /.well-known/security.txt, as RFC 9116 has it."""

from datetime import timedelta

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

GOOD_FOR = timedelta(days=180)  # RFC 9116, 2.5.5: less than a year.


@require_safe
def security_txt(request: HttpRequest) -> HttpResponse:
    """Only where whoever runs this has said whom to tell (SECURITY_CONTACT)."""
    if not settings.SECURITY_CONTACT:
        raise Http404
    lines = [
        f"Contact: {settings.SECURITY_CONTACT}",
        f"Expires: {(timezone.now() + GOOD_FOR).isoformat(timespec='seconds')}",
        "Preferred-Languages: en",
        f"Canonical: {settings.SITE_URL}/.well-known/security.txt",
    ]
    return HttpResponse("\n".join(lines) + "\n", content_type="text/plain; charset=utf-8")
