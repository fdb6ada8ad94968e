"""Each kind of mail, built from real rows: its subject, its words, its link."""

from datetime import UTC, date, datetime, timedelta

import pytest

from coaching.reminders import mail, plan
from coaching.reminders.due import ReminderKind
from coaching.reminders.models import Notice
from tests import factories
from tests.reminders.conftest import DUE, due_student
from tests.reminders.test_plan import pain

pytestmark = pytest.mark.django_db
SITE = "http://localhost:8000"


def text_of(message) -> str:
    assert len(message.alternatives) == 1
    return message.body


def build(student, kind, **changes):
    type(student).objects.filter(pk=student.pk).update(**changes)
    day = date(2031, 2, 26)
    return mail.build(plan.make(student.user, kind, day, DUE, student=student))


def test_the_midweek_offer_names_what_is_left_and_the_first_part(due, at_five):
    message = build(due, ReminderKind.MIDWEEK_OFFER)
    assert message.subject == "Would a shorter week suit?"
    assert "3 visits are left this week" in text_of(message)
    assert "Part 1 alone takes 12 minutes." in text_of(message)


def test_the_new_week_lists_its_parts(coach, at_five):
    student = factories.make_student(coach, "Sam")
    week = factories.make_week(student, sent_at=DUE - timedelta(hours=1), note="Slowly.")
    factories.make_part(week, factories.make_drill(student.studio, "Gate putting"), minutes=10)
    message = build(student, ReminderKind.NEW_WEEK)
    assert "starts on Monday 24 February" in text_of(message)
    assert "- 1. Gate putting, 10 minutes each time" in text_of(message)
    assert "“Slowly.”" in text_of(message)


def test_lesson_and_test_of_tomorrow(due, at_five):
    week = due.weeks.get()
    nine = factories.make_drill(due.studio, "Nine balls", is_test=True)
    factories.make_part(week, nine, sessions=1, days=[3])
    assert "Any question?" in text_of(build(due, ReminderKind.LESSON_TOMORROW))
    assert "the test: Nine balls." in text_of(build(due, ReminderKind.TEST_TOMORROW))


def test_pain_goes_to_coach_and_guardian_with_a_link_and_no_detail(coach, at_five):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian, name="Kim Kid")
    note = pain(child, level=8, signs=["numb"])
    note.where = "lead wrist"
    note.save(update_fields=["where"])
    mails = {n.recipient_id: mail.build(n) for n in Notice.objects.all()}
    assert f"{SITE}/students/{child.pk}/care/" in text_of(mails[coach.pk])
    assert f"{SITE}/child/{child.pk}/" in text_of(mails[guardian.pk])
    for message in mails.values():
        assert "Kim" not in message.subject
        assert not {"wrist", "numb", "8"} & set(text_of(message).replace(".", " ").split())
        assert "List-Unsubscribe" not in message.extra_headers


def test_the_summary_is_in_the_boards_order_with_no_word_of_health(coach, at_five):
    at_five.move_to(datetime(2031, 2, 26, 7, 1, tzinfo=UTC))
    hurting = due_student(coach, "Aby Hurt")
    due_student(coach, "Ben Fine")
    pain(hurting, level=8)
    message = mail.build(plan.make(coach, ReminderKind.COACH_MONDAY, date(2031, 2, 26), DUE))
    lines = [line for line in text_of(message).splitlines() if line.startswith("- ")]
    assert lines[0] == "- Aby Hurt: something hurts, see the page"
    assert lines[1].startswith("- Ben Fine: ")
    assert f"{SITE}/who/" in text_of(message)


def test_nothing_left_to_say_is_said_so(due, at_five):
    due.weeks.update(state="draft")
    with pytest.raises(mail.NothingToSay):
        build(due, ReminderKind.PRACTICE_CALL)
