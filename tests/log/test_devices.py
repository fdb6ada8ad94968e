"""Phones that log: seen in the settings, ended there, and ended by signing out."""

import json

import pytest
from django.test import Client

from practice.flows.take_entry import STORED, Sender, receive_one
from practice.log.models import LogKey
from practice.log.services import write_line
from practice.phone import links
from shared.people import sessions
from tests import factories
from tests.conftest import signed_in
from tests.factories import MONDAY
from tests.log.entries import Phone, entry
from tests.people.conftest import code_in_last_mail, mails

OWN_PAGE = {"HTTP_SEC_FETCH_SITE": "same-origin"}
ENDED = {
    "code": "login",
    "detail": "Sign in to send. What you saved stays on this phone.",
    "ended": True,
}


def by_code(user) -> Client:
    """A browser of its own that signed in, with the cookie that a sign-in leaves."""
    client = Client(HTTP_USER_AGENT="Mozilla/5.0 (Linux; Android 16; K)")
    client.post("/account/login/code/", {"email": user.email})
    client.post("/account/login/code/confirm/", {"code": code_in_last_mail()})
    return client


def key_of(client) -> Client:
    """The phone log in that browser, which has asked for a key."""
    answer = client.post("/api/key", "{}", content_type="application/json", **OWN_PAGE)
    return Client(HTTP_AUTHORIZATION=f"LogKey {answer.json()['key']}")


def test_the_phone_that_asks_is_named_among_those_that_log(student):
    """Two rows of the same device, and nobody could tell which to end."""
    key_of(by_code(student.user))
    browser = by_code(student.user)
    key_of(browser)
    rows = browser.get("/settings/devices/").context["keys"]
    assert sorted(row.is_this for row in rows) == [False, True]


def test_signing_out_ends_what_this_phone_could_read(student):
    browser = by_code(student.user)
    phone = key_of(browser)
    assert phone.get("/api/week").status_code == 200
    assert browser.post("/account/logout/")["Location"] == "/account/signed-out/"
    answer = phone.get("/api/week")
    assert (answer.status_code, answer.json()) == (401, ENDED)


def test_it_ends_nothing_on_the_students_other_phone_nor_of_another_in_this_browser(student, coach):
    robin = factories.make_student(coach, "Robin")
    other_phone = key_of(by_code(student.user))
    browser = by_code(robin.user)
    of_robin = key_of(browser)
    browser.post("/account/logout/")
    browser.post("/account/login/code/", {"email": student.user.email})
    browser.post("/account/login/code/confirm/", {"code": code_in_last_mail()})
    of_student = key_of(browser)
    assert of_robin.get("/api/week").json() == ENDED
    browser.post("/account/logout/")
    assert of_student.get("/api/week").json() == ENDED
    assert other_phone.get("/api/week").status_code == 200


def test_a_session_that_ran_out_leaves_the_phone_its_key(student):
    """Else what was logged without signal would be stranded."""
    browser = by_code(student.user)
    phone = key_of(browser)
    sessions.end_all(student.user)
    assert browser.get("/settings/").status_code == 302
    assert phone.get("/api/week").status_code == 200


def test_a_key_ends_itself_when_the_phone_forgets(student):
    phone = Phone(student)
    assert phone.client.delete("/api/key").status_code == 204
    assert phone.week().json() == ENDED
    assert phone.client.delete("/api/key").status_code == 401


def test_a_key_that_never_was_is_not_called_ended(db):
    answer = Client(HTTP_AUTHORIZATION="LogKey never-was").get("/api/week")
    assert "ended" not in answer.json()


def test_the_page_names_sessions_and_phones_and_ends_them(student):
    browser, phone = by_code(student.user), Phone(student)
    page = browser.get("/settings/devices/")
    assert [row.device for row in page.context["sessions"]] == ["Android phone or tablet"]
    assert browser.session.session_key not in page.content.decode()
    (row,) = page.context["keys"]
    browser.post(f"/settings/devices/key/{row.id}/end/")
    assert phone.week().status_code == 401


def test_ending_this_session_is_signing_out(student):
    browser = by_code(student.user)
    phone = key_of(browser)
    (row,) = browser.get("/settings/devices/").context["sessions"]
    browser.post(f"/settings/devices/session/{row.name}/end/")
    assert browser.get("/settings/").status_code == 302
    assert phone.get("/api/week").json() == ENDED


def test_ending_all_others_leaves_this_one(student):
    browser, other, phone = by_code(student.user), by_code(student.user), Phone(student)
    browser.post("/settings/devices/others/end/")
    assert browser.get("/settings/").status_code == 200
    assert other.get("/settings/").status_code == 302
    assert phone.week().status_code == 401


def test_a_guardian_ends_the_phone_of_the_child(coach):
    child = factories.make_child(coach, name="Kim")
    phone = Phone(child)
    guardian = signed_in(child.guardianships.get().user)
    (row,) = guardian.get("/settings/devices/").context["keys"]
    assert (row.student, row.writer) == ("Kim", str(child.user))
    guardian.post(f"/settings/devices/key/{row.id}/end/")
    assert phone.week().status_code == 401


def test_nobody_else_ends_a_phone(student, coach_client, coach):
    phone = Phone(student)
    stranger = signed_in(factories.make_student(coach, "Other").user)
    for client in (coach_client, stranger):
        assert client.post(f"/settings/devices/key/{phone.key.pk}/end/").status_code == 404
    assert phone.week().status_code == 200


# --- the key of a reminder's link -----------------------------------------------------------


@pytest.fixture
def by_link(student, part):
    """A phone that came by the link of this week's reminder."""
    secret = links.take_link(links.read_link(links.week_link(student, MONDAY).split("/")[-1]), "")
    return Client(HTTP_AUTHORIZATION=f"LogKey {secret}")


def test_a_link_reads_this_week_without_notes_messages_and_pain(student, part, by_link, coach):
    last = factories.make_week(student, MONDAY.replace(day=17), note="Canary of last week")
    factories.make_part(last, part.drill)
    part.week.note = "Canary for this week"
    part.week.save(update_fields=["note"])
    write_line(student=student, author=coach, text="Canary line")
    pain = {"lvl": 5, "where": "Canary knee", "signs": [], "new": True, "p": None}
    said = entry(student, part, note="Canary note", pain=pain)
    assert receive_one(said, sender=Sender(student, student.user)) == STORED
    answer = by_link.get("/api/week")
    assert "Canary" not in answer.content.decode()
    week = answer.json()
    assert [row["opens"] for row in week["weeks"]] == [MONDAY.isoformat()]
    assert week["entries"][0]["b"] == said["b"]
    assert said["id"] in week["have"]


def test_a_link_still_adds_to_the_week(student, part, by_link):
    one = entry(student, part)
    body = json.dumps({"sent": "2031-02-26T12:00:00+00:00", "e": [one]})
    answer = by_link.post("/api/sync", body, content_type="application/json")
    assert answer.json()["r"][one["id"]] == ["stored", ""]


def test_a_phone_of_ones_own_reads_all_of_it(student, part, phone, coach):
    write_line(student=student, author=coach, text="Canary line")
    assert "Canary line" in phone.week().content.decode()


def test_signing_out_ends_a_link_taken_in_this_browser(student, part):
    browser = by_code(student.user)
    browser.post("/open/" + links.week_link(student, MONDAY).split("/")[-1])
    assert LogKey.objects.filter(revoked_at=None).count() == 1
    browser.post("/account/logout/")
    assert LogKey.objects.filter(revoked_at=None).count() == 0
    assert mails()


def test_a_phone_is_forgotten_by_whoever_holds_it(student, coach):
    """Every key of this browser ends, whosever it is, and who is signed in is signed out."""
    browser, elsewhere = by_code(student.user), by_code(student.user)
    phone, other_phone = key_of(browser), key_of(elsewhere)
    assert "waits to be sent stays here" in browser.get("/forget/").content.decode()
    Client().post("/forget/")
    assert phone.get("/api/week").status_code == 200
    assert browser.post("/forget/")["Location"] == "/account/signed-out/"
    assert phone.get("/api/week").json() == ENDED
    assert browser.get("/settings/").status_code == 302
    assert other_phone.get("/api/week").status_code == 200


def test_the_phone_leads_to_it(student):
    pages = key_of(by_code(student.user)).get("/api/week").json()["pages"]
    assert "/forget/" in [page["at"] for page in pages]
