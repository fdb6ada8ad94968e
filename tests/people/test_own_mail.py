"""Another address to sign in with: by whom, proven how, and who is told."""

import re
from datetime import timedelta

import pytest
import time_machine
from django.test import Client
from django.utils import timezone

from shared.people import services
from shared.people.models import SecurityEvent
from tests import factories
from tests.conftest import signed_in
from tests.people.conftest import mails

PAGE, AGAIN = "/settings/mail/", "/account/again/?next=/settings/mail/"
NEW = "new@example.org"


def newest_code(address: str) -> str:
    to = [each for each in mails() if each.to == [address] and each.subject == "Your code"]
    return re.search(r"\b\d{6}\b", to[-1].body)[0]


@pytest.fixture
def user(student):
    return student.user


@pytest.fixture
def client(user):
    """Signed in, and proven to be the user a moment ago."""
    client = signed_in(user)
    client.post(AGAIN, {"send": "1"})
    assert client.post(AGAIN, {"code": newest_code(user.email)})["Location"] == PAGE
    return client


def asked_for(client, address=NEW):
    return client.post(PAGE, {"email": address})


def test_it_asks_again_who_it_is(user):
    client = signed_in(user)
    for answer in (client.get(PAGE), asked_for(client)):
        assert answer["Location"].startswith("/account/again/?next=")
    assert not mails()


def test_the_new_address_holds_once_its_code_is_typed_and_both_are_told(client, user):
    was = user.email
    assert asked_for(client, f" {NEW.upper()} ")["Location"] == PAGE
    assert NEW in client.get(PAGE).text
    user.refresh_from_db()
    assert user.email == was, "It moved before it was proven."
    assert client.post(PAGE, {"code": newest_code(NEW)})["Location"] == "/settings/"
    user.refresh_from_db()
    assert user.email == NEW
    told = [each for each in mails() if "address of your sign-in was changed" in each.body]
    assert sorted(each.to[0] for each in told) == sorted([was, NEW])
    (old,) = (each.body for each in told if each.to == [was])
    assert f"You sign in with {NEW}" in old
    assert "tell your studio at once" in old
    assert SecurityEvent.objects.filter(by=user.pk, kind="way_in").exists()
    assert client.get("/settings/").status_code == 200
    other = Client()
    other.post("/account/login/code/", {"email": NEW})
    found = other.post("/account/login/code/confirm/", {"code": newest_code(NEW)})
    assert found["Location"] == "/"


def test_a_wrong_code_moves_nothing(client, user):
    asked_for(client)
    wrong = "000000" if newest_code(NEW) != "000000" else "111111"
    assert "That is not the code." in client.post(PAGE, {"code": wrong}).text
    user.refresh_from_db()
    assert user.email != NEW


def test_the_code_may_be_typed_after_the_proof_is_over_and_not_after_its_own_time(client, user):
    asked_for(client)
    code = newest_code(NEW)
    with time_machine.travel(timezone.now() + timedelta(minutes=11), tick=False):
        assert client.post(PAGE, {"code": code})["Location"].startswith("/account/again/")
    with time_machine.travel(timezone.now() + timedelta(minutes=8), tick=False):
        client.post(PAGE, {"code": code})
    user.refresh_from_db()
    assert user.email == NEW


def test_an_address_that_somebody_has_gets_no_code_and_tells_the_asker_nothing(client, user, coach):
    assert asked_for(client, coach.email)["Location"] == PAGE
    taken, free = client.get(PAGE).text, coach.email
    said = [each for each in mails() if each.to == [coach.email]]
    assert [each.subject for each in said] == ["This address is taken"]
    asked_for(client, NEW)
    plain = re.compile(r'(csrfmiddlewaretoken" value|nonce)="[^"]*"')
    assert plain.sub("", client.get(PAGE).text) == plain.sub("", taken).replace(free, NEW)


def test_an_address_taken_meanwhile_stays_with_who_took_it(client, user):
    asked_for(client)
    code = newest_code(NEW)
    factories.User.objects.create_user(NEW, name="Quick")
    assert "Somebody signs in with this address already." in client.post(
        PAGE, {"code": code}, follow=True
    ).text  # fmt: skip
    user.refresh_from_db()
    assert user.email != NEW


def test_a_child_who_came_by_a_phone_has_none_to_change(coach):
    child = factories.make_child(coach, with_user=False)
    client = signed_in(services.user_of_child(child))
    assert client.get(PAGE).status_code == 404
    assert PAGE not in client.get("/settings/").text
