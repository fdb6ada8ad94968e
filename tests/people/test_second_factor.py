"""Passkeys that a studio asks for, and what is asked before a way in is changed."""

from datetime import timedelta

import pytest
import time_machine
from allauth.mfa.adapter import get_adapter
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.signals import authenticator_used
from django.contrib.messages import get_messages
from django.contrib.messages.storage.fallback import FallbackStorage
from django.core.management import CommandError, call_command
from django.test import Client
from django.utils import timezone

from shared.kit.text import capital, number
from shared.people import first_run
from shared.people.models import Membership, Studio
from tests import factories
from tests.conftest import signed_in
from tests.factories import NOON
from tests.people.conftest import code_in_last_mail, mails
from tests.people.test_sign_in import PASSWORD, try_password

DAY = timedelta(days=1)
STUDIO = {
    "name": "Test room",
    "time_zone": "Europe/Paris",
    "first_weekday": "0",
    "safeguarding_contact": "",
    "reply_time": "soon",
    "bays_checked_on": "",
}


@pytest.fixture
def clock(db):
    with time_machine.travel(NOON, tick=False) as moving:
        yield moving


@pytest.fixture
def asking(clock, studio):
    Studio.objects.update(passkeys_since=timezone.now())
    Membership.objects.update(since=timezone.now() - 90 * DAY)
    return studio


def give_passkey(user) -> None:
    Authenticator.objects.create(user=user, type=Authenticator.Type.WEBAUTHN, data={})


def test_nobody_is_asked_until_the_owner_asks(coach_client):
    page = coach_client.get("/students/")
    assert page.status_code == 200
    assert b"asks everybody who works here for a passkey" not in page.content


def test_the_owner_asks_for_them_and_no_longer(owner_client, studio):
    owner_client.post("/people/studio/", STUDIO | {"passkeys": "on"})
    studio.refresh_from_db()
    since = studio.passkeys_since
    assert since is not None
    owner_client.post("/people/studio/", STUDIO | {"passkeys": "on"})
    studio.refresh_from_db()
    assert studio.passkeys_since == since  # The week does not begin again with each change.
    owner_client.post("/people/studio/", STUDIO)
    studio.refresh_from_db()
    assert studio.passkeys_since is None


def test_there_is_a_week_and_then_nothing_is_shown_without_one(asking, clock, coach, coach_client):
    page = coach_client.get("/students/").content.decode()
    assert "Add yours by Wednesday 5 March" in page
    clock.shift(8 * DAY)
    assert coach_client.get("/students/")["Location"] == "/account/passkey-needed/"
    assert coach_client.post("/students/new/", {"name": "x"})["Location"].endswith("-needed/")
    assert coach_client.get("/account/passkey-needed/").status_code == 200
    assert coach_client.get("/settings/").status_code == 200
    answer = coach_client.get(f"/api/students/{factories.make_student(coach).pk}/load")
    assert (answer.status_code, answer.json()["code"]) == (403, "passkey")
    give_passkey(coach)
    assert coach_client.get("/students/").status_code == 200


def test_somebody_new_has_a_week_of_their_own(asking, clock, studio):
    clock.shift(30 * DAY)
    assert signed_in(factories.make_coach(studio)).get("/students/").status_code == 200


def test_students_and_guardians_are_not_asked(asking, clock, coach):
    student = factories.make_student(coach)
    child = factories.make_child(coach)
    clock.shift(30 * DAY)
    assert signed_in(student.user).get(f"/students/{student.pk}/wedges/mine/").status_code != 302
    assert signed_in(child.guardianships.get().user).get(f"/child/{child.pk}/").status_code == 200


def test_a_public_server_asks_from_its_first_day(db, settings):
    settings.PRODUCTION = True
    made = {"name": "A", "time_zone": "UTC", "first_weekday": 0, "owner_name": "O"}
    owner = first_run.make_studio(**made, email="o@example.org", password=PASSWORD)
    assert Studio.objects.get().passkeys_since is not None
    assert signed_in(owner).get("/students/").status_code == 200


def test_a_code_by_mail_does_not_go_round_the_passkey(client, coach):
    give_passkey(coach)
    client.post("/account/login/code/", {"email": coach.email})
    answer = client.post("/account/login/code/confirm/", {"code": code_in_last_mail()})
    assert answer["Location"].startswith("/account/second/")
    assert client.get("/students/").status_code == 302


# --- before a way in is changed --------------------------------------------------------------

WAYS_IN = ["/account/password/set/", "/account/passkeys/add/"]


@pytest.mark.parametrize("address", WAYS_IN)
def test_whoever_signs_in_by_code_enters_one_more(student_client, student, address):
    asked = student_client.get(address)["Location"]
    assert asked == f"/account/again/?next={address.replace('/', '%2F')}"
    student_client.post(asked, {"send": "1"})
    assert mails()[-1].to == [student.user.email]
    wrong = "000000" if code_in_last_mail() != "000000" else "111111"
    assert student_client.post(asked, {"code": wrong}).context["form"].errors
    assert student_client.get(address).status_code == 302
    assert student_client.post(asked, {"code": code_in_last_mail()})["Location"] == address
    assert student_client.get(address).status_code == 200


def test_it_is_asked_again_after_five_minutes(clock, student):
    client = Client()
    client.post("/account/login/code/", {"email": student.user.email})
    client.post("/account/login/code/confirm/", {"code": code_in_last_mail()})
    assert client.get("/account/password/set/").status_code == 200
    clock.shift(timedelta(minutes=6))
    assert client.get("/account/password/set/").status_code == 302


def test_somebody_elses_code_proves_nothing(student_client, student, coach):
    other = signed_in(factories.make_student(coach, "Other").user)
    other.post("/account/again/", {"send": "1"})
    code = code_in_last_mail()
    student_client.post("/account/again/", {"send": "1"})
    if code != code_in_last_mail():
        page = student_client.post("/account/again/", {"code": code})
        assert page.context["form"].errors


def test_a_change_of_the_password_is_mailed(client, coach):
    coach.set_password(PASSWORD)
    coach.save(update_fields=["password"])
    try_password(client, coach.email, PASSWORD)
    said = {"oldpassword": PASSWORD, "password1": "driver wedge putter"}
    client.post("/account/password/change/", said | {"password2": said["password1"]})
    (letter,) = mails()
    assert letter.to == [coach.email]
    assert "The password of your sign-in was changed." in letter.body
    assert "open Settings, then Devices." in letter.body


def test_a_first_password_is_mailed(client, student):
    client.post("/account/login/code/", {"email": student.user.email})
    client.post("/account/login/code/confirm/", {"code": code_in_last_mail()})
    said = {"password1": "driver wedge putter", "password2": "driver wedge putter"}
    client.post("/account/password/set/", said)
    assert "A password was set" in mails()[-1].body


# --- a passkey that was lost --------------------------------------------------------------


@pytest.fixture
def proved(owner_client, owner):
    """The owner, who has just said who they are."""
    asked = owner_client.get("/account/again/?next=/people/")
    assert asked.status_code == 200
    owner_client.post("/account/again/?next=/people/", {"send": "1"})
    said = {"code": code_in_last_mail()}
    assert owner_client.post("/account/again/?next=/people/", said)["Location"] == "/people/"
    return owner_client


def test_the_owner_takes_anothers_lost_passkey_away(proved, coach, coach_client):
    give_passkey(coach)
    address = f"/people/{coach.memberships.get().pk}/passkey-lost/"
    assert address in proved.get("/people/").content.decode()
    assert proved.post(address)["Location"] == "/people/"
    assert not Authenticator.objects.filter(user=coach).exists()
    assert coach_client.get("/students/")["Location"].startswith("/account/login/")
    told = mails()[-1]
    assert (told.to, told.subject) == ([coach.email], "Your passkey was taken away")


def test_first_the_owner_says_who_they_are(owner_client, coach):
    give_passkey(coach)
    asked = owner_client.post(f"/people/{coach.memberships.get().pk}/passkey-lost/")
    assert asked["Location"].startswith("/account/again/")
    assert Authenticator.objects.filter(user=coach).exists()


def test_not_ones_own_and_not_of_who_works_elsewhere_too(proved, owner, coach):
    for user in (owner, coach):
        give_passkey(user)
    assert proved.post(f"/people/{owner.memberships.get().pk}/passkey-lost/").status_code == 404
    here = coach.memberships.get()
    Membership.objects.create(studio=factories.make_studio(), user=coach, role="coach")
    page = proved.post(f"/people/{here.pk}/passkey-lost/", follow=True)
    assert "in another studio too" in page.content.decode()
    assert Authenticator.objects.count() == 2


def test_the_shell_takes_the_owners_away(owner, capsys):
    give_passkey(owner)
    call_command("reset_passkey", owner.email.upper())
    assert not Authenticator.objects.exists()
    with pytest.raises(CommandError):
        call_command("reset_passkey", "nobody@example.org")


def test_recovery_codes_lie_sealed_and_those_of_before_still_fit(coach, settings):
    """Whoever reads the table, or a backup of it, has no codes."""
    codes = RecoveryCodes.activate(coach)
    seed = codes.instance.data["seed"]
    wanted = codes.generate_codes()
    assert seed.startswith("sealed ")
    assert wanted[0] not in str(codes.instance.data)
    settings.SECRET_KEY, settings.SECRET_KEY_FALLBACKS = "another key", [settings.SECRET_KEY]
    assert codes.validate_code(wanted[0])
    assert not codes.validate_code(wanted[0])
    settings.SECRET_KEY_FALLBACKS = []
    assert not codes.validate_code(wanted[1])
    assert codes.generate_codes() != codes.generate_codes()  # Nor one made from what lies there.
    codes.instance.data["seed"] = "as it was kept before"
    codes.instance.save()
    assert codes.validate_code(codes.generate_codes()[1])


def test_a_recovery_code_says_how_many_are_left_and_a_wrong_one_mentions_no_mail(coach, rf):
    codes = RecoveryCodes.activate(coach)
    request = rf.post("/account/second/")
    request.user, request.session = coach, {}
    request._messages = FallbackStorage(request)
    left = len(codes.get_unused_codes())
    authenticator_used.send(
        Authenticator, request=request, user=coach, authenticator=codes.instance,
        reauthenticated=False, passwordless=False,
    )  # fmt: skip
    (said,) = (str(message) for message in get_messages(request))
    assert said.startswith(
        f"{capital(number(left))} recovery codes are left. Is your passkey lost?"
    )
    wrong = get_adapter().error_messages["incorrect_code"]
    assert "mail" not in wrong
    assert "recovery codes" in wrong
