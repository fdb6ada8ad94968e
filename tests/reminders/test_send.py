"""Real conversations with a mail server that misbehaves, and what is written down of them."""

import socket
from datetime import date, timedelta
from threading import Barrier, Thread

import pytest
from django.db import connection

from coaching.reminders import mail, plan, services
from coaching.reminders.models import Notice, ReminderRule
from practice.care.models import Stop
from practice.log.models import Entry
from practice.weeks.models import Excusal, Part
from shared.jobs import steady
from shared.outbox import send
from shared.people import access
from shared.people.models import Undelivered
from tests import factories
from tests.conftest import signed_in
from tests.ports import own_port
from tests.reminders.conftest import DUE, due_student, give_week

pytestmark = pytest.mark.django_db


@pytest.fixture
def notice(due, at_five) -> Notice:
    assert plan.tick() == 1
    return Notice.objects.get()


def fresh(notice: Notice) -> Notice:
    return Notice.objects.get(pk=notice.pk)


def sweep_on(clock, notice, times=1):
    """Sweep, each time when the notice is next to be tried."""
    for _ in range(times):
        later = fresh(notice)
        clock.move_to(max(later.next_try_at, later.lease_until or DUE) + timedelta(seconds=1))
        send.send_due()


def test_a_due_notice_is_sent_once(notice, sink):
    assert send.send_due() == {"sent": 1}
    assert send.send_due() == {}
    assert sink.ids() == [notice.message_id]
    assert fresh(notice).state == "sent"


def test_the_mail_says_part_minutes_and_the_students_words(notice, sink):
    send.send_due()
    message = sink.taken[0]
    text, html = [part.get_payload(decode=True).decode() for part in message.get_payload()]
    assert "Part 1, 12 minutes: Wall-back turns. Your words: “tail stays on the fence”." in text
    assert "http://localhost:8000/open/" in text
    assert "Stop these mails" in html
    assert message["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert message["List-Unsubscribe"].strip().startswith("<http://localhost:8000/reminders/stop/")


def test_the_mail_says_where_the_session_of_that_day_is_meant_to_be(notice, sink):
    Part.objects.update(days=[2, 4], places={"2": "net", "4": "range"})
    send.send_due()
    text, _ = [part.get_payload(decode=True).decode() for part in sink.taken[0].get_payload()]
    assert "Part 1, 12 minutes, net at home: Wall-back turns." in text


@pytest.mark.parametrize("answer", ["451 greylisted, come back", "421 too busy"])
def test_a_temporary_no_is_tried_again_later(notice, sink, at_five, answer):
    sink.answers = [answer]
    send.send_due()
    waiting = fresh(notice)
    assert (waiting.state, waiting.copies, waiting.tries) == ("due", 0, 1)
    assert waiting.why.startswith(answer[:3])
    assert waiting.next_try_at > DUE + timedelta(seconds=39)
    assert send.send_due() == {}
    sweep_on(at_five, notice)
    assert fresh(notice).state == "sent"
    assert len(sink.taken) == 1


def test_a_server_that_always_says_later_is_left_alone_after_eight_tries(notice, sink, at_five):
    Notice.objects.update(expires_at=DUE + timedelta(days=1))
    ReminderRule.objects.update(practice_call=True)
    sink.rcpt_answers = ["451 later"] * 20
    at_five.move_to(DUE)
    for _ in range(12):
        Notice.objects.update(next_try_at=DUE)
        send.send_due()
    assert fresh(notice).state == "failed"
    assert len(sink.rcpt_answers) == 12


@pytest.mark.parametrize(
    ("rcpt", "data", "code"),
    [("550 no such mailbox", "", "550"), ("", "554 refused", "554"), ("", "552 too big", "552")],
)
def test_a_permanent_no_is_failed_with_its_reason(notice, sink, rcpt, data, code):
    sink.rcpt_answers = [rcpt] if rcpt else []
    sink.answers = [data] if data else []
    assert send.send_due() == {"failed": 1}
    assert fresh(notice).why.startswith(code)
    assert send.send_due() == {}
    assert sink.taken == []


@pytest.mark.parametrize(
    ("rcpt", "holds"),
    [
        # Codes of RFC 5321, 4.2.3 and of RFC 3463, 3.2 (address), 3.3 (mailbox), 3.8 (policy).
        ("550 no such mailbox", True),
        ("550 5.1.1 no such mailbox", True),
        ("553 5.1.3 bad destination syntax", True),
        ("550 5.2.1 mailbox disabled", True),
        ("550 5.1.8 bad address of the sender", False),
        ("550 5.7.1 relaying denied", False),
        ("554 no service", False),
        ("552 mailbox full", False),
    ],
)
def test_an_address_that_is_refused_for_good_gets_no_more_and_its_page_says_so(
    notice, sink, coach, rcpt, holds
):
    sink.rcpt_answers = [rcpt]
    assert send.send_due() == {"failed": 1}
    address = notice.recipient.email
    assert [each.address for each in Undelivered.objects.all()] == ([address] if holds else [])
    page = signed_in(coach).get(f"/students/{notice.student_id}/edit/").text
    said = f"Mail to {address} did not arrive on 26 Feb 2031. No more goes there"
    assert (said in page) is holds
    Notice.objects.update(state="due", ended_at=None, next_try_at=DUE)
    assert send.send_due() == ({"cancelled": 1} if holds else {"sent": 1})
    assert (fresh(notice).why == "mails to this address did not arrive") is holds
    assert len(sink.taken) == (0 if holds else 1)


def test_a_text_that_is_refused_says_nothing_of_the_address(notice, sink):
    sink.answers = ["550 5.1.1 no such mailbox"]
    assert send.send_due() == {"failed": 1}
    assert not Undelivered.objects.exists()


def test_no_answer_after_the_text_is_repeated_once_with_the_same_id(notice, sink, at_five):
    sink.answers = ["take and drop"]
    send.send_due()
    assert (fresh(notice).state, fresh(notice).copies) == ("due", 1)
    sweep_on(at_five, notice)
    assert fresh(notice).state == "sent"
    assert sink.ids() == [notice.message_id] * 2


def test_never_more_than_two_copies(notice, sink, at_five):
    sink.answers = ["drop", "take and drop", "250 OK"]
    send.send_due()
    sweep_on(at_five, notice, times=3)
    assert fresh(notice).state == "unknown"
    assert sink.offered == 2


def test_a_connection_lost_before_the_text_is_no_copy(notice, sink, at_five):
    async def hang_up(server, session, envelope, address, options):
        server.transport.abort()
        return "250 OK"

    usual, sink.handle_RCPT = sink.handle_RCPT, hang_up
    for _ in range(3):
        Notice.objects.update(next_try_at=DUE)
        send.send_due()
    assert (fresh(notice).state, fresh(notice).copies, sink.offered) == ("due", 0, 0)
    sink.handle_RCPT = usual
    sweep_on(at_five, notice)
    assert fresh(notice).state == "sent"


def test_no_server_at_all_is_no_copy(notice, settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    with own_port() as nobodys:
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", nobodys
        send.send_due()
    assert (fresh(notice).state, fresh(notice).copies) == ("due", 0)
    assert fresh(notice).why.startswith("no connection")


def test_a_server_that_keeps_silent_is_given_up_on(notice, settings):
    with socket.create_server(("127.0.0.1", 0)) as mute:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = mute.getsockname()
        settings.EMAIL_TIMEOUT = 0.2
        send.send_due()
    assert (fresh(notice).state, fresh(notice).copies) == ("due", 0)


def test_no_plain_text_when_the_server_has_no_tls(notice, sink, settings):
    settings.EMAIL_USE_TLS = True
    send.send_due()
    assert sink.offered == 0
    assert fresh(notice).state == "due"


# --- crashes ---------------------------------------------------------------------


def crash(monkeypatch, *, after: bool):
    """Die like a killed process right before or right after the server took the mail."""
    usual = send.Postman.post

    def post(self, message):
        if after:
            usual(self, message)
        raise SystemExit

    monkeypatch.setattr(send.Postman, "post", post)


@pytest.mark.parametrize("after", [True, False])
def test_killed_while_sending_is_repeated_once(notice, sink, at_five, monkeypatch, after):
    with monkeypatch.context() as patch:
        crash(patch, after=after)
        with pytest.raises(SystemExit):
            send.send_due()
    assert fresh(notice).state == "sending"
    assert send.send_due() == {}  # Somebody may still be at it, as far as anybody knows.
    sweep_on(at_five, notice)
    assert fresh(notice).state == "sent"
    assert sink.ids() == [notice.message_id] * (2 if after else 1)


def test_killed_twice_while_sending_is_unknown(notice, sink, at_five, monkeypatch):
    crash(monkeypatch, after=True)
    for _ in range(2):
        later = fresh(notice)
        at_five.move_to((later.lease_until or DUE) + timedelta(seconds=1))
        with pytest.raises(SystemExit):
            send.send_due()
    sweep_on(at_five, notice)
    assert fresh(notice).state == "unknown"
    assert len(sink.taken) == 2


def test_killed_after_the_claim_is_simply_sent_later(notice, sink, at_five, monkeypatch):
    with monkeypatch.context() as patch:
        patch.setattr(mail, "letter_of", lambda notice: (_ for _ in ()).throw(SystemExit))
        with pytest.raises(SystemExit):
            send.send_due()
    assert (fresh(notice).state, fresh(notice).copies) == ("claimed", 0)
    sweep_on(at_five, notice)
    assert fresh(notice).state == "sent"
    assert len(sink.taken) == 1


def test_a_worker_that_was_frozen_past_its_lease_writes_nothing(notice, sink, at_five):
    slow = send.claim()
    at_five.move_to(DUE + timedelta(minutes=3))
    assert send.send_due() == {"sent": 1}
    with send.Postman() as postman:
        assert send._one(*slow, postman) == "lost"
    assert len(sink.taken) == 1
    assert fresh(notice).state == "sent"


def test_a_lease_made_by_a_clock_since_set_back_does_not_hold_for_a_day(notice, sink, at_five):
    at_five.move_to(DUE + timedelta(hours=1))
    send.claim()
    at_five.move_to(DUE)
    assert send.send_due() == {"sent": 1}


@pytest.mark.parametrize("jump", [timedelta(minutes=10), -timedelta(hours=1)])
def test_a_clock_set_while_a_mail_is_being_sent_sends_no_second_copy(
    notice, sink, at_five, monkeypatch, jump
):
    """Set by hand or after a sleep: a worker that looks meanwhile leaves the mail alone."""
    monkeypatch.setattr(steady, "milliseconds", lambda: 1_000_000)
    usual, meanwhile = send.Postman.post, []

    def post(self, message):
        if not meanwhile:
            at_five.shift(jump)
            meanwhile.append(None)
            meanwhile.append(send.send_due())
        usual(self, message)

    monkeypatch.setattr(send.Postman, "post", post)
    assert send.send_due() == {"sent": 1}
    assert meanwhile == [None, {}]
    assert sink.ids() == [notice.message_id]
    assert (fresh(notice).state, fresh(notice).copies) == ("sent", 1)


def test_a_mail_held_past_a_jump_keeps_no_other_waiting(coach, due, sink, at_five, monkeypatch):
    due_student(coach, "Alex Other")
    assert plan.tick() == 2
    monkeypatch.setattr(steady, "milliseconds", lambda: 1_000_000)
    held = send.claim()
    at_five.shift(timedelta(minutes=10))
    assert send.send_due() == {"sent": 1}
    assert fresh(held[1]).state == "claimed"
    monkeypatch.setattr(steady, "milliseconds", lambda: 1_000_000 + 120_000)
    assert send.send_due() == {"sent": 1}


def test_after_the_machine_was_started_anew_its_clock_alone_counts(
    notice, sink, at_five, monkeypatch
):
    send.claim()
    monkeypatch.setattr(steady, "RUN", steady.RUN ^ 1)
    monkeypatch.setattr(steady, "milliseconds", lambda: 0)
    assert send.send_due() == {}
    at_five.shift(send.LEASE + timedelta(seconds=1))
    assert send.send_due() == {"sent": 1}


# --- asked again right before sending -------------------------------------------------


def log_today(student):
    Entry.objects.create(
        student=student,
        root=factories.make_user().pk,
        day=date(2031, 2, 26),
        at=DUE,
        document={},
        fingerprint="",
    )


CHANGES = {
    "logged": (log_today, "logged today"),
    "excused": (
        lambda s: Excusal.objects.create(
            student=s, first=date(2031, 2, 26), last=date(2031, 2, 26)
        ),
        "excused",
    ),
    "hurting": (
        lambda s: Stop.objects.create(student=s, since=date(2031, 2, 26)),
        "something hurts",
    ),
    "stopped": (lambda s: services.silence(user=s.user, student=s), "stopped by the reader"),
    "switched off": (
        lambda s: services.change_rule(student=s, at=DUE.time(), weekdays=[], kinds=[]),
        "this kind is off",
    ),
    "left": (
        lambda s: type(s).objects.filter(pk=s.pk).update(left_on=date(2031, 2, 26)),
        "the student has left",
    ),
    "inactive": (
        lambda s: type(s.user).objects.filter(pk=s.user_id).update(is_active=False),
        "no access any more",
    ),
    "nothing left": (lambda s: s.weeks.update(state="draft"), "nothing left this week"),
}


@pytest.mark.parametrize("change", CHANGES)
def test_what_changed_since_it_was_planned_cancels_it(due, notice, sink, change):
    do, why = CHANGES[change]
    do(due)
    assert send.send_due() == {"cancelled": 1}
    assert fresh(notice).why == why
    assert sink.taken == []


def test_consent_withdrawn_since_cancels_it(coach, sink, at_five):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian, name="Kim Kid", with_user=False)
    give_week(child)
    plan.tick()
    child.guardianships.update(consents_to_messages=False)
    assert send.send_due() == {"cancelled": 1}


def test_a_coach_who_left_gets_no_summary(coach, sink, at_five):
    plan.tick()
    at_five.move_to(DUE.replace(month=3, day=3, hour=7))
    plan.tick()
    access.end_membership(coach.memberships.get())
    assert send.send_due() == {"cancelled": 1}
    assert sink.taken == []


def test_never_after_its_day(notice, sink, at_five):
    at_five.move_to(DUE.replace(hour=21, minute=0, second=0))
    assert send.send_due() == {"expired": 1}
    assert sink.taken == []


def test_down_26_hours_yesterdays_expires_and_todays_goes_out(notice, sink, at_five):
    at_five.move_to(DUE + timedelta(hours=26))
    plan.tick()
    assert send.send_due() == {"expired": 1, "sent": 1}
    assert len(sink.taken) == 1
    assert fresh(notice).state == "expired"


# --- poison ----------------------------------------------------------------------------


def test_one_that_cannot_be_built_stops_no_other_and_ends_failed(
    coach, due, at_five, sink, monkeypatch
):
    second = due_student(coach, "Alex Other")
    plan.tick()
    usual = mail.letter_of

    def letter(notice):
        if notice.student_id == due.pk:
            raise RuntimeError("poison")
        return usual(notice)

    monkeypatch.setattr(mail, "letter_of", letter)
    assert send.send_due() == {"due": 1, "sent": 1}
    for _ in range(10):
        Notice.objects.update(next_try_at=DUE)
        send.send_due()
    states = dict(Notice.objects.values_list("student", "state"))
    assert states == {due.pk: "failed", second.pk: "sent"}
    assert Notice.objects.get(student=due).tries == send.MAX_TRIES


NASTY = "Sam\r\nBcc: everybody@example.org\n\nHello " + "x" * 20 + " é\u202e"


def test_no_header_can_be_injected_by_a_name(coach, at_five, sink):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian, name="Kim", with_user=False)
    give_week(child)
    # Past every form: what the database might hold.
    drill = child.weeks.get().parts.get().revision
    type(drill).objects.filter(pk=drill.pk).update(name=NASTY)
    type(child).objects.filter(pk=child.pk).update(name=NASTY)
    plan.tick()
    assert send.send_due() == {"sent": 1}
    message = sink.taken[0]
    assert message["Bcc"] is None
    assert message["To"] == guardian.email
    assert NASTY[:3] not in message["Subject"]


def test_an_address_with_a_line_break_is_failed_not_sent(due, notice, sink):
    type(due.user).objects.filter(pk=due.user_id).update(email="a@example.org\nBcc: b@example.org")
    for _ in range(10):
        Notice.objects.update(next_try_at=DUE)
        send.send_due()
    assert fresh(notice).state == "failed"
    assert sink.offered == 0


def test_no_subject_holds_a_minors_name(coach, at_five, sink):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian, name="Kim Kid", with_user=False)
    give_week(child)
    plan.tick()
    send.send_due()
    assert "Kim" not in sink.taken[0]["Subject"]
    assert "For Kim:" in sink.taken[0].get_payload()[0].get_payload(decode=True).decode()


# --- together ---------------------------------------------------------------------------


@pytest.mark.django_db(transaction=True)
def test_two_tickers_and_three_workers_send_each_exactly_once(sink):
    coach = factories.make_coach()
    students = [due_student(coach, f"Student {n}") for n in range(12)]
    start = Barrier(5)

    def run(work):
        start.wait()
        try:
            for _ in range(3):
                work()
        finally:
            connection.close()

    import time_machine

    with time_machine.travel(DUE, tick=False):
        threads = [
            Thread(target=run, args=[work]) for work in [plan.tick] * 2 + [send.send_due] * 3
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        send.send_due()
    assert Notice.objects.filter(state="sent").count() == len(students)
    assert len(sink.ids()) == len(set(sink.ids())) == len(students)
