"""What every answer says to the browser, and what the log says of it."""

import logging
from io import StringIO

import pytest
from django.conf import settings
from django.test import Client

from shared.people import views
from shared.site.logs import LogLine
from tests.conftest import signed_in

pytestmark = pytest.mark.django_db
# The names are those of the HTTP Observatory's list of checks.
EVERYWHERE = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


def broken(*_, **__):
    raise RuntimeError("with details of ours")


@pytest.fixture
def answers(coach, student, monkeypatch):
    """One of each kind of answer, by its status."""
    signed = signed_in(coach)
    strict = Client(enforce_csrf_checks=True)
    found = [
        Client().get("/log"),
        Client().get("/who/"),
        Client().get("/api/week"),
        strict.post("/account/login/"),
        signed.get("/nothing"),
        signed.get(f"/students/{student.pk}/left/"),
        signed.get("/open/never.was.signed"),
        Client().generic("POST", "/settings/", b"", CONTENT_LENGTH="999999999"),
    ]
    monkeypatch.setattr(views, "render", broken)
    signed.raise_request_exception = False
    found.append(signed.get("/settings/"))
    return found


def test_every_answer_protects_itself(answers):
    assert {answer.status_code for answer in answers} >= {
        200,
        302,
        401,
        403,
        404,
        405,
        410,
        413,
        500,
    }
    for answer in answers:
        said = {name: answer.get(name) for name in EVERYWHERE}
        assert said == EVERYWHERE, answer.status_code
        policy = answer["Content-Security-Policy"]
        assert "default-src 'self'" in policy
        assert "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy
        assert "geolocation=()" in answer["Permissions-Policy"]


def test_a_fault_tells_nothing_of_itself(answers):
    (fault,) = (answer for answer in answers if answer.status_code == 500)
    assert b"details" not in fault.content
    assert b"Traceback" not in fault.content


def test_what_is_signed_in_for_is_kept_by_no_cache(coach, student):
    for page in (
        "/who/",
        "/students/",
        f"/students/{student.pk}/",
        f"/api/students/{student.pk}/speed",
    ):
        kept = signed_in(coach).get(page, headers={"sec-fetch-site": "same-origin"})
        assert (kept.status_code, "no-store" in kept["Cache-Control"]) == (200, True), page


def line_of(*args) -> str:
    """What the log of this installation writes."""
    given = dict(settings.LOGGING["formatters"]["line"])
    assert given.pop("()") == "shared.site.logs.LogLine"
    out = StringIO()
    handler = logging.StreamHandler(out)
    handler.setFormatter(LogLine(**given))
    handler.handle(logging.LogRecord("django.request", logging.WARNING, "", 0, *args, None))
    return out.getvalue()


@pytest.mark.parametrize(
    "path",
    [
        "/join/SECRET-1_.x/",
        "/join/SECRET-1_.x/code/",
        "/open/SECRET-1_.x",
        "/reminders/stop/SECRET-1_.x/",
        "/account/password/reset/key/SECRET-1_.x/",
    ],
)
def test_no_line_of_the_log_holds_a_token(path):
    line = line_of("%s: %s", ("Gone", path))
    assert "SECRET" not in line
    assert path.split("SECRET")[0] in line


@pytest.mark.parametrize("said", ["a\r\nb", "a\nERROR b", "\x1b[31mred", "a\u2028b", "x" * 10**6])
def test_one_event_is_one_line(said):
    line = line_of("An entry could not be taken: %s", (said,))
    assert len(line.splitlines()) == 1
    assert "\x1b" not in line
    assert len(line) < 5000
