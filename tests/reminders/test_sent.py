"""What the coach reads of mails: what waits and when it goes, what went and what became of it."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse

from coaching.reminders import plan, sent
from coaching.reminders.due import ReminderKind
from coaching.reminders.models import Notice, ReminderRule, Silence, Told
from coaching.reminders.written import Item
from practice.log.services import write_line
from shared.outbox.mail_sender import TO_A_PHONE
from shared.people import access
from shared.people.undelivered import DID_NOT_ARRIVE
from tests import factories
from tests.conftest import signed_in
from tests.messages.test_words import note
from tests.reminders.conftest import DUE

pytestmark = pytest.mark.django_db
MORNING = datetime(2031, 2, 26, 9, tzinfo=UTC)


def test_things_are_listed_as_one_says_them():
    assert sent.list_words([]) == ""
    assert sent.list_words(["line"]) == "a message"
    assert sent.list_words(["answer", "line", "line"]) == "an answer and 2 messages"
    said = sent.list_words(["line", "clip", "report", "change", "change"])
    assert said == "a message, a clip, a report and 2 changed weeks"


def row(due, coach, kind="practice_call", told=(), **fields):
    notice = plan.make(due.user, ReminderKind(kind), DUE.date(), DUE, student=due)
    notice.planned_at = DUE
    for name, value in fields.items():
        setattr(notice, name, value)
    notice.save()
    for what in told:
        Told.objects.create(notice=notice, what=what, item=notice.pk if what == "line" else due.pk)
    return next(iter(sent.sent(due, ZoneInfo("Europe/Berlin"))))


@pytest.mark.parametrize(
    ("kind", "told", "what"),
    [
        ("practice_call", (), "Practice call"),
        ("practice_call", ("line",), "Practice call, with a message"),
        ("written", ("line", "clip"), "A message and a clip"),
        ("answer", ("answer",), "An answer"),
        ("written", (), "From the coach"),
    ],
)
def test_a_row_says_what_it_was(due, coach, kind, told, what):
    assert row(due, coach, kind, told).what == what


@pytest.mark.parametrize(
    ("fields", "became"),
    [
        ({}, "on its way"),
        ({"state": "sent", "ended_at": DUE}, "sent Wed 26 Feb 18:00"),
        ({"state": "sent", "ended_at": DUE, "why": TO_A_PHONE},
         f"sent Wed 26 Feb 18:00, {TO_A_PHONE}"),
        ({"state": "failed", "ended_at": DUE, "why": "550 no"},
         "refused by the mail server, Wed 26 Feb 18:00 (550 no)"),
        ({"state": "unknown"}, "perhaps sent: no answer came, Wed 26 Feb 18:00"),
        ({"state": "cancelled", "why": "excused"}, "not sent, Wed 26 Feb 18:00 (excused)"),
        ({"state": "expired"}, "not sent in time, Wed 26 Feb 18:00"),
        ({"state": "failed", "why": f"{DID_NOT_ARRIVE}: full"},
         f"{DID_NOT_ARRIVE}, Wed 26 Feb 18:00: full"),
    ],
)  # fmt: skip
def test_a_row_says_what_became_of_it_on_the_coachs_clock(due, coach, fields, became):
    assert row(due, coach, **fields).became == became


def test_pain_stands_on_its_own_page_and_sixty_are_shown(due, coach):
    row(due, coach)
    for n in range(1, 61):
        notice = plan.make(
            due.user, ReminderKind.LESSON_TOMORROW, DUE.date() - timedelta(days=n), DUE, student=due
        )
        notice.planned_at = DUE - timedelta(days=n)
        notice.save()
    plan.make(coach, ReminderKind.PAIN_TOLD, DUE.date(), DUE, student=due, about="x").save()
    rows = sent.sent(due, ZoneInfo("UTC"))
    assert len(rows) == 60
    assert rows[0].what == "Practice call"
    assert {each.what for each in rows[1:]} == {"Lesson tomorrow"}


def goes(due, now=DUE, *, answer=False) -> str:
    asked = sent.waiting_asked(due, now)
    item = Item("line", due.pk, "Ann", now, "Well.", answer)
    return sent._When(asked).goes_to(due.user, [item])


@pytest.mark.parametrize(
    ("hour", "said"),
    [
        (9, "goes today at 17:00 their time, with that day’s mail"),
        (17, "goes now"),
        (20, "goes now"),
        (21, "goes tomorrow at 17:00 their time, with that day’s mail"),
    ],
)
def test_what_waits_goes_at_the_students_hour(due, hour, said):
    assert goes(due, DUE.replace(hour=hour, second=0)) == said


@pytest.mark.parametrize(
    ("hour", "said"),
    [(9, "goes now: it is waited for"), (21, "goes at 07:00, when the quiet hours end")],
)
def test_an_answer_goes_at_once_but_not_at_night(due, hour, said):
    assert goes(due, DUE.replace(hour=hour), answer=True) == said


@pytest.mark.parametrize(
    ("state", "said"), [("sent", "goes tomorrow"), ("due", "goes tomorrow"), ("expired", "goes no")]
)
def test_after_the_mail_of_the_day_it_waits_for_the_next(due, coach, state, said):
    row(due, coach, state=state)
    assert goes(due).startswith(said)


def test_the_mail_of_yesterday_or_about_pain_takes_no_day(due, coach):
    row(due, coach, local_day=DUE.date() - timedelta(days=1))
    notice = plan.make(due.user, ReminderKind.PAIN_TOLD, DUE.date(), DUE, student=due, about="x")
    notice.save()
    assert goes(due) == "goes now"


def test_why_it_does_not_go_is_said(due, settings):
    Silence.objects.create(user=due.user, student=due)
    assert goes(due) == "not sent: stopped by the reader"
    Silence.objects.all().delete()
    ReminderRule.objects.update(written=False)
    assert goes(due) == "not sent: mails from the coach are off"
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    due.studio.is_demo = True
    assert goes(due).startswith("not sent: nobody has agreed to mails")


def test_without_a_rule_yet_the_usual_hour_is_said(due):
    ReminderRule.objects.all().delete()
    assert goes(due, MORNING).startswith("goes today at 17:00")


def test_the_page_says_for_whom_it_waits_and_whether_mails_are_files(due, coach, settings, at_five):
    at_five.move_to(MORNING)
    page, client = reverse("reminders:sent", args=[due.pk]), signed_in(coach)
    assert "Waits" not in client.get(page).text
    write_line(student=access.recordable(due), author=coach, text="Left.", about=note(due))
    write_line(student=access.recordable(due), author=coach, text="Well.")
    text = client.get(page).text
    assert f"<strong>An answer and a message</strong> for {due.user}. Goes now" in text
    assert "Nothing has been sent yet." in text
    assert "There is no mail server yet." in text
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    assert "There is no mail server yet." not in client.get(page).text


def test_the_page_asks_together_what_it_needs(due, coach, django_assert_max_num_queries):
    page, client = reverse("reminders:sent", args=[due.pk]), signed_in(coach)
    with django_assert_max_num_queries(7):
        text = client.get(page).text
    assert "No mail can reach" not in text
    nobody = factories.make_student(coach, "Bo", with_user=False)
    assert "No mail can reach Bo" in client.get(reverse("reminders:sent", args=[nobody.pk])).text


def test_an_answer_is_one_where_a_question_was_asked(due, coach, at_five):
    at_five.move_to(MORNING)
    about = note(due, "It went well.")
    write_line(student=access.recordable(due), author=coach, text="Good.", about=about)
    text = signed_in(coach).get(reverse("reminders:sent", args=[due.pk])).text
    assert "Goes today at 17:00" in text
    plan.tick()
    assert not Notice.objects.exists()
