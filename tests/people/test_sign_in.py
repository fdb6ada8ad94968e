"""Signing in: by password, by code; what is not offered; what gives nothing away."""

import socket
from datetime import timedelta

import pytest
import time_machine
from django.contrib.auth.hashers import MD5PasswordHasher
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import NoReverseMatch, reverse
from django.utils import timezone

from coaching.reminders import plan
from coaching.reminders.due import ReminderKind
from shared.outbox import send
from shared.people import known_devices
from shared.people.models import AccountMail
from tests import factories
from tests.factories import NOON
from tests.people.conftest import code_in_last_mail, mails, path_of

PASSWORD = "heel toe heel toe"
LOGIN = "/account/login/"
CODE = "/account/login/code/"
CONFIRM = "/account/login/code/confirm/"
RESET = "/account/password/reset/"


@pytest.fixture
def known(coach):
    coach.set_password(PASSWORD)
    coach.save(update_fields=["password"])
    return coach


def try_password(client, email, password, **headers):
    return client.post(LOGIN, {"login": email, "password": password}, **headers)


def words_of(page) -> str:
    """The page without what is new on each load."""
    import re

    return re.sub(r'(csrfmiddlewaretoken" value|nonce)="[^"]*"', "", page.content.decode())


def test_a_coach_signs_in_by_password_and_out(client, known):
    page = try_password(client, known.email.upper(), PASSWORD)
    assert page["Location"] == "/"
    assert client.get("/students/").status_code == 200
    assert client.get("/account/logout/").status_code == 200  # Asks; does nothing yet.
    assert client.get("/students/").status_code == 200
    client.post("/account/logout/")
    assert client.get("/students/").status_code == 302


def test_a_student_signs_in_by_code(client, student):
    page = client.post(CODE, {"email": student.user.email})
    assert page["Location"] == CONFIRM
    assert mails()[0].to == [student.user.email]
    assert client.post(CONFIRM, {"code": code_in_last_mail()})["Location"] == "/"
    assert client.get("/settings/").status_code == 200


def test_a_code_works_once_and_only_where_it_was_asked_for(client, student):
    client.post(CODE, {"email": student.user.email})
    code = code_in_last_mail()
    elsewhere = Client()
    assert elsewhere.post(CONFIRM, {"code": code})["Location"] == CODE
    client.post(CONFIRM, {"code": code})
    client.post("/account/logout/")
    assert client.post(CONFIRM, {"code": code})["Location"] == CODE
    assert client.get("/settings/").status_code == 302


def test_a_code_ends_after_five_wrong_tries(client, student):
    client.post(CODE, {"email": student.user.email})
    code = code_in_last_mail()
    wrong = "000000" if code != "000000" else "111111"
    for _ in range(5):
        client.post(CONFIRM, {"code": wrong})
    assert client.post(CONFIRM, {"code": code})["Location"] == CODE


def test_the_session_is_a_new_one_after_signing_in(client, known):
    client.get(LOGIN)
    client.session["before"] = "kept"
    client.session.save()
    before = client.session.session_key
    try_password(client, known.email, PASSWORD)
    assert client.session.session_key != before


def test_a_copied_session_ends_with_signing_out(client, known):
    try_password(client, known.email, PASSWORD)
    copy = Client()
    copy.cookies = client.cookies.copy()
    client.post("/account/logout/")
    assert copy.get("/students/").status_code == 302


def test_a_new_password_ends_the_other_sessions(client, known):
    try_password(client, known.email, PASSWORD)
    other = Client()
    try_password(other, known.email, PASSWORD)
    said = {"oldpassword": PASSWORD, "password1": "driver wedge putter"}
    said["password2"] = said["password1"]
    assert client.post("/account/password/change/", said)["Location"] == "/settings/"
    assert client.get("/students/").status_code == 200
    assert other.get("/students/").status_code == 302


def test_a_closed_sign_in_ends_at_the_next_request(coach_client, coach):
    coach.is_active = False
    coach.save(update_fields=["is_active"])
    assert coach_client.get("/students/").status_code == 302


# --- giving nothing away ------------------------------------------------------


def test_a_wrong_password_and_an_unknown_address_look_alike(known):
    wrong = try_password(Client(), known.email, "not the password")
    unknown = try_password(Client(), "nobody@example.org", "not the password")
    assert wrong.status_code == unknown.status_code == 200
    assert words_of(wrong).replace(known.email, "x") == words_of(unknown).replace(
        "nobody@example.org", "x"
    )


@pytest.mark.parametrize("address", [CODE, RESET])
def test_asking_for_mail_looks_alike_for_known_and_unknown(known, address):
    pages = []
    for email in (known.email, "nobody@example.org"):
        page = Client().post(address, {"email": email}, follow=True)
        pages.append((page.redirect_chain, words_of(page).replace(email, "x")))
    assert pages[0] == pages[1]


@pytest.mark.parametrize("address", [CODE, RESET])
def test_strangers_are_not_mailed(known, address):
    for email in (known.email, "nobody@example.org"):
        assert Client().post(address, {"email": email}).status_code == 302
    assert [m.to for m in mails()] == [[known.email]]


@pytest.mark.parametrize("address", [CODE, RESET])
def test_no_request_ever_speaks_to_the_mail_server(known, monkeypatch, address):
    """It would wait for one that is silent, and tell a known address from an unknown one."""
    monkeypatch.setattr(
        "django.core.mail.backends.locmem.EmailBackend.send_messages",
        lambda *_: pytest.fail("sent by the request"),
    )
    assert Client().post(address, {"email": known.email}).status_code == 302
    monkeypatch.undo()
    assert len(mails()) == 1


def test_a_code_for_an_unknown_address_is_written_down_just_the_same(known):
    written = []
    for email in (known.email, "nobody@example.org"):
        with CaptureQueriesContext(connection) as queries:
            Client().post(CODE, {"email": email})
        written.append([q["sql"].split("(")[0] for q in queries if 'INTO "people_' in q["sql"]])
    assert written[0] == written[1] != []
    assert AccountMail.objects.get(address="nobody@example.org").state == "cancelled"


def test_what_waits_in_the_outbox_cannot_be_read_in_the_database(client, student):
    client.post(CODE, {"email": student.user.email})
    waiting = AccountMail.objects.get()
    sealed = waiting.sealed
    code = code_in_last_mail()
    assert code not in sealed
    waiting.refresh_from_db()
    assert (waiting.state, waiting.sealed) == ("sent", "")


def test_a_mail_sealed_by_the_key_before_is_still_read(client, student, settings):
    client.post(CODE, {"email": student.user.email})
    settings.SECRET_KEY_FALLBACKS, settings.SECRET_KEY = [settings.SECRET_KEY], "another"
    assert len(mails()) == 1


def test_a_mail_that_nobody_can_read_any_more_is_not_sent(client, student, settings):
    client.post(CODE, {"email": student.user.email})
    settings.SECRET_KEY = "another"
    assert mails() == []
    assert AccountMail.objects.get().state == "cancelled"


@pytest.mark.parametrize("page", [CONFIRM, "join"])
def test_while_the_mail_server_is_silent_the_page_says_so(student, invited, settings, page):
    """The request is answered at once, and the code goes out when the server is back."""
    client = Client()
    if page == "join":
        client.post(path_of(invited), {"email": "ada@example.org"})
        page = f"{path_of(invited)}code/"
    else:
        client.post(CODE, {"email": student.user.email})
    assert "does not answer" not in client.get(page).text
    with (
        time_machine.travel(timezone.now(), tick=False) as clock,
        socket.create_server(("127.0.0.1", 0)) as mute,
    ):
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = mute.getsockname()
        settings.EMAIL_TIMEOUT = 0.2
        assert send.send_due() == {"due": 1}
        assert "does not answer" in client.get(page).text
        settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
        assert mails() == []  # It is left alone for a while.
        clock.shift(timedelta(minutes=3))
        assert len(mails()) == 1
    assert "does not answer" not in client.get(page).text


def test_a_code_is_not_mailed_when_it_opens_nothing_any_more(client, student):
    client.post(CODE, {"email": student.user.email})
    with time_machine.travel(timezone.now() + timedelta(minutes=11)):
        assert mails() == []
    assert AccountMail.objects.get().state == "expired"


def test_codes_go_before_reminders(coach, student):
    plan.make(
        coach, ReminderKind.PAIN_TOLD, NOON.date(), timezone.now() + timedelta(hours=1)
    ).save()
    Client().post(CODE, {"email": student.user.email})
    _, first = send.claim()
    assert first.address == student.user.email


def test_an_unknown_address_costs_as_much_hashing_as_a_known_one(known, monkeypatch):
    """The hash is what takes time; without it, the answer's speed would tell."""
    hashed = []
    encode = MD5PasswordHasher.encode
    monkeypatch.setattr(
        MD5PasswordHasher, "encode", lambda *said: hashed.append(1) or encode(*said)
    )
    try_password(Client(), known.email, "not the password")
    for_known = len(hashed)
    try_password(Client(), "nobody@example.org", "not the password")
    assert for_known == len(hashed) - for_known == 1


# --- limits -------------------------------------------------------------------


def test_five_wrong_passwords_and_no_sixth_is_looked_at(client, known, monkeypatch):
    variants = [known.email, known.email.upper(), f" {known.email} ", known.email, known.email]
    for variant in variants:
        assert try_password(client, variant, "wrong").status_code == 200
    from shared.people.models import User

    monkeypatch.setattr(User, "check_password", lambda *_: pytest.fail("hashed"))
    page = try_password(client, known.email, PASSWORD)
    assert page.status_code == 429
    assert int(page["Retry-After"]) > 0
    assert b"Too many tries" in page.content


def test_one_address_of_the_net_gets_twenty_wrong_ones_an_hour(client, db):
    answers = [
        try_password(client, f"nobody{number}@example.org", "wrong").status_code
        for number in range(22)
    ]
    assert answers == [200] * 20 + [429] * 2


def test_a_forged_forwarding_header_is_no_other_address(client, db):
    for number in range(20):
        forged = {"HTTP_X_FORWARDED_FOR": f"10.0.0.{number}"}
        try_password(client, f"nobody{number}@example.org", "wrong", **forged)
    page = try_password(client, "last@example.org", "wrong", HTTP_X_FORWARDED_FOR="10.9.9.9")
    assert page.status_code == 429


def test_right_passwords_do_not_use_tries_up(known):
    for _ in range(8):
        assert try_password(Client(), known.email, PASSWORD).status_code == 302


def test_limits_are_counted_in_the_database(client, known):
    from django.db import connection

    for _ in range(5):
        try_password(client, known.email, "wrong")
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM shared_cache")
        assert cursor.fetchone()[0] > 0
        cursor.execute("DELETE FROM shared_cache")
    assert try_password(client, known.email, PASSWORD).status_code == 302


def test_codes_are_mailed_five_times_in_five_minutes(client, student):
    for _ in range(5):
        assert client.post(CODE, {"email": student.user.email}).status_code == 302
    assert client.post(CODE, {"email": student.user.email}).status_code == 429
    assert len(mails()) == 5


def test_ten_wrong_codes_an_hour_for_one_account_from_wherever(student):
    """Five tries a code, but not five for each of endless codes."""
    looked_at = 0
    for number in range(20):
        stranger = Client(REMOTE_ADDR=f"10.0.0.{number}")
        stranger.post(CODE, {"email": student.user.email})
        for _ in range(4):
            page = stranger.post(CONFIRM, {"code": "000000"})
            looked_at += page.status_code == 200
    assert looked_at == 10


def test_somebodys_typos_do_not_lock_out_a_known_browser(known, student):
    """By password and by code: a browser that signed in before has tries of its own."""
    by_password, by_code = Client(), Client()
    try_password(by_password, known.email, PASSWORD)
    by_password.post("/account/logout/")
    by_code.post(CODE, {"email": student.user.email})
    by_code.post(CONFIRM, {"code": code_in_last_mail()})
    by_code.post("/account/logout/")
    for number in range(30):
        stranger = Client(REMOTE_ADDR=f"10.0.1.{number}")
        try_password(stranger, known.email, "wrong")
        stranger.post(CODE, {"email": student.user.email})
        stranger.post(CONFIRM, {"code": "000000"})
    assert try_password(Client(), known.email, PASSWORD).status_code == 429
    assert try_password(by_password, known.email, PASSWORD).status_code == 302
    by_code.post(CODE, {"email": student.user.email})
    assert by_code.post(CONFIRM, {"code": code_in_last_mail()})["Location"] == "/"


def test_a_made_up_cookie_is_no_known_browser(client, known):
    device = known_devices.Device("mine").knowing(known.email)
    client.cookies[known_devices.COOKIE] = f"{device}:made-up"
    for _ in range(5):
        try_password(Client(), known.email, "wrong")
    assert try_password(client, known.email, PASSWORD).status_code == 429


# --- mails and links ----------------------------------------------------------


def test_links_in_mails_are_the_sites_whatever_was_asked(client, known, settings):
    settings.SITE_URL = "https://practice.example.org"
    settings.ALLOWED_HOSTS = ["*"]
    asked = {"HTTP_HOST": "evil.example", "HTTP_X_FORWARDED_HOST": "evil.example"}
    client.post(RESET, {"email": known.email}, **asked)
    client.post(CODE, {"email": known.email}, **asked)
    said = "\n".join(f"{m.subject} {m.body} {m.from_email}" for m in mails())
    assert "https://practice.example.org/account/password/reset/key/" in said
    assert "evil" not in said


def test_a_host_that_is_not_ours_is_refused(client, db, settings):
    settings.ALLOWED_HOSTS = ["practice.example.org"]
    assert client.get(LOGIN, headers={"host": "evil.example"}).status_code == 400


def test_a_forgotten_password_is_set_anew_once(client, known):
    client.post(RESET, {"email": known.email})
    link = mails()[0].body.split("http://localhost:8000")[1].split()[0]
    page = client.get(link)
    assert page.status_code == 302  # The key goes into the session and out of the address.
    said = {"password1": "driver wedge putter", "password2": "driver wedge putter"}
    assert client.post(page["Location"], said).status_code == 302
    known.refresh_from_db()
    assert known.check_password("driver wedge putter")
    assert b"was used, or is too old" in Client().get(link).content


@pytest.mark.parametrize(
    "target",
    [
        "//evil.example",
        "https://evil.example",
        "/\\evil.example",
        "https:evil.example",
        "javascript:alert(1)",
        "http:///evil.example",
        "\thttps://evil.example",
        "https://localhost@evil.example",
        "///evil.example",
    ],
)
def test_signing_in_leads_nowhere_else(known, target):
    said = {"login": known.email, "password": PASSWORD, "next": target}
    assert Client().post(LOGIN, said)["Location"] == "/"
    out = Client().post("/account/logout/", {"next": target})
    assert out["Location"] == "/account/signed-out/"


def test_signing_in_leads_back_to_the_page_asked_for(known):
    page = Client().get(f"{LOGIN}?next=/settings/").content.decode()
    assert page.count('name="next" value="/settings/"') == 3  # By code, password and passkey.
    said = {"login": known.email, "password": PASSWORD, "next": "/settings/"}
    assert Client().post(LOGIN, said)["Location"] == "/settings/"


def test_a_form_from_elsewhere_is_refused(known):
    strict = Client(enforce_csrf_checks=True)
    assert try_password(strict, known.email, PASSWORD).status_code == 403


# --- what there is, and what there is not -------------------------------------


@pytest.mark.parametrize(
    "address",
    ["signup/", "email/", "confirm-email/", "confirm-email/x/", "phone/verify/", "second/totp/"],
)
def test_pages_of_the_library_that_we_do_not_use_do_not_exist(client, coach_client, address):
    for one in (client, coach_client):
        assert one.get(f"/account/{address}").status_code == 404
        assert one.post(f"/account/{address}", {"email": "x@example.org"}).status_code == 404


@pytest.mark.parametrize("name", ["account_email", "mfa_activate_totp", "account_confirm_email"])
def test_nor_do_their_names(name):
    with pytest.raises(NoReverseMatch):
        reverse(name)


@pytest.mark.parametrize(
    "name",
    [
        "account_change_password",
        "account_reauthenticate",
        "mfa_list_webauthn",
        "mfa_view_recovery_codes",
    ],
)
def test_our_own_pages_for_what_we_use(known, client, name):
    try_password(client, known.email, PASSWORD)
    page = client.get(reverse(name))
    if name == "mfa_view_recovery_codes":  # None until there is a passkey.
        assert page.status_code in {302, 404}
        return
    assert page.status_code == 200
    assert b"masthead-name" in page.content


def test_adding_a_passkey_offers_the_browser_its_task(known, client):
    try_password(client, known.email, PASSWORD)
    asked = client.get("/account/passkeys/add/")["Location"]
    assert asked.startswith("/account/reauthenticate/")
    assert client.post(asked, {"password": "wrong"}).context["form"].errors
    page = client.post(asked, {"password": PASSWORD}, follow=True)
    assert page.redirect_chain[-1][0] == "/account/passkeys/add/"
    assert page.context["js_data"]["creation_options"]["publicKey"]["rp"]["id"] == "testserver"
    assert b"Add a passkey" in page.content


def test_the_sign_in_page_offers_a_passkey_without_inline_scripts(client, db):
    page = client.get(LOGIN)
    assert b'id="passkey_login"' in page.content
    policy = page["Content-Security-Policy"]
    assert "unsafe-inline" not in policy
    task = client.get("/account/passkeys/login/", headers={"accept": "application/json"})
    assert task.json()["request_options"]["publicKey"]["challenge"]


@pytest.mark.parametrize("password", ["short", "password123", "1234567890"])
def test_weak_passwords_are_refused(client, known, password):
    try_password(client, known.email, PASSWORD)
    said = {"oldpassword": PASSWORD, "password1": password, "password2": password}
    page = client.post("/account/password/change/", said)
    assert page.context["form"].errors


def test_long_and_unusual_passwords_are_kept_as_typed(client, known):
    try_password(client, known.email, PASSWORD)
    long = "  päss wörd " + "x" * 64 + " "
    said = {"oldpassword": PASSWORD, "password1": long, "password2": long}
    assert client.post("/account/password/change/", said).status_code == 302
    known.refresh_from_db()
    assert known.check_password(long)
    assert not known.check_password(long.strip())


def test_two_people_of_one_address_there_are_not(known):
    from django.db import IntegrityError, transaction

    with pytest.raises(IntegrityError), transaction.atomic():
        factories.make_user(email=known.email)


@pytest.mark.parametrize("address", [LOGIN, CODE, RESET, "/account/password/change/"])
def test_forms_speak_our_words(known, client, address):
    if "change" in address:
        try_password(client, known.email, PASSWORD)
    page = client.get(address).content.decode().partition("<main")[2]
    assert "placeholder" not in page
    assert "Your e-mail" in page or "Password of now" in page
