"""A phone that asked for it is nudged instead of mailed; what no phone takes goes as a mail."""

import ssl
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from coaching.reminders import plan
from coaching.reminders.models import Notice, ReminderRule, Told
from coaching.reminders.sent import sent
from practice.log.models import Line, LogKey
from practice.phone import child_phones, keys, push
from practice.phone.models import PushDevice
from shared.outbox import push_sender, send
from shared.people import access
from shared.site import certificates, guarded
from tests import factories
from tests.conftest import signed_in
from tests.outbox.push_service import Browser, claims_of, running
from tests.reminders.conftest import DUE, give_week
from tests.reminders.test_written import clip_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def service(tmp_path, monkeypatch):
    """Reached although it is no address on the internet, by a certificate that is made here."""
    with running(tmp_path) as pushed:
        roots = ssl.create_default_context(cafile=certificates.authority_file(tmp_path))
        monkeypatch.setattr(guarded, "is_public", lambda address: True)
        monkeypatch.setattr(guarded, "trusted", lambda: roots)
        yield pushed


@pytest.fixture
def browser() -> Browser:
    return Browser()


def phone_of(student, service, browser, user=None, name="one") -> LogKey:
    recordable = access.recordable(student)
    _, key = keys.make_key(user=user or student.user, student=recordable, browser="b1")
    PushDevice.objects.create(key=key, endpoint=service.endpoint(name), **browser.keys)
    return key


def fresh() -> Notice:
    return Notice.objects.get()


def test_a_phone_that_asked_is_nudged_and_no_mail_goes(due, service, browser, sink, at_five):
    phone_of(due, service, browser)
    plan.tick()
    assert send.send_due() == {"sent": 1}
    assert send.send_due() == {}
    assert sink.taken == []
    (word,) = service.shown(browser)
    assert word["title"] == "Practice today: part 1, 12 minutes"
    assert word["body"] == "Part 1, 12 minutes: Wall-back turns."
    assert word["navigate"].endswith(f"/log#for={due.pk}")
    assert "to the phone" in fresh().why
    assert "to the phone" in sent(due, timezone.get_current_timezone())[0].became


def test_the_message_bears_what_the_standards_ask(due, service, browser, at_five):
    phone_of(due, service, browser)
    plan.tick()
    send.send_due()
    ((path, heads, body),) = service.came
    assert path == "/push/one"
    assert heads["content-encoding"] == "aes128gcm"
    # Not shown after 21:00, however long the phone was off (RFC 8030, 5.2).
    assert int(heads["ttl"]) == int(
        (DUE.replace(hour=21, minute=0, second=0) - DUE).total_seconds()
    )
    assert heads["topic"] == fresh().pk.hex  # A second copy replaces the first (RFC 8030, 5.4).
    assert claims_of(heads["authorization"])["aud"] == service.endpoint().rsplit("/", 2)[0]
    assert b"Wall-back" not in body


@pytest.mark.parametrize("answer", [404, 410])
def test_a_phone_that_is_gone_is_forgotten_and_the_mail_goes(
    due, service, browser, sink, at_five, answer
):
    phone_of(due, service, browser)
    service.answers = [answer]
    plan.tick()
    assert send.send_due() == {"sent": 1}
    assert len(sink.taken) == 1
    assert not PushDevice.objects.exists()
    assert fresh().copies == 1


@pytest.mark.parametrize("answer", [400, 403, 413, 429, 500])
def test_a_no_that_is_not_the_phones_end_keeps_it_and_the_mail_goes(
    due, service, browser, sink, at_five, answer
):
    phone_of(due, service, browser)
    service.answers = [answer]
    plan.tick()
    assert send.send_due() == {"sent": 1}
    assert len(sink.taken) == 1
    assert PushDevice.objects.exists()


def test_no_answer_is_repeated_under_the_same_name_and_no_mail_doubles_it(
    due, service, browser, sink, at_five
):
    phone_of(due, service, browser)
    service.answers = [0]
    plan.tick()
    send.send_due()
    assert fresh().state == "due"
    at_five.move_to(fresh().next_try_at + timedelta(seconds=1))
    send.send_due()
    assert fresh().state == "sent"
    assert sink.taken == []
    first, second = service.shown(browser)
    assert first["tag"] == second["tag"]


def test_two_phones_are_nudged_once_each_and_one_being_gone_is_enough(
    due, service, browser, sink, at_five
):
    phone_of(due, service, browser, name="one")
    phone_of(due, service, browser, name="two")
    service.answers = [410]
    plan.tick()
    assert send.send_due() == {"sent": 1}
    assert sorted(path for path, *_ in service.came) == ["/push/one", "/push/two"]
    assert sink.taken == []
    assert PushDevice.objects.count() == 1


def test_while_the_mail_server_is_away_phones_are_still_nudged(
    coach, due, service, browser, settings, at_five
):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1
    other = factories.make_student(coach, "Alex Other")
    give_week(other)
    plan.tick()
    phone_of(due, service, browser)
    send.send_due()
    assert Notice.objects.get(student=due).state == "sent"
    waiting = Notice.objects.get(student=other)
    assert (waiting.state, waiting.copies, waiting.tries) == ("due", 0, 0)


ENDS = {
    "signed out": lambda key: keys.end(LogKey.objects.filter(user=key.user)),
    "this phone forgets": lambda key: keys.end(LogKey.objects.filter(browser=key.browser)),
    "ended from elsewhere": lambda key: keys.end(keys.open_keys(key.user).filter(pk=key.pk)),
    "too old": lambda key: LogKey.objects.update(expires_at=DUE - timedelta(days=1)),
    "in a drawer": lambda key: PushDevice.objects.update(seen_at=DUE - timedelta(days=31)),
    "mails instead": push.end,
}


@pytest.mark.parametrize("ends", ENDS.values(), ids=ENDS)
def test_a_phone_that_ended_is_nudged_no_more_and_the_mail_goes(
    due, service, browser, sink, at_five, ends
):
    ends(phone_of(due, service, browser))
    plan.tick()
    assert send.send_due() == {"sent": 1}
    assert service.came == []
    assert len(sink.taken) == 1


def test_one_a_day_whichever_way_it_went(due, service, browser, sink, at_five):
    key = phone_of(due, service, browser)
    plan.tick()
    send.send_due()
    push.end(key)
    ReminderRule.objects.update(next_due_utc=DUE)
    plan.tick()
    at_five.move_to(DUE + timedelta(hours=2))
    send.send_due()
    assert len(service.came) + len(sink.taken) == 1


def test_quiet_hours_hold_for_phones(due, service, browser, at_five):
    phone_of(due, service, browser)
    plan.tick()
    at_five.move_to(DUE.replace(hour=21, minute=0, second=1))
    send.send_due()
    assert service.came == []


def test_what_hurts_goes_by_mail_and_is_never_on_a_locked_screen(
    coach, due, service, browser, sink, at_five
):
    from coaching.reminders import nudges

    phone_of(due, service, browser, user=coach)
    notice = plan.make(
        coach,
        plan.ReminderKind.PAIN_TOLD,
        DUE.date(),
        DUE + timedelta(days=2),
        student=due,
        about="x",
    )
    notice.save()
    assert nudges.of(notice) is None
    send.send_due()
    assert service.came == []


def test_what_a_coach_wrote_is_told_without_its_words(coach, due, service, browser, sink, at_five):
    phone_of(due, service, browser)
    Line.objects.create(student=due, author=coach, text="Mind the left knee")
    plan.tick()
    send.send_due()
    (word,) = service.shown(browser)
    assert "knee" not in str(word)
    assert "something new from the coach" in word["body"]
    assert Told.objects.count() == 1


def test_a_clip_of_the_coach_reaches_the_phone_once_and_without_its_words(
    coach, due, service, browser, sink, at_five
):
    phone_of(due, service, browser)
    clip_of(due, coach, "Hands at the top")
    plan.tick()
    assert send.send_due() == {"sent": 1}
    (word,) = service.shown(browser)
    assert "something new from the coach" in word["body"]
    assert "Hands" not in str(word)
    assert Told.objects.count() == 1
    assert sink.taken == []
    at_five.shift(timedelta(days=1))
    plan.tick()
    send.send_due()
    assert [each for each in service.shown(browser) if "from the coach" in each["body"]] == [word]


def test_a_childs_own_phone_is_nudged_beside_the_guardians_mail(
    coach, service, browser, sink, at_five
):
    guardian = factories.make_user("Gail Guardian")
    child = factories.make_child(coach, guardian, name="Ada Child", with_user=False)
    give_week(child)
    shown = child_phones.offer(student=access.recordable(child), by=guardian)
    found = child_phones.by_code(shown.code)
    _, key = child_phones.take(found, device="", browser="")
    PushDevice.objects.create(key=key, endpoint=service.endpoint(), **browser.keys)
    plan.tick()
    assert send.send_due() == {"sent": 2}
    (word,) = service.shown(browser)
    assert "Ada" not in str(word)
    assert sink.taken[0]["To"] == guardian.email
    # The guardian ends the phone: the mail alone is left.
    keys.end(child_phones.phones_of(child))
    assert push.devices_of(key.user, child) == ()


# --- asked for by the phone ---------------------------------------------------------------


@pytest.fixture
def asking(wednesday, student):
    secret, key = keys.make_key(user=student.user, student=access.recordable(student))
    return Client(HTTP_AUTHORIZATION=f"LogKey {secret}"), key


def given(**changed) -> dict:
    return {"endpoint": "https://push.example.net/a", **Browser().keys, **changed}


def asked(client: Client, body: dict):
    return client.post("/api/push", body, content_type="application/json")


def test_a_phone_asks_again_and_is_kept_once(asking, wednesday):
    client, key = asking
    body = given()
    assert asked(client, body).status_code == 204
    wednesday.shift(timedelta(days=2))
    assert asked(client, given(endpoint="https://push.example.net/b")).status_code == 204
    device = PushDevice.objects.get()
    assert (device.key, device.endpoint) == (key, "https://push.example.net/b")
    assert device.seen_at == timezone.now()
    assert client.delete("/api/push").status_code == 204
    assert not PushDevice.objects.exists()


BAD = {
    "plain http": {"endpoint": "http://push.example.net/a"},
    "this machine": {"endpoint": "https://127.0.0.1/a"},
    "a private network": {"endpoint": "https://192.168.1.10/a"},
    "a private network in the new form": {"endpoint": "https://[::ffff:10.0.0.1]/a"},
    "a cloud's own data": {"endpoint": "https://169.254.169.254/latest"},
    "a name without a dot": {"endpoint": "https://postgres/a"},
    "another port": {"endpoint": "https://push.example.net:6379/a"},
    "a password in it": {"endpoint": "https://a:b@push.example.net/a"},
    "a line break": {"endpoint": "https://push.example.net/a\r\nX: y"},
    "a kilometre": {"endpoint": "https://push.example.net/" + "a" * 500},
    "no point of the curve": {"p256dh": "B" + "A" * 86},
    "no base64": {"p256dh": "ä" * 20},
    "a short secret": {"auth": "AAAA"},
}


@pytest.mark.parametrize("bad", BAD.values(), ids=BAD)
def test_an_address_that_is_none_is_refused_with_a_sentence(asking, bad):
    client, _ = asking
    answer = asked(client, given(**bad))
    assert answer.status_code == 400
    assert answer.json()["detail"]
    assert not PushDevice.objects.exists()


@pytest.mark.parametrize("inside", ["127.0.0.1", "10.0.0.1", "::1", "fd00::1", "::ffff:127.0.0.1"])
def test_a_name_that_leads_inside_is_not_followed(due, browser, at_five, monkeypatch, inside):
    found = [(None, None, None, "", (inside, 443))]
    monkeypatch.setattr(guarded.socket, "getaddrinfo", lambda *_, **__: found)
    connected = []
    monkeypatch.setattr(guarded.socket, "create_connection", connected.append)
    nudge = push_sender.Nudge((), "n", "t", "b", "/", DUE + timedelta(hours=1))
    device = push_sender.PushEndpoint("https://push.example.net/a", **browser.keys)
    with pytest.raises(push_sender.NotOffered, match="not an address on the internet"):
        push_sender.post(device, nudge, DUE)
    assert connected == []


def test_a_link_of_a_mail_and_a_sign_in_are_no_phone_of_ones_own(student, asking):
    secret, _ = keys.make_key(
        user=student.user,
        student=access.recordable(student),
        expires_at=timezone.now() + timedelta(days=1),
    )
    assert asked(Client(HTTP_AUTHORIZATION=f"LogKey {secret}"), given()).status_code == 403
    assert asked(signed_in(student.user), given()).status_code == 401


def test_a_child_is_nudged_only_while_every_guardian_agrees_to_messages(coach):
    child = factories.make_child(coach, name="Kim Kid")
    secret, _ = keys.make_key(user=child.user, student=access.recordable(child))
    client = Client(HTTP_AUTHORIZATION=f"LogKey {secret}")
    child.guardianships.update(consents_to_messages=False)
    answer = asked(client, given())
    assert answer.status_code == 403
    assert "agreed" in answer.json()["detail"]


def test_a_tap_on_a_nudge_says_that_it_was_looked_at(due, service, browser, at_five):
    secret, key = keys.make_key(user=due.user, student=access.recordable(due))
    PushDevice.objects.create(key=key, endpoint=service.endpoint(), **browser.keys)
    plan.tick()
    send.send_due()
    Client(HTTP_AUTHORIZATION=f"LogKey {secret}").post("/api/push/opened")
    assert fresh().opened_at == DUE


@pytest.mark.parametrize(
    ("kind", "link", "opens"),
    [
        ("practice_call", "/reports/1/", "shell"),
        ("written", "/reports/1/", "link"),
        ("answer", "words", "shell"),
        ("written", "words", "shell"),
        ("calls_stop", "/reminders/1/", "link"),
    ],
)
def test_a_tap_opens_what_the_phone_has_not_got_itself(due, kind, link, opens, at_five):
    from coaching.reminders import nudges

    notice = plan.make(due.user, plan.ReminderKind(kind), DUE.date(), DUE, student=due)
    site = "http://localhost:8000"
    link = site + (reverse("words:own", args=[due.pk]) if link == "words" else link)
    shell = f"{site}{reverse('log:shell')}#for={due.pk}"
    assert nudges._on_the_phone(notice, link) == (link if opens == "link" else shell)


def test_a_nudge_is_told_until_the_day_ends_under_the_name_of_its_notice(
    due, coach, service, browser, at_five
):
    from coaching.reminders import nudges

    phone_of(due, service, browser)
    notice = plan.make(due.user, plan.ReminderKind.LESSON_TOMORROW, DUE.date(), DUE, student=due)
    notice.save()
    nudge = nudges.of(notice)
    assert (nudge.name, nudge.until) == (str(notice.pk), DUE)
    assert (nudge.title, len(nudge.devices)) == ("Lesson tomorrow", 1)
    assert nudge.body == "Any question? Put it in a note with today’s practice."
    # Of nobody's practice, and to who asked for it on no phone: a mail alone.
    summary = plan.make(coach, plan.ReminderKind.COACH_MONDAY, DUE.date(), DUE)
    assert nudges.of(summary) is None
    notice.recipient = coach
    assert nudges.of(notice) is None
