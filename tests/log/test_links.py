"""The link in a reminder: one student's week, no password, over two days after it closes."""

from datetime import datetime, timedelta
from urllib.parse import parse_qs, urlsplit
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.conf import settings
from django.core import signing
from django.test import Client

from practice.log.models import LogKey
from practice.phone.links import SALT, week_link
from tests import factories
from tests.factories import MONDAY, NOON
from tests.log.entries import entry

OVER = datetime(2031, 3, 5, 3, tzinfo=ZoneInfo("Europe/London"))


@pytest.fixture
def path(student):
    student.time_zone = "Europe/London"
    student.save(update_fields=["time_zone"])
    return urlsplit(week_link(student, MONDAY)).path


def key_of(answer):
    assert answer.status_code == 302
    target = urlsplit(answer["Location"])
    assert target.path == "/log"
    assert not target.query
    return {name: values[0] for name, values in parse_qs(target.fragment).items()}


def test_the_link_points_to_the_site_and_says_nothing(student):
    link = week_link(student, MONDAY)
    assert link.startswith(settings.SITE_URL + "/open/")
    assert student.name not in link


def test_looking_at_a_link_opens_nothing(path):
    for _ in range(3):
        page = Client().get(path)
        assert page.status_code == 200
        assert "no-store" in page["Cache-Control"]
    assert not LogKey.objects.exists()


def test_pressing_the_button_gives_this_device_a_key(path, student):
    client = Client()
    given = key_of(client.post(path))
    assert (given["who"], given["name"]) == (str(student.pk), student.name)
    phone = Client(headers={"Authorization": f"LogKey {given['key']}"})
    assert phone.get("/api/week").status_code == 200
    body = {"sent": NOON.isoformat(), "e": [entry(student)]}
    assert phone.post("/api/sync", body, "application/json").status_code == 200
    assert client.get("/api/week").status_code == 401  # It is no sign-in.


def test_the_button_leaves_word_for_the_page_that_the_key_is_ours(path, student):
    client = Client()
    client.get(path)
    assert "link" not in client.cookies
    client.post(path)
    left = client.cookies["link"]
    assert left.value == f"{student.pk}."
    assert (left["path"], left["samesite"], left["max-age"]) == ("/log", "Strict", 600)


def test_the_key_ends_with_the_link_and_is_not_prolonged_by_use(path):
    given = key_of(Client().post(path))
    phone = Client(headers={"Authorization": f"LogKey {given['key']}"})
    with time_machine.travel(OVER - timedelta(seconds=1), tick=False):
        assert phone.post("/api/sync", {"e": []}, "application/json").status_code == 200
        assert Client().get(path).status_code == 200
    with time_machine.travel(OVER, tick=False):
        assert phone.get("/api/week").status_code == 401
        assert Client().get(path).status_code == Client().post(path).status_code == 410


def test_a_link_that_was_tampered_with_opens_nothing(path, student, coach):
    other = factories.make_student(coach, "Other")
    forged = signing.dumps([str(other.pk), str(MONDAY), str(student.user.pk)], salt=SALT)
    for token in (f"/open/{forged}", path[:-1], path + "x", "/open/x", "/open/%00"):
        assert Client().post(token).status_code == 410
    assert not LogKey.objects.exists()


def test_a_student_who_left_cannot_be_opened(path, student):
    student.left_on = NOON.date()
    student.save(update_fields=["left_on"])
    assert Client().post(path).status_code == 410


def test_a_guardian_reads_for_a_child_without_a_sign_in(coach):
    guardian = factories.make_user("Morag")
    child = factories.make_child(coach, guardian, with_user=False)
    with pytest.raises(ValueError, match="Somebody"):
        week_link(child, MONDAY)
    path = urlsplit(week_link(child, MONDAY, guardian)).path
    key_of(Client().post(path))
    assert LogKey.objects.get().user == guardian


def test_the_button_is_protected_against_other_sites(path):
    assert Client(enforce_csrf_checks=True).post(path).status_code == 403
