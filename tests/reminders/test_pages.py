"""Choosing reminders, stopping them from a mail, and the owner's look at whether they run."""

from datetime import time, timedelta

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from coaching.reminders import mail, plan, services
from coaching.reminders.due import ReminderKind
from coaching.reminders.models import Notice, ReminderRule, Silence
from shared.jobs.models import Retry, Sweep
from shared.jobs.sweep import ran
from shared.outbox import send
from shared.people import consent
from shared.people.models import Guardianship, Membership, Studio
from tests import factories
from tests.conftest import signed_in

pytestmark = pytest.mark.django_db


def of(student):
    return reverse("reminders:of", args=[student.pk])


def test_a_student_comes_straight_to_their_own_choice(student, student_client):
    response = student_client.get(reverse("reminders:mine"), follow=True)
    assert response.status_code == 200
    assert "My reminders" in response.text


def test_a_choice_is_kept_and_reckoned_anew(student, student_client):
    answer = student_client.post(
        of(student), {"at": "18:30", "weekdays": ["1", "3"], "kinds": ["practice_call"]}
    )
    assert answer.status_code == 302
    rule = ReminderRule.objects.get(student=student)
    assert (rule.at, rule.chosen_weekdays) == (time(18, 30), {1, 3})
    assert rule.wants == {ReminderKind.PRACTICE_CALL}
    assert rule.next_due_utc.time() == time(18, 30)
    assert timezone.now() < rule.next_due_utc <= timezone.now() + timedelta(days=1)


@pytest.mark.parametrize("at", ["21:00", "06:59", "23:00", "25:00", "", "soon"])
def test_a_quiet_hour_is_refused_in_words(student, student_client, at):
    services.ensure_rule(student)
    answer = student_client.post(of(student), {"at": at, "kinds": ["practice_call"]})
    assert answer.status_code == 422
    assert "errorlist" in answer.text
    assert ReminderRule.objects.get(student=student).at == time(17)


def test_none_at_all_in_one_tap_and_back(student, student_client):
    none = reverse("reminders:none", args=[student.pk])
    assert 'name="off" value="1"' in student_client.get(of(student)).text
    student_client.post(none, {"off": "1"})
    assert Silence.objects.filter(user=student.user, student=student).exists()
    assert "Send reminders again" in student_client.get(of(student)).text
    student_client.post(none, {"off": "0"})
    assert not Silence.objects.exists()


def test_looking_writes_nothing(student, student_client):
    ReminderRule.objects.all().delete()
    student_client.get(of(student))
    assert not ReminderRule.objects.exists()


def test_a_guardian_chooses_for_the_child(coach):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian, name="Kim Kid", with_user=False)
    answer = signed_in(guardian).get(of(child))
    assert "Reminders for Kim Kid" in answer.text
    assert "They go to you, by mail or on a phone that asked for them." in answer.text


def test_the_days_begin_as_the_studio_s_week_does(student, student_client):
    Studio.objects.update(first_weekday=5)
    shown = student_client.get(of(student)).context["form"]["weekdays"]
    assert [str(choice.choice_label) for choice in shown][::6] == ["Saturday", "Friday"]
    student_client.post(of(student), {"at": "17:30", "weekdays": ["5"]})
    assert services.rule_of(student).chosen_weekdays == {5}


def test_the_page_says_whom_they_reach(coach, student, student_client):
    first, second = factories.make_user("First"), factories.make_user("Second")
    child = factories.make_child(coach, first, name="Kim Kid", with_user=False)
    consent.tie(child, second, messages=True, clips=False)
    page = signed_in(second).get(of(child))
    assert sorted(page.context["reach"]) == ["First", "you"]
    assert student_client.get(of(student)).context["reach"] == ["you"]


def test_the_page_says_why_they_reach_nobody(coach):
    first, second = factories.make_user("First"), factories.make_user("Second")
    child = factories.make_child(coach, first, name="Kim Kid", with_user=False)
    consent.tie(child, second, messages=True, clips=False)
    client = signed_in(first)
    client.post(reverse("reminders:none", args=[child.pk]), {"off": "1"})
    page = signed_in(second).get(of(child))
    assert page.context["reach"] == ["you"]
    Silence.objects.create(user=second, student=child)
    assert "No reminders are sent to you." in client.get(of(child)).text
    assert signed_in(second).get(of(child)).context["all_stopped"]
    Silence.objects.filter(user=first).delete()
    assert client.get(of(child)).context["reach"] == ["you"]
    for tie in Guardianship.objects.filter(student=child):
        consent.change(tie, record=True, messages=False, clips=False)
    assert "None go out, as messages are not agreed to." in client.get(of(child)).text


@pytest.mark.parametrize("name", ["of", "none"])
def test_nobody_elses_choice_is_seen_or_changed(student, coach_client, name):
    address = reverse(f"reminders:{name}", args=[student.pk])
    stranger = signed_in(factories.make_user())
    for client in (coach_client, stranger):
        assert client.post(address, {"off": "1"}).status_code == 404
    assert Client().post(address, {"off": "1"}).status_code == 302
    assert not Silence.objects.exists()


def test_the_coach_switches_the_summary_off_and_on(coach, coach_client):
    assert "No summary" in coach_client.get(reverse("reminders:mine")).text
    coach_client.post(reverse("reminders:summary"), {"on": "0"})
    assert not services.ensure_summary(coach).on
    coach_client.post(reverse("reminders:summary"), {"on": "1"})
    assert services.ensure_summary(coach).on


def test_a_student_has_no_summary_to_switch(student_client):
    assert student_client.post(reverse("reminders:summary"), {"on": "1"}).status_code == 404


# --- from the mail ------------------------------------------------------------------


@pytest.fixture
def link(student) -> str:
    notice = plan.make(
        student.user,
        ReminderKind.PRACTICE_CALL,
        timezone.localdate(),
        timezone.now() + timedelta(hours=1),
        student=student,
    )
    return mail.stop_link(notice).removeprefix("http://localhost:8000")


def test_opening_the_link_changes_nothing(student, link):
    answer = Client().get(link)
    assert "Stop these mails" in answer.text
    assert not Silence.objects.exists()


def test_one_click_from_a_mail_program_stops_them(student, link):
    # RFC 8058, 3.2: a POST with this body, without cookies, and no page in between.
    client = Client(enforce_csrf_checks=True)
    answer = client.post(link, {"List-Unsubscribe": "One-Click"})
    assert answer.status_code == 200
    assert Silence.objects.filter(user=student.user, student=student).exists()
    client.post(link, {"List-Unsubscribe": "One-Click"})
    assert Silence.objects.count() == 1


def test_stopped_by_mistake_can_be_undone_from_the_same_page(student, link):
    Client().post(link)
    assert "Send them again" in Client().get(link).text
    Client().post(link, {"on": "1"})
    assert not Silence.objects.exists()


def test_one_guardians_stop_leaves_the_others_alone(coach):
    one, two = factories.make_user("One"), factories.make_user("Two")
    child = factories.make_child(coach, one, with_user=False)
    services.silence(user=one, student=child)
    assert not Silence.objects.filter(user=two).exists()


def test_a_stop_link_runs_out_after_sixty_days(student, link):
    now = timezone.now()
    with time_machine.travel(now + timedelta(days=59), tick=False):
        assert Client().get(link).status_code == 200
    with time_machine.travel(now + timedelta(days=61), tick=False):
        answer = Client().post(link)
    assert answer.status_code == 410
    assert "run out" in answer.text
    assert not Silence.objects.exists()


@pytest.mark.parametrize(
    "spoil", [lambda s: s[:-3] + "xx/", lambda s: s.replace("stop/", "stop/a")]
)
def test_a_link_that_is_none_of_ours_is_not_found(link, spoil):
    assert Client().post(spoil(link)).status_code == 404
    assert not Silence.objects.exists()


def test_the_summarys_link_stops_the_summary(coach):
    notice = plan.make(coach, ReminderKind.COACH_MONDAY, timezone.localdate(), timezone.now())
    Client().post(mail.stop_link(notice).removeprefix("http://localhost:8000"))
    assert not services.ensure_summary(coach).on


# --- whether it runs ---------------------------------------------------------------------


def test_the_owner_sees_refused_mails_of_their_own_studio_only(coach, student):
    owner = factories.make_coach(student.studio, Membership.Role.OWNER)
    other = factories.make_coach()
    theirs = factories.make_student(other, "Stranger")
    for who in (student, theirs):
        notice = plan.make(
            who.user, ReminderKind.PRACTICE_CALL, timezone.localdate(), timezone.now(), student=who
        )
        notice.state, notice.why = Notice.State.FAILED, f"550 no mailbox of {who.name}"
        notice.save(force_insert=True)
    page = signed_in(owner).get(reverse("reminders:running")).text
    assert "550 no mailbox of Sam Sample" in page
    assert "Stranger" not in page
    assert signed_in(coach).get(reverse("reminders:running")).status_code == 404


def test_the_owner_sees_how_much_work_waits_and_nothing_of_whose_it_is(coach, wednesday):
    owner = factories.make_coach(factories.studio_of(coach), role=Membership.Role.OWNER)
    page = signed_in(owner).get(reverse("reminders:running")).text
    assert "waits after an error" not in page
    for row in ("one", "two"):
        Retry.objects.create(
            sweep="gates", row=row, why="of Sam Sample", next_try_at=timezone.now()
        )
    page = signed_in(owner).get(reverse("reminders:running")).text
    assert "Gates: 2, the first since 26.02. 12:00." in page
    assert "Sam Sample" not in page


def test_ready_is_red_without_a_tick_for_five_minutes(client):
    assert client.get("/health/live").status_code == 200
    assert client.get("/health/ready").status_code == 503
    ran(plan.RULES)
    ran(send.SENDING)
    answer = client.get("/health/ready")
    assert (answer.status_code, answer.json()["database"]) == (200, True)
    Sweep.objects.filter(name=plan.RULES).update(ended_at=timezone.now() - timedelta(seconds=301))
    answer = client.get("/health/ready")
    assert answer.status_code == 503
    assert "reminders stand still" in answer.json()["detail"]
    Sweep.objects.update(ended_at=timezone.now() + timedelta(hours=1))
    assert client.get("/health/ready").status_code == 503
