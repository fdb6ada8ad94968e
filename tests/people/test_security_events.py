"""Who came in and what was changed: written once, read by the owner of the studio."""

import pytest
from django.test import Client
from django.utils import timezone

from shared.people import security
from shared.people.models import SecurityEvent
from tests import factories
from tests.people.conftest import code_in_last_mail
from tests.people.test_second_factor import STUDIO
from tests.people.test_sign_in import PASSWORD, try_password

Kind = SecurityEvent.Kind


@pytest.fixture
def known(coach):
    coach.set_password(PASSWORD)
    coach.save(update_fields=["password"])
    return coach


def kinds() -> list[str]:
    return list(SecurityEvent.objects.order_by("pk").values_list("kind", flat=True))


def test_coming_in_and_going_out_are_kept(known):
    client = Client(HTTP_USER_AGENT="Mozilla/5.0 (Windows NT 10.0)", REMOTE_ADDR="192.0.2.77")
    try_password(client, known.email, "wrong")
    try_password(client, known.email, PASSWORD)
    client.post("/account/logout/")
    assert kinds() == [Kind.SIGN_IN_FAILED, Kind.SIGNED_IN, Kind.SIGNED_OUT]
    came_in = SecurityEvent.objects.get(kind=Kind.SIGNED_IN)
    assert (came_in.by, came_in.role, came_in.device) == (known.pk, "coach", "Windows computer")
    assert came_in.network == "192.0.2.0/24"
    assert came_in.request


def test_a_wrong_code_is_kept_and_says_no_code(client, student):
    client.post("/account/login/code/", {"email": student.user.email})
    wrong = "000000" if code_in_last_mail() != "000000" else "111111"
    client.post("/account/login/code/confirm/", {"code": wrong})
    event = SecurityEvent.objects.get()
    assert (event.kind, event.by, event.what) == (Kind.SIGN_IN_FAILED, student.user.pk, "code")
    assert wrong not in str(vars(event))


def test_what_the_owner_changes_is_kept(owner_client, owner, studio, coach):
    owner_client.post("/people/studio/", STUDIO | {"passkeys": "on"})
    said = {"name": "New", "email": "new@example.org", "kind": "coach"}
    owner_client.post("/people/", said)
    owner_client.post(f"/people/{coach.memberships.get().pk}/end/")
    assert kinds() == [Kind.STUDIO_CHANGED, Kind.INVITED, Kind.WORK_ENDED]
    assert SecurityEvent.objects.last().whom == coach.pk


def test_an_event_is_never_changed(coach):
    event = SecurityEvent.objects.create(kind=Kind.SIGNED_IN, by=coach.pk)
    with pytest.raises(TypeError):
        event.save()


@pytest.mark.parametrize(
    ("address", "network"),
    [
        ("192.0.2.77", "192.0.2.0/24"),
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1::/48"),
        ("", ""),
        ("<script>", ""),
    ],
)
def test_of_an_address_only_the_network_is_kept(address, network):
    assert security.network_of(address) == network


def test_the_owner_reads_those_of_the_own_studio(owner_client, coach, student):
    stranger = factories.make_coach(name="Stranger")
    for user in (coach, student.user, stranger):
        SecurityEvent.objects.create(kind=Kind.SIGNED_IN, by=user.pk)
    page = owner_client.get("/house/events/").content.decode()
    assert str(coach) in page
    assert str(student.user) in page
    assert "Stranger" not in page


def test_the_page_is_bounded_and_asks_as_much_for_many(
    owner_client, coach, django_assert_max_num_queries
):
    SecurityEvent.objects.create(kind=Kind.SIGNED_IN, by=coach.pk)
    owner_client.get("/house/events/")
    with django_assert_max_num_queries(12) as few:
        owner_client.get("/house/events/")
    SecurityEvent.objects.bulk_create(
        SecurityEvent(kind=Kind.SIGNED_IN, by=coach.pk) for _ in range(250)
    )
    with django_assert_max_num_queries(len(few)):
        page = owner_client.get("/house/events/")
    assert len(page.context["rows"]) == security.PAGE
    assert page.context["older"] == 1


# --- the house ----------------------------------------------------------------------------


def test_the_house_page_says_what_is_to_be_mended(owner_client, coach, studio):
    child = factories.make_child(coach)
    page = owner_client.get("/house/")
    words = page.content.decode()
    assert "Mails are written to files" in words or "Mails go out as" in words
    assert "Every child here has a guardian’s consent." in words
    assert "manage.py migrate" not in words
    child.guardianships.update(withdrawn_at=timezone.now())
    assert (
        "Children here without a consent that stands: 1."
        in owner_client.get("/house/").content.decode()
    )


def test_it_is_the_owners_page(coach_client, student_client):
    for client in (coach_client, student_client):
        assert client.get("/house/").status_code == 404
        assert client.get("/house/events/").status_code == 404
