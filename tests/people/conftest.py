"""The cast of these tests, and the walk through an invitation."""

import re

import pytest
from django.core import mail
from django.core.cache import cache
from django.test import Client

from shared.outbox import send
from shared.people import invitations
from shared.people.models import Invitation, Membership
from tests import factories
from tests.conftest import signed_in
from tests.reminders.conftest import sink  # noqa: F401

DETAILS = {
    "student": {"time_zone": "Europe/Paris", "is_adult": "on"},
    "guardian": {
        "guardian_name": "Gil Guardian",
        "name": "Kim",
        "born_year": "2018",
        "hand": "left",
        "time_zone": "Europe/Paris",
        "record": "on",
        "messages": "on",
    },
    "coach": {"name": "New Coach", "time_zone": "Europe/Paris"},
}


@pytest.fixture(autouse=True)
def _no_limits_used_up(db):
    cache.clear()


@pytest.fixture
def studio(coach):
    return factories.studio_of(coach)


@pytest.fixture
def owner(studio):
    return factories.make_coach(studio, Membership.Role.OWNER, name="Owner")


@pytest.fixture
def owner_client(owner):
    return signed_in(owner)


@pytest.fixture
def assistant_client(studio):
    return signed_in(factories.make_coach(studio, Membership.Role.ASSISTANT))


@pytest.fixture
def stranger_client(db):
    """A coach of another studio."""
    return signed_in(factories.make_coach(name="Stranger"))


@pytest.fixture
def guardian(db):
    return factories.make_user("Gil Guardian")


@pytest.fixture
def child(coach, guardian):
    return factories.make_child(coach, guardian, name="Kim", with_user=False)


@pytest.fixture
def guardian_client(guardian, child):
    return signed_in(guardian)


@pytest.fixture
def place(coach):
    """An adult's place that nobody has taken yet."""
    return factories.make_student(coach, "Ada", with_user=False)


@pytest.fixture
def invited(coach, studio, place):
    return invitations.invite(
        by=coach, studio=studio, kind="student", student=place, email="ada@example.org", name="Ada"
    )


@pytest.fixture
def guardian_invited(coach, studio):
    return invitations.invite(
        by=coach, studio=studio, kind="guardian", email="gil@example.org", name="Gil"
    )


def path_of(invitation: Invitation) -> str:
    return f"/join/{invitations.token_of(invitation)}/"


def mails() -> list:
    """What has been mailed, once the sender has been round."""
    send.send_due()
    return mail.outbox


def code_in_last_mail() -> str:
    return re.search(r"\b\d{6}\b", mails()[-1].body)[0]


def prove_address(client: Client, path: str, email: str) -> None:
    """Steps 1 and 2: ask for a code and enter it."""
    asked = client.post(path, {"email": email})
    assert asked["Location"] == f"{path}code/"
    entered = client.post(asked["Location"], {"code": code_in_last_mail()})
    assert entered["Location"] == f"{path}details/"
