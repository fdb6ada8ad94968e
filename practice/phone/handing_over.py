"""Giving a device its key in an answer: past every server and log, and to nobody but our page."""

from urllib.parse import urlencode

from django.conf import settings
from django.http import HttpResponse
from django.urls import reverse

from shared.people.models import Student

TAKEN_WITHIN = 600  # Seconds: enough for a bad network, too little to be waited for.


def hand_over(
    answer: HttpResponse, student: Student, secret: str, *, is_own: bool = False
) -> HttpResponse:
    """Lead to the phone's page with the key; `is_own` puts it before one the phone has."""
    page = reverse("log:shell")
    # After the #, so that no server and no log ever sees the key.
    key = {"key": secret, "who": str(student.pk), "name": student.name}
    answer["Location"] = f"{page}#{urlencode(key | ({'own': 1} if is_own else {}))}"
    # The page takes a key only where this button was pressed: an address made up by
    # somebody else never has the phone log for another student.
    answer.set_cookie(
        "link", f"{student.pk}.", max_age=TAKEN_WITHIN, path=page, samesite="Strict",
        secure=settings.SESSION_COOKIE_SECURE,
    )  # fmt: skip
    return answer
