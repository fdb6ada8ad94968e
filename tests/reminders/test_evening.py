"""Tomorrow's lessons by mail the evening before, for a coach who wants it."""

from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.urls import reverse

from coaching.lessons import services as lessons
from coaching.reminders import mail, plan, services
from coaching.reminders.due import ReminderKind
from coaching.reminders.models import EveningRule, Notice
from tests import factories
from tests.conftest import signed_in
from tests.reminders.test_plan import pain

pytestmark = pytest.mark.django_db
AFTERNOON = datetime(2031, 2, 26, 15, tzinfo=UTC)
EVENING = datetime(2031, 2, 26, 19, 1, tzinfo=UTC)


@pytest.fixture
def clock():
    with time_machine.travel(AFTERNOON, tick=False) as travelling:
        yield travelling


@pytest.fixture
def lesson(coach, student, clock):
    return lessons.plan_lesson(
        student=student, coach=coach, at=datetime(2031, 2, 27, 16, 30, tzinfo=UTC)
    )


def evenings():
    found = Notice.objects.filter(kind=ReminderKind.COACH_EVENING)
    return [(notice.recipient, notice.local_day) for notice in found]


def test_nobody_gets_it_unasked(coach, lesson, clock):
    clock.move_to(EVENING)
    plan.tick()
    assert evenings() == []


def test_it_comes_once_on_the_evening_before_a_day_with_lessons(coach, lesson, clock):
    services.change_evening(user=coach, on=True)
    for moment in (AFTERNOON, EVENING, EVENING, EVENING + timedelta(days=1)):
        clock.move_to(moment)
        plan.tick()
    assert evenings() == [(coach, date(2031, 2, 26))]


def test_switched_off_it_is_not_sent_after_all(coach, lesson, clock):
    services.change_evening(user=coach, on=True)
    clock.move_to(EVENING)
    plan.tick()
    notice = Notice.objects.get(kind=ReminderKind.COACH_EVENING)
    assert plan.objection(notice, EVENING) == ""
    signed_in(coach).post(reverse("reminders:evening"), {"on": "0"})
    assert plan.objection(notice, EVENING) == "it is off"


def test_the_stop_link_of_the_mail_stops_it_too(coach, lesson, clock, client):
    services.change_evening(user=coach, on=True)
    link = mail.stop_link(plan.make(coach, ReminderKind.COACH_EVENING, date(2031, 2, 26), EVENING))
    client.post("/" + link.split("/", 3)[3])
    assert not EveningRule.objects.filter(next_due_utc__isnull=False).exists()


def test_it_says_who_comes_when_and_no_word_of_health(coach, student, lesson, clock):
    pain(student, level=8)
    message = mail.build(plan.make(coach, ReminderKind.COACH_EVENING, date(2031, 2, 26), EVENING))
    assert f"- 16:30 {student.name}: " in message.body
    assert "something hurts, see the page" in message.body
    assert not {"wrist", "8/10"} & set(message.body.split())
    assert student.name not in message.subject


def test_lessons_of_another_coach_are_not_in_it(coach, student, lesson, clock):
    other = factories.make_coach(factories.studio_of(coach), name="Other coach")
    services.change_evening(user=other, on=True)
    clock.move_to(EVENING)
    plan.tick()
    assert evenings() == []
