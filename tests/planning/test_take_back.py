"""A sent week, or a change of one, comes back while nobody has it; else it stays and says why."""

from datetime import timedelta

import pytest
from django.urls import reverse

from coaching.lessons.models import Lesson
from coaching.reminders import plan
from coaching.reminders.due import ReminderKind
from coaching.reminders.models import Notice
from practice.care.models import Stop
from practice.phone.bundle import given_weeks, sent_weeks
from practice.weeks.given import note_given
from practice.weeks.models import Part, Week
from shared.outbox.models import OPEN
from shared.people import access
from tests import factories
from tests.conftest import signed_in
from tests.factories import MONDAY, NOON
from tests.log.entries import Phone, entry
from tests.test_undo import of_change, of_lessons_week, of_several, of_week, press, told

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]


def by_phone(student):
    assert Phone(student).week().json()["weeks"]


def by_a_key_and_its_week(student):
    body = {"device": "phone", "only": True}
    answer = signed_in(student.user).post(
        "/api/key", body, content_type="application/json", HTTP_SEC_FETCH_SITE="same-origin"
    )
    assert answer.json()["week"]["weeks"]


def without_scripts(student):
    assert signed_in(student.user).get(reverse("log:plain")).context["weeks"]


def on_paper(student):
    page = signed_in(student.user).get(reverse("log:paper", args=[student.pk]))
    assert page.context["week"]


LOOKS = [by_phone, by_a_key_and_its_week, without_scripts, on_paper]


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("of", [of_week, of_change])
def test_what_the_student_has_stays_and_says_what_to_do(coach, student, of, look):
    tap, client = of(student), signed_in(coach)
    (form,) = told(client, tap)
    sent = tap.stands()
    look(student)
    page = press(client, form)
    assert f"It has reached {student.name} already. Send a change instead." in page
    weeks, parts, tally = tap.stands()
    assert [week | {"given_revision": None} for week in weeks] == sent[0]
    assert (parts, tally) == (sent[1], sent[2])


def test_a_guardian_who_looked_has_it_too(coach):
    guardian = factories.make_user("Gil Guardian")
    child = factories.make_child(coach, guardian, name="Kim")
    tap, client = of_week(child), signed_in(coach)
    (form,) = told(client, tap)
    signed_in(guardian).get(reverse("log:child", args=[child.pk]))
    assert "It has reached Kim already." in press(client, form)


def test_what_only_the_coach_looked_at_comes_back(coach, student):
    tap, client = of_week(student), signed_in(coach)
    before = tap.stands()
    (form,) = told(client, tap)
    assert client.get(reverse("log:paper", args=[student.pk])).context["week"]
    assert client.get(reverse("log:write_in", args=[student.pk])).context["weeks"]
    press(client, form)
    assert tap.stands() == before


def test_who_has_the_week_loses_a_change_that_was_not_seen(coach, student):
    tap, client = of_change(student), signed_in(coach)
    by_phone(student)
    before = tap.stands()
    (form,) = told(client, tap)
    assert "The week stands as before the change." in press(client, form)
    assert tap.stands() == before


def test_what_was_logged_by_a_phone_of_before_keeps_the_change(coach, student, wednesday):
    tap, client = of_change(student), signed_in(coach)
    phone = Phone(student)
    part = Part.objects.filter(week__student=student).first()
    by_phone(student)
    (form,) = told(client, tap)
    after = Part.objects.filter(removed_at=None).count()
    wednesday.shift(timedelta(seconds=5))
    phone.receipt(entry(student, part))
    assert "has logged practice since. Change the week again." in press(client, form)
    assert Part.objects.filter(removed_at=None).count() == after


def test_work_on_it_keeps_a_sent_week(coach, student):
    tap, client = of_week(student), signed_in(coach)
    (form,) = told(client, tap)
    Phone(student).receipt(entry(student, Part.objects.get(week__student=student)))
    assert "has logged practice on it. Send a change instead." in press(client, form)
    assert Week.objects.get(student=student).state == "sent"


def test_a_later_change_is_not_lost_by_an_undo_of_before(coach, student):
    tap, client = of_week(student), signed_in(coach)
    (form,) = told(client, tap)
    Week.objects.update(revision=2, amended_at=NOON)
    assert "The week was changed since it was sent. It stays." in press(client, form)
    (other,) = told(client, of_change(factories.make_student(coach, name="Bo")))
    Week.objects.update(revision=3)
    assert "The week was changed again, or taken back." in press(client, other)


def test_what_was_stopped_meanwhile_comes_back_to_no_phone(coach, student):
    tap, client = of_change(student), signed_in(coach)
    (form,) = told(client, tap)
    gone = Part.objects.exclude(removed_at=None).get()
    Stop.objects.create(student=student, drill=gone.drill, since=MONDAY)
    after = tap.stands()
    assert "is not for now." in press(client, form)
    assert tap.stands() == after


def test_of_several_one_that_has_it_keeps_no_other(coach, student):
    tap, client = of_several(student), signed_in(coach)
    (form,) = told(client, tap)
    by_phone(student)
    page = press(client, form)
    assert f"The week is a draft again for Bo. {student.name} had it already and keeps it." in page
    states = Week.objects.filter(opens=MONDAY).values_list("student__name", "state")
    assert dict(states) == {"Bo": "draft", student.name: "sent"}


def test_a_lesson_waits_for_its_week_again(coach, student):
    tap, client = of_lessons_week(student), signed_in(coach)
    (form,) = told(client, tap)
    press(client, form)
    lesson = Lesson.objects.get()
    assert (lesson.state, lesson.ending, lesson.week) == ("closed", "later", None)
    assert student.name in client.get(reverse("lessons:next_up")).content.decode()


# --- who was told meanwhile --------------------------------------------------------------------


def test_a_notice_that_waits_is_called_off_and_may_be_made_again(coach, student):
    tap, client = of_week(student), signed_in(coach)
    (form,) = told(client, tap)
    plan.tick()
    (waits,) = Notice.objects.filter(kind=ReminderKind.NEW_WEEK)
    assert waits.state in OPEN
    assert "Nobody was told of it." in press(client, form)
    assert not Notice.objects.filter(kind=ReminderKind.NEW_WEEK).exists()
    told(client, tap)
    plan.tick()
    assert Notice.objects.filter(kind=ReminderKind.NEW_WEEK, state="due").count() == 1


@pytest.mark.parametrize("state", ["sending", "sent", "unknown"])
def test_a_mail_that_may_have_gone_is_said(coach, student, state):
    tap, client = of_week(student), signed_in(coach)
    (form,) = told(client, tap)
    plan.tick()
    Notice.objects.update(state=state, ended_at=None if state == "sending" else NOON)
    page = press(client, form)
    assert f"Told of it already, by mail or on the phone: {student.name}." in page
    assert Notice.objects.filter(kind=ReminderKind.NEW_WEEK).count() == 1


# --- the record itself ---------------------------------------------------------------------------


def test_a_week_is_noted_once_a_revision(student, django_assert_num_queries):
    factories.make_part(factories.make_week(student), factories.make_drill(student.studio))
    with django_assert_num_queries(2):
        given_weeks(student, NOON.date(), access.taken_asked(student).answer)
    with django_assert_num_queries(1):
        given_weeks(student, NOON.date(), access.taken_asked(student).answer)


def test_what_was_taken_back_between_reading_and_handing_over_is_not_handed_over(student):
    week = factories.make_week(student)
    (read,) = sent_weeks(student, NOON.date())
    Week.objects.filter(pk=week.pk).update(state="draft")
    assert not note_given([read.week])
    assert given_weeks(student, NOON.date(), access.taken_asked(student).answer) == []
