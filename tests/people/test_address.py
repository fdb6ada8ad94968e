"""How phones reach the studio: chosen, kept, tried; and what is said before anybody is invited."""

import json

import pytest
from django.core.signing import TimestampSigner

from shared.outbox import send
from shared.people import invitation_mail, ready
from shared.people.models import AccountMail, Proved
from shared.site import reach
from tests.conftest import signed_in
from tests.people.conftest import mails

LAN, EVERYWHERE = "192.168.7.20", reach.EVERYWHERE[0]
PAGE = "/people/address/"


@pytest.fixture(autouse=True)
def network(monkeypatch, settings, tmp_path):
    monkeypatch.setattr(reach, "own_addresses", lambda: (LAN,))
    monkeypatch.setattr(reach, "own_names", lambda: ("desk.local",))
    settings.DATA_DIR = tmp_path


def kept(tmp_path) -> dict:
    return json.loads((tmp_path / reach.FILE).read_text())


def test_the_page_offers_this_machines_addresses_encrypted_first(owner_client):
    choices = [key for key, _ in owner_client.get(PAGE).context["form"].fields["choice"].choices]
    assert choices == [f"tls-{LAN}", "tls-desk.local", f"plain-{LAN}", "plain-desk.local",
                       "name", "here"]  # fmt: skip


def test_what_is_chosen_is_kept_and_the_page_leads_to_trusting_it(owner_client, tmp_path):
    page = owner_client.post(PAGE, {"choice": f"tls-{LAN}"})
    assert kept(tmp_path) == {"url": f"https://{LAN}:8443", "host": EVERYWHERE, "tls": "local"}
    assert f"http://{LAN}:8000/trust/" in page.text
    assert "without signal" not in page.text


def test_without_encryption_the_page_says_what_does_not_work(owner_client, tmp_path):
    page = owner_client.post(PAGE, {"choice": f"plain-{LAN}"})
    assert kept(tmp_path)["url"] == f"http://{LAN}:8000"
    assert "phones cannot log practice without signal" in page.text


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("", "Write it like https://practice.example.org"),
        ("http://practice.example.org", "Write it like https://practice.example.org"),
        ("https://practice.example.org/a", "Write it like https://practice.example.org"),
        ("https://practice.example.org:99999", "Write it like https://practice.example.org"),
        ("https://[practice", "Write it like https://practice.example.org"),
        ("https://a@practice.example.org", "Write it like https://practice.example.org"),
        ("https://practice.example.org#a", "Write it like https://practice.example.org"),
        ("https://no-such-name.invalid", "Nobody knows the name no-such-name.invalid here."),
        ("https://localhost", "localhost is this machine alone."),
        ("https://192.168.7.99", "192.168.7.99 is not this machine any more."),
    ],
)
def test_a_name_that_cannot_be_is_refused_in_words_and_nothing_is_kept(
    owner_client, tmp_path, typed, words
):
    page = owner_client.post(PAGE, {"choice": "name", "name": typed})
    assert words in page.text.replace("&#x27;", "'")
    assert typed in page.text
    assert not (tmp_path / reach.FILE).exists()


def test_what_the_environment_says_is_not_chosen_here(owner_client, monkeypatch, tmp_path):
    monkeypatch.setenv("SITE_URL", "https://practice.example.org")
    page = owner_client.post(PAGE, {"choice": "here"})
    assert "It is set on the server, as SITE_URL" in page.text
    assert not (tmp_path / reach.FILE).exists()


def test_what_it_was_started_with_is_said_and_not_overruled(owner_client, monkeypatch, tmp_path):
    """It said that the address was kept, and after the new start it was another."""
    monkeypatch.setenv("TLS", "local")
    page = owner_client.post(PAGE, {"choice": f"plain-{LAN}"})
    assert "was set at the start of this machine" in page.text
    assert not (tmp_path / reach.FILE).exists()
    owner_client.post(PAGE, {"choice": f"tls-{LAN}"})
    assert reach.now(tmp_path).url == reach.own_url(LAN, "local")


def path_of(link: str, settings) -> str:
    return link.removeprefix(settings.SITE_URL)


def test_a_phone_that_opens_the_link_is_a_tick_and_another_address_takes_it_away(
    client, db, settings
):
    settings.SITE_URL = f"http://{LAN}:8000"
    assert not ready.ticks()[0].is_done
    page = client.get(path_of(ready.link_to_prove("phone"), settings))
    assert "This phone reaches the studio." in page.text
    assert "cannot be logged here without signal" in page.text
    assert ready.ticks()[0].is_done
    settings.SITE_URL = "http://192.168.7.21:8000"
    assert not ready.ticks()[0].is_done


def test_over_tls_the_phone_hears_that_practice_needs_no_signal(client, db, settings):
    settings.SITE_URL = f"https://{LAN}:8443"
    page = client.get(path_of(ready.link_to_prove("phone"), settings), secure=True)
    assert "Practice can be logged here without signal." in page.text


PHONE = "Mozilla/5.0 (Linux; Android 16; K) Chrome/150.0.0.0 Mobile Safari/537.36"
DESK = "Mozilla/5.0 (X11; Linux x86_64) Chrome/150.0.0.0 Safari/537.36"


@pytest.mark.parametrize(
    ("at", "host", "by", "is_proved"),
    [
        (f"http://{LAN}:8000", f"{LAN}:8000", PHONE, True),
        (f"http://{LAN}:8000", f"{LAN}:8000", DESK, False),
        (f"http://{LAN}:8000", "desk.local:8000", PHONE, False),
        (f"https://{LAN}:8443", f"{LAN}:8443", PHONE, False),
        ("http://localhost:8000", "localhost:8000", PHONE, False),
    ],
)
def test_a_phone_that_came_in_by_the_address_is_the_tick_as_well(
    student, settings, at, host, by, is_proved
):
    settings.SITE_URL, settings.ALLOWED_HOSTS = at, ["*"]
    phone = signed_in(student.user)
    headers = {"Sec-Fetch-Site": "same-origin", "User-Agent": by, "Host": host}
    made = phone.post("/api/key", "{}", content_type="application/json", headers=headers)
    assert made.status_code == 201
    assert ready.ticks()[0].is_done is is_proved


@pytest.mark.parametrize("token", ["x", "phone.abc~x~y"])
def test_a_link_that_is_none_proves_nothing(client, db, token):
    assert client.get(f"/proved/{token}/").status_code == 404
    assert not Proved.objects.exists()


def test_a_link_for_another_address_proves_nothing(client, db, settings):
    link = ready.link_to_prove("phone")
    old, settings.SITE_URL = settings.SITE_URL, "https://elsewhere.example.org"
    settings.ALLOWED_HOSTS = ["*"]
    assert client.get(link.removeprefix(old)).status_code == 404
    signer = TimestampSigner(salt="shared.people.ready", sep="~")
    assert client.get(f"/proved/{signer.sign('what.ever')}/").status_code == 404


def test_a_test_mail_goes_out_and_its_link_is_the_third_tick(owner, owner_client, client, settings):
    settings.EMAIL_HOST = "mail.example.org"
    settings.DEFAULT_FROM_EMAIL = "Between Lessons <practice@example.org>"
    owner_client.post("/people/address/test-mail/")
    send.send_due()
    assert mails()[-1].to == [owner.email]
    _, goes_out, arrived = ready.ticks()
    assert (goes_out.is_done, arrived.is_done) == (True, False)
    (line,) = [line for line in mails()[-1].body.splitlines() if "/proved/" in line]
    assert "The test mail has arrived." in client.get(path_of(line, settings)).text
    assert ready.ticks()[2].is_done
    settings.EMAIL_HOST = "other.example.org"
    assert not ready.ticks()[2].is_done


@pytest.mark.parametrize(
    "sender",
    [
        "practice@192.168.7.20",
        "practice@[192.168.7.20]",
        "practice@[::1]",
        "practice@localhost",
        "p@desk.local",
    ],
)
def test_mails_from_an_address_that_no_server_knows_do_not_go_out(db, settings, sender):
    """RFC 5321, 2.3.5: the name after the @ is one that is resolved."""
    settings.EMAIL_HOST = "mail.example.org"
    settings.DEFAULT_FROM_EMAIL = f"Between Lessons <{sender}>"
    tick = ready.ticks()[1]
    assert not tick.is_done
    assert tick.words.startswith("Mails come from ")
    assert sender in tick.words
    assert "MAIL_FROM=" in tick.remedy


@pytest.fixture
def into_files(settings, tmp_path):
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    settings.EMAIL_FILE_PATH = tmp_path / "mail"


def test_no_page_says_that_a_file_is_on_its_way(coach_client, client, invited, into_files):
    asked = coach_client.post(f"/invitations/{invited.pk}/send/", follow=True).text
    send.send_due()
    written = coach_client.get(f"/invitations/{invited.pk}/").text
    for page in (asked, written):
        assert "No mail server is set: the mail lies as a file in" in page
        assert "on its way" not in page
        assert "took the mail" not in page
    assert AccountMail.objects.get().state == "sent"
    link = coach_client.get(f"/invitations/{invited.pk}/").context["link"]
    address = "/join/" + link.split("/join/")[1]
    page = client.post(address, {"email": "ada@example.org"}, follow=True).text
    assert "is a file on the studio’s machine" in page
    assert "on their way" not in page
    code = client.post("/account/login/code/", {"email": "ada@example.org"}, follow=True).text
    assert "on their way" not in code
    reset = client.post("/account/password/reset/", {"email": "a@example.org"}, follow=True).text
    assert "a mail waits on the studio’s machine" in reset
    assert "on its way" not in reset
    assert not ready.ticks()[1].is_done


def test_an_invitation_says_that_only_this_machine_opens_it(coach_client, invited, settings):
    page = coach_client.get(f"/invitations/{invited.pk}/").text
    assert "Only this machine can open this link, and no phone." in page
    assert "Before you invite" in page
    settings.SITE_URL = "https://practice.example.org"
    settings.DEFAULT_FROM_EMAIL = "practice@example.org"
    for what in Proved.What:
        Proved.objects.create(what=what, of=ready._of(what))
    AccountMail.objects.create(
        address="a@example.org", state="sent", message_id="<1@a>",
        expires_at="2099-01-01T00:00Z",
    )  # fmt: skip
    page = coach_client.get(f"/invitations/{invited.pk}/", headers={"host": "localhost"}).text
    assert "Only this machine" not in page
    assert "Before you invite" not in page


def test_an_invitation_says_where_alone_it_opens_and_how_a_phone_comes_to_trust_it(
    coach_client, invited, settings
):
    settings.SITE_URL = "https://practice.example.org"
    path = f"/invitations/{invited.pk}/"
    invitation_mail.send_invitation(invited)
    everywhere = coach_client.get(path, headers={"host": "localhost"}).text + mails()[-1].body
    assert "own network" not in everywhere
    settings.REACH = reach.SiteAddress(f"https://{LAN}:8443", EVERYWHERE, "local")
    settings.SITE_URL = settings.REACH.url
    page = coach_client.get(path, headers={"host": "localhost"}).text
    assert "It opens in the studio’s own network alone." in page
    assert "It opens once, in the studio’s own network, until" in page
    assert f'Lead it first to <a href="http://{LAN}:8000/trust/">' in page
    invitation_mail.send_invitation(invited)
    assert "If your phone warns you there, go no further." in mails()[-1].body


def test_a_mail_that_waits_takes_no_tick_away(db, settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.DEFAULT_FROM_EMAIL = "practice@example.org"
    for state in ("sent", "due"):
        AccountMail.objects.create(
            address="a@example.org", state=state, message_id=f"<{state}@a>",
            expires_at="2099-01-01T00:00Z",
        )  # fmt: skip
    assert ready.ticks()[1].is_done
    AccountMail.objects.filter(state="due").update(why="no connection")
    assert ready.ticks()[1].words == "The last mail did not go out: no connection."


def test_the_certificate_is_offered_only_where_there_is_one(client, db, settings, tmp_path):
    assert client.get("/trust/").status_code == 404
    from shared.site import certificates

    certificates.prepare(tmp_path, [LAN])
    settings.REACH = reach.SiteAddress(f"https://{LAN}:8443", EVERYWHERE, "local")
    settings.SITE_URL = settings.REACH.url
    settings.SECURE_SSL_REDIRECT = True
    settings.SECURE_REDIRECT_EXEMPT = [r"^health/", r"^trust/"]
    assert f'href="https://{LAN}:8443"' in client.get("/trust/").text
    taken = client.get("/trust/between-lessons.crt")
    assert taken["Content-Type"] == "application/x-x509-ca-cert"
    assert taken.content.startswith(b"-----BEGIN CERTIFICATE-----")
    assert b"PRIVATE" not in taken.content


def test_the_way_to_the_address_with_tls_is_not_kept_by_a_browser(client, settings):
    """It was a bare 301: after another choice, localhost led to the old address for good."""
    settings.SECURE_SSL_REDIRECT = True
    settings.SECURE_SSL_HOST = f"{LAN}:8443"
    answer = client.get("/", headers={"host": "localhost"})
    assert answer["Location"] == f"https://{LAN}:8443/"
    assert answer["Cache-Control"] == "no-store"
