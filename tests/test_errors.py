"""What is said where nothing can be shown, to people and to programs."""

import json
import re
from io import BytesIO

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders
from django.test import Client, RequestFactory

from shared.site import errors
from shared.site.middleware import BodyLimit


@pytest.mark.parametrize("path", ["/api/nothing", "/api/sessions/7", "/api/sync/", "/api/"])
def test_the_api_speaks_json_also_where_there_is_nothing(db, path):
    answer = Client().get(path)
    assert answer.status_code == 404
    assert answer.json()["code"] == "not_found"


def test_a_page_that_is_not_there_says_so_to_people(db):
    answer = Client().get("/nothing/")
    assert answer.status_code == 404
    assert b"There is no such page" in answer.content


@pytest.mark.parametrize(
    ("answer", "status", "code"),
    [
        (errors.csrf_failure, 403, "csrf"),
        (errors.not_found, 404, "not_found"),
        (errors.too_many, 429, "too_many"),
        (errors.server_error, 500, "fault"),
    ],
)
def test_each_fault_in_the_form_the_caller_reads(db, answer, status, code):
    of_a_program = answer(RequestFactory().post("/api/sync"))
    assert of_a_program.status_code == status
    said = json.loads(of_a_program.content)
    assert (said["code"], bool(said["detail"])) == (code, True)


def test_the_page_of_a_fault_has_the_looks_of_the_house():
    """By an address that stands in it, so that nothing is asked to make it."""
    page = errors.server_error(RequestFactory().get("/")).content.decode()
    (sheet,) = re.findall(r'rel="stylesheet" href="/static/([^"]+)"', page)
    assert finders.find(sheet)
    assert settings.STATIC_URL == "/static/"


@pytest.mark.parametrize("size", [2 * 1024 * 1024 + 1, 10_000_000])
@pytest.mark.parametrize("path", ["/api/sync", "/account/login/"])
def test_a_body_that_is_too_big_is_refused_and_not_read(db, path, size):
    """The server has dropped it by then: tests/running/test_slow_clients.py."""
    body = BytesIO(b"x" * size)
    given = RequestFactory().generic("POST", path, b"")
    given.META |= {"CONTENT_LENGTH": str(size), "wsgi.input": body}
    answer = BodyLimit(lambda request: pytest.fail("it went through"))(given)
    assert answer.status_code == 413
    assert "too big to take" in answer.content.decode()
    assert len(body.read()) == size


def test_a_body_that_is_far_too_big_is_not_waited_for(db):
    body = BytesIO(b"x" * 1000)
    given = RequestFactory().generic("POST", "/api/sync", b"")
    given.META |= {"CONTENT_LENGTH": str(200_000_000), "wsgi.input": body}
    assert BodyLimit(lambda request: pytest.fail("it went through"))(given).status_code == 413
    assert len(body.read()) == 1000
