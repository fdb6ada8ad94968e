"""A second adult confirms a new child; a closed record has one page."""

from datetime import timedelta

import pytest
from django.utils import timezone

from shared.people import access, consent, invitation_mail, second_adult
from shared.people.models import AccountMail, Membership, SecurityEvent, Student
from tests import factories
from tests.conftest import signed_in
from tests.people.conftest import DETAILS, code_in_last_mail, path_of, prove_address
from tests.people.test_consent import CHILD


@pytest.fixture
def new_child(guardian_invited, guardian):
    return consent.give(guardian_invited, guardian, child=CHILD, messages=True, clips=False)


def walk(client, invitation) -> Student:
    """The guardian takes the invitation up in this browser."""
    path = path_of(invitation)
    prove_address(client, path, "gil@example.org")
    client.post(f"{path}details/", DETAILS["guardian"])
    return Student.objects.get()


# --- where others work in the studio ----------------------------------------------------------


def test_nothing_is_kept_until_a_second_adult_confirms(client, owner, guardian_invited):
    child = walk(client, guardian_invited)
    assert not access.may_be_recorded(child)
    page = client.get(f"/child/{child.pk}/consents/").content.decode()
    assert "Nothing is kept yet" in page
    assert client.get(f"/child/{child.pk}/confirm/")["Location"] == f"/child/{child.pk}/consents/"
    confirmed = signed_in(owner).post(f"/students/{child.pk}/confirm/", {"knows": "on"})
    assert confirmed["Location"] == "/students/"
    child.refresh_from_db()
    assert access.may_be_recorded(child)
    assert child.confirmed_by == owner
    event = SecurityEvent.objects.get(kind="consent")
    assert (event.by, event.whom, event.role) == (owner.pk, child.pk, "owner")


def test_it_takes_the_word_that_the_guardian_is_known(owner_client, new_child):
    page = owner_client.post(f"/students/{new_child.pk}/confirm/", {})
    assert page.context["form"].errors["knows"]
    assert not access.may_be_recorded(new_child)


@pytest.mark.parametrize("role", [Membership.Role.ASSISTANT, Membership.Role.HELPER])
def test_who_plans_no_weeks_confirms_nobody(studio, new_child, role):
    client = signed_in(factories.make_coach(studio, role))
    assert client.post(f"/students/{new_child.pk}/confirm/", {"knows": "on"}).status_code == 404


def test_who_invited_does_not_confirm(coach_client, stranger_client, new_child):
    for client in (coach_client, stranger_client):
        found = client.post(f"/students/{new_child.pk}/confirm/", {"knows": "on"})
        assert found.status_code == 404
    assert not access.may_be_recorded(new_child)


def test_nobody_is_let_in_to_confirm(studio, owner, coach, new_child):
    """Whoever may let in staff could else make a second adult of their own the same day."""
    fresh = factories.make_coach(studio, name="Fresh")
    address, said = f"/students/{new_child.pk}/confirm/", {"knows": "on"}
    assert signed_in(fresh).post(address, said).status_code == 404
    assert list(access.confirmers_of(new_child)) == [owner]
    fresh.memberships.update(since=timezone.now() - access.SETTLED - timedelta(minutes=1))
    assert signed_in(fresh).post(address, said).status_code == 302
    told = {mail.address: invitation_mail.build(mail).body for mail in AccountMail.objects.all()}
    assert set(told) == {owner.email, new_child.guardianships.get().user.email}
    for text in told.values():
        assert "Fresh" in text
        assert "has confirmed" in text


def test_confirming_twice_is_once(owner, coach, new_child):
    assert second_adult.confirm(new_child, owner)
    assert not second_adult.confirm(new_child, coach)
    assert Student.objects.get().confirmed_by == owner


def test_the_roster_leads_there(owner_client, coach_client, new_child):
    address = f"/students/{new_child.pk}/confirm/"
    assert address in owner_client.get("/students/").content.decode()
    coaches = coach_client.get("/students/").content.decode()
    assert "waits until a second adult" in coaches
    assert str(new_child.pk) not in coaches


# --- where nobody else does -----------------------------------------------------------------


def test_alone_the_guardian_confirms_by_the_code_in_a_browser_of_her_own(client, guardian_invited):
    child = walk(client, guardian_invited)
    assert access.may_be_recorded(child)
    assert child.confirmed_by.email == "gil@example.org"


def test_not_in_a_browser_in_which_the_coach_has_signed_in(client, coach, guardian_invited):
    """A coach alone, who typed an address of his own, would else answer for 'his' child there."""
    coach.set_password("a long pass phrase")
    coach.save()
    client.post("/account/login/", {"login": coach.email, "password": "a long pass phrase"})
    client.post("/account/logout/")
    child = walk(client, guardian_invited)
    assert not access.may_be_recorded(child)
    client.get(f"/child/{child.pk}/confirm/")
    page = client.post(f"/child/{child.pk}/confirm/").text
    assert "Open this page on your own phone or computer." in page
    assert not access.may_be_recorded(child)


def test_elsewhere_a_fresh_code_is_asked(new_child, guardian):
    guardian.email = "gil@example.org"
    guardian.save()
    client, address = signed_in(guardian), f"/child/{new_child.pk}/confirm/"
    asked = client.post(address)
    assert asked["Location"].startswith("/account/again/")
    assert not access.may_be_recorded(new_child)
    client.post(asked["Location"], {"send": "1"})
    entered = client.post(asked["Location"], {"code": code_in_last_mail()})
    assert entered["Location"] == address
    assert client.post(address)["Location"] == f"/child/{new_child.pk}/consents/"
    assert access.may_be_recorded(new_child)


# --- the page of a closed record ---------------------------------------------------------------


def test_the_owner_reads_who_withdrew_when_and_what_is_due(
    wednesday, owner_client, guardian_client, child
):
    guardian_client.post(f"/child/{child.pk}/consents/", {})
    address = f"/students/{child.pk}/closed/"
    for page in ("/students/", "/house/"):
        assert address in owner_client.get(page).content.decode()
    page = owner_client.get(address).content.decode()
    assert "Gil Guardian" in page
    assert "withdrew on 26 February 2031" in page
    assert "by 28 March 2031" in page
    assert "record withdrawn" in owner_client.get("/house/events/").content.decode()


def test_it_is_the_owners_alone_and_there_is_none_while_the_record_is_open(
    owner_client, coach_client, stranger_client, child
):
    address = f"/students/{child.pk}/closed/"
    assert owner_client.get(address).status_code == 404
    child.guardianships.update(withdrawn_at=factories.NOON)
    assert owner_client.get(address).status_code == 200
    for client in (coach_client, stranger_client):
        assert client.get(address).status_code == 404


def test_the_roster_asks_as_much_for_many(
    owner_client, coach, guardian, django_assert_max_num_queries
):
    for number in range(12):
        child = factories.make_child(coach, guardian, name=f"Kim {number}")
        child.guardianships.update(withdrawn_at=factories.NOON)
    with django_assert_max_num_queries(12):
        page = owner_client.get("/students/")
    assert len(page.context["closed"]) == 12
