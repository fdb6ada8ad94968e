"""Choosing reminders, stopping them from a mail, and the owner's look at whether they run."""

from datetime import time, timedelta

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from coaching.reminders import mail, plan, queries, services
from coaching.reminders.due import ReminderKind
from coaching.reminders.models import EveningRule, Notice, ReminderRule, Silence
from shared.jobs.models import Retry, Sweep
from shared.jobs.sweep import ran
from shared.outbox import send
from shared.people import consent
from shared.people import services as people
from shared.people.models import AccountMail, Guardianship, Membership, Studio
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
    with time_machine.travel(now + timedelta(days=60, minutes=-5), tick=False):
        assert Client().get(link).status_code == 200
    with time_machine.travel(now + timedelta(days=60, minutes=5), tick=False):
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


def in_trouble(user, student=None, *, days=0, state="failed", n=0, kind="practice_call"):
    day = (timezone.now() - timedelta(days=n)).date()
    notice = plan.make(user, ReminderKind(kind), day, timezone.now(), student=student)
    notice.state, notice.planned_at = state, timezone.now() - timedelta(days=days, seconds=-60)
    notice.save()
    return notice


def trouble(coach) -> list[str]:
    found = queries.mails_in_trouble(factories.studio_of(coach))
    return [finding.words for finding in found]


NONE_REFUSED = "No mail of the last seven days was refused."


def test_the_house_page_counts_mails_refused_in_the_last_seven_days(coach, student):
    assert trouble(coach) == [NONE_REFUSED]
    in_trouble(student.user, student, days=7)
    in_trouble(coach, kind="coach_monday", state="unknown")
    in_trouble(student.user, student, state="sent", n=1)
    assert trouble(coach) == ["Mails refused or lost in the last seven days: 2."]
    Notice.objects.update(planned_at=timezone.now() - timedelta(days=7, seconds=1))
    assert trouble(coach) == [NONE_REFUSED]


def refused_invitation(coach, student) -> AccountMail:
    invited = people.enter_adult(
        studio=student.studio, by=coach, name="Ann", email="ann@example.org", hand="right",
        plays_seated=False,
    )  # fmt: skip
    AccountMail.objects.all().delete()
    return AccountMail.objects.create(
        address="ann@example.org", invitation=invited, state="failed", why="550 no",
        expires_at=timezone.now(), message_id="x",
    )  # fmt: skip


def test_an_invitation_that_was_refused_counts_and_is_shown_with_its_address(coach, student):
    refused_invitation(coach, student)
    assert trouble(coach) == ["Mails refused or lost in the last seven days: 1."]
    owner = factories.make_coach(student.studio, Membership.Role.OWNER)
    (row,) = queries.running(owner, student.studio).trouble
    assert (row.kind, row.to, row.state, row.why) == (
        "Invitation", "ann@example.org", "refused", "550 no",
    )  # fmt: skip
    assert trouble(factories.make_coach()) == [NONE_REFUSED]
    AccountMail.objects.update(planned_at=timezone.now() - timedelta(days=7, seconds=1))
    assert trouble(coach) == [NONE_REFUSED]


def test_the_newest_fifty_in_trouble_are_shown(coach, student):
    for n in range(50):
        in_trouble(student.user, student, days=n, n=n)
    found = queries.running(coach, student.studio)
    assert (len(found.trouble), found.is_cut) == (50, False)
    newest = in_trouble(coach, kind="coach_monday")
    Notice.objects.filter(pk=newest.pk).update(
        planned_at=timezone.now() + timedelta(hours=1), ended_at=timezone.now()
    )
    invited = refused_invitation(coach, student)
    AccountMail.objects.filter(pk=invited.pk).update(
        planned_at=timezone.now() + timedelta(hours=2), ended_at=timezone.now()
    )
    found = queries.running(coach, student.studio)
    assert (len(found.trouble), found.is_cut) == (50, True)
    assert [row.kind for row in found.trouble[:2]] == ["Invitation", "Monday summary"]
    assert {row.kind for row in found.trouble[2:]} == {"Practice call"}


def test_mails_of_the_last_day_are_counted_by_what_became_of_them(coach, student):
    in_trouble(student.user, student)
    in_trouble(student.user, student, n=1, state="sent")
    in_trouble(student.user, student, n=2, state="sent", days=2)
    assert [(each.value, each.label) for each in queries.gauges()] == [
        (1, ("state", "failed")),
        (1, ("state", "sent")),
    ]


def test_of_several_each_is_named_and_oneself_is_my_practice(coach):
    guardian = factories.make_user("Guardian")
    for name in ("Kit", "Ada"):
        factories.make_child(coach, guardian, name=name, with_user=False)
    factories.make_student(coach, "Guardian", user=guardian)
    choices = queries.students_to_set(guardian)
    assert [(each.name, each.is_self) for each in choices] == [
        ("Ada", False), ("Guardian", True), ("Kit", False),
    ]  # fmt: skip
    page = signed_in(guardian).get(reverse("reminders:mine"))
    assert "My practice" in page.text
    assert "Monday summary" not in page.text


def test_who_has_nobody_to_be_reminded_of_finds_no_page(coach, coach_client):
    assert signed_in(factories.make_user()).get(reverse("reminders:mine")).status_code == 404
    page = coach_client.get(reverse("reminders:mine")).text
    assert "Monday summary" in page
    assert "No adult has agreed to it yet." in page
    assert "Do the reminders run?" not in page
    owner = factories.make_coach(factories.studio_of(coach), role=Membership.Role.OWNER)
    assert "Do the reminders run?" in signed_in(owner).get(reverse("reminders:mine")).text


def test_a_coach_who_practises_too_chooses_between_both(coach, coach_client):
    student = factories.make_student(coach, "Me", user=coach)
    page = coach_client.get(reverse("reminders:mine"))
    assert page.status_code == 200
    assert of(student) in page.text


def test_the_coach_switches_tomorrows_lessons_on_and_off(coach, coach_client):
    page, tap = reverse("reminders:mine"), reverse("reminders:evening")
    assert "Send it the evening before" in coach_client.get(page).text
    answer = coach_client.post(tap, {"on": "1"})
    assert (answer.status_code, answer["Location"]) == (302, page)
    rule = EveningRule.objects.get()
    assert timezone.now() < rule.next_due_utc <= timezone.now() + timedelta(days=1)
    assert rule.next_due_utc.time() == time(19)
    assert "No mail the evening before" in coach_client.get(page).text
    coach_client.post(tap, {"on": "0"})
    assert EveningRule.objects.get().next_due_utc is None
    coach_client.post(tap, {"on": "1"})
    assert "No mail the evening before" in coach_client.get(page).text


def test_a_student_switches_no_mail_of_a_coach(student_client):
    assert student_client.post(reverse("reminders:evening"), {"on": "1"}).status_code == 404
    assert not EveningRule.objects.exists()


def test_the_stop_page_of_the_summary_says_so_and_brings_it_back(coach):
    services.change_evening(user=coach, on=True)
    notice = plan.make(coach, ReminderKind.COACH_MONDAY, timezone.localdate(), timezone.now())
    link = mail.stop_link(notice).removeprefix("http://localhost:8000")
    assert not Client().get(link).context["stopped"]
    answer = Client().post(link)
    assert answer.context["stopped"]
    assert not queries.evening_is_on(coach)
    assert not Client().post(link, {"on": "1"}).context["stopped"]
    assert queries.summary_is_on(coach)
    # Tomorrow's lessons were asked for, and are not sent again unasked.
    assert not queries.evening_is_on(coach)


def test_the_link_of_a_student_s_mail_says_whether_they_are_stopped(student, link):
    page = Client().get(link)
    assert (page.context["stopped"], page.context["about_students"]) == (False, False)
    assert Client().post(link).context["stopped"]


def test_a_choice_ends_the_silence_and_is_kept_as_chosen(student, student_client):
    services.silence(user=student.user, student=student)
    given = {"at": "07:00", "weekdays": ["0", "6"], "kinds": ["new_week", "written"]}
    answer = student_client.post(of(student), given, follow=True)
    assert "Kept. It holds from now on." in answer.text
    assert not Silence.objects.exists()
    rule = services.rule_of(student)
    assert (rule.at, rule.weekdays) == (time(7), 0b1000001)
    assert rule.wants == {ReminderKind.NEW_WEEK, ReminderKind.WRITTEN}
    assert not rule.follows_practice
    assert not rule.by_chance
    form = student_client.get(of(student)).context["form"]
    assert form.initial["at"] == "07:00"
    assert form.initial["weekdays"] == [0, 6]
    assert set(form.initial["kinds"]) == {"new_week", "written"}


def test_a_child_s_calls_are_never_left_to_chance(coach):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian, name="Kim Kid")
    signed_in(guardian).post(of(child), {"at": "17:00", "by_chance": "on"})
    assert not services.rule_of(child).by_chance
    rule = services.change_rule(student=child, at=time(17), weekdays=[], kinds=[], by_chance=True)
    assert not rule.by_chance


def test_the_page_says_when_practice_usually_starts_and_that_calls_stopped(student, student_client):
    page = student_client.get(of(student))
    assert page.context["start"] is None
    assert not page.context["stopped"]
    assert page.context["is_self"]
    assert page.context["is_agreed"]
    assert not page.context["silenced"]
    assert not page.context["all_stopped"]


def test_what_is_looked_at_is_opened_if_it_may_have_come(student, coach):
    states = {"sent": True, "unknown": True, "due": False, "cancelled": False}
    made = {
        state: in_trouble(student.user, student, state=state, n=n) for n, state in enumerate(states)
    }
    other = in_trouble(coach, student, state="sent", n=9)
    services.opened(student.user, student)
    for state, is_opened in states.items():
        made[state].refresh_from_db()
        assert (made[state].opened_at is not None) is is_opened
    other.refresh_from_db()
    assert other.opened_at is None


def test_the_owners_page_and_the_metrics_tell_of_mails(coach, student, client, settings):
    owner = factories.make_coach(student.studio, Membership.Role.OWNER)
    in_trouble(student.user, student)
    page = signed_in(owner).get("/house/").text
    assert "Mails refused or lost in the last seven days: 1." in page
    settings.METRICS_TOKEN = "a-long-enough-token-of-the-owner"
    told = {"Authorization": f"Bearer {settings.METRICS_TOKEN}"}
    answer = client.get("/health/metrics", headers=told)
    assert 'house_notices{state="failed"} 1' in answer.text
