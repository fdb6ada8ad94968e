"""Six questions: days stay days, pain goes the way of pain, and what a body cannot is a caution."""

from datetime import timedelta

import pytest
from django.core.cache import cache
from django.urls import reverse

from coaching.intake.models import Intake
from coaching.records import retention
from coaching.reminders.models import Notice
from coaching.season.limits_pages import limits_shown
from coaching.season.models import PracticeDay
from practice.care.models import EarlierHurt, PainLook, PainNote, Screening, Stop
from practice.phone.bundle import bundle
from shared.people.models import Membership, Student
from tests import factories
from tests.conftest import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _noon(wednesday):
    cache.clear()


def answers(**more) -> dict:
    places = {f"d{n}-place": "home" for n in range(7)}
    return places | {"d1-minutes": "20", "d3-minutes": "30", "d3-place": "net"} | more


def own(student):
    return reverse("intake:own", args=[student.pk])


def test_an_adult_answers_and_a_coach_makes_the_aim_of_it(student, coach, coach_client):
    client = signed_in(student.user)
    assert bundle(student, student.user)["asks"] == own(student)
    told = answers(aim="Break 90 by May", measures=["carry", "film"], hurt_before="Left knee, 2029")
    assert client.post(own(student), told).status_code == 302
    assert bundle(student, student.user)["asks"] == ""
    days = PracticeDay.objects.values_list("weekday", "minutes", "place").order_by("weekday")
    assert list(days) == [(1, 20, "home"), (3, 30, "net")]
    review = reverse("intake:review", args=[student.pk])
    page = coach_client.get(review).text
    assert "Tuesday: 20 minutes, at home" in page
    assert "how far each ball flies" in page
    assert "Nobody has looked at it yet." in page
    assert "Left knee, 2029" in page
    assert coach_client.post(review, {"aim": "Break 90 by June"}).status_code == 302
    assert Student.objects.get(pk=student.pk).goal == "Break 90 by June"
    assert Intake.objects.get().reviewed_by == coach


def test_nothing_is_answered_before_anybody_did(student):
    """Neither that nothing hurts, nor what the coach wrote as the aim."""
    Student.objects.filter(pk=student.pk).update(goal="Finish and hold it")
    client = signed_in(student.user)
    page = client.get(own(student))
    assert page.context["form"]["level"].value() is None
    assert page.context["form"]["aim"].value() is None
    assert "So far your coach has: “Finish and hold it”." in page.text
    assert "Not said" in page.text
    assert client.post(own(student), answers(level="0")).status_code == 302
    assert not PainNote.objects.exists()
    assert Intake.objects.get().aim == ""


def test_a_guardian_is_asked_about_the_child(coach):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian, name="Kim Kid", with_user=False)
    page = signed_in(guardian).get(own(child)).text
    assert "What is it for, in the words of Kim Kid?" in page
    assert "in your words" not in page


def test_a_coach_is_led_to_the_answers_until_they_are_read(student, coach_client):
    pages = [reverse("board:who"), reverse("board:student", args=[student.pk])]
    pages.append(coach_client.get(reverse("plans:choose_week", args=[student.pk]))["Location"])
    review = reverse("intake:review", args=[student.pk])
    waits = "First questions answered"
    assert [waits in coach_client.get(page).text for page in pages] == [False] * 3
    own_client = signed_in(student.user)
    after = own_client.post(own(student), answers(aim="Break 90"), follow=True).text
    assert "Go on to the practice page" in after
    assert "<details><summary>Change the answers</summary>" in after
    for page in pages:
        assert waits in coach_client.get(page).text
        assert f'href="{review}"' in coach_client.get(page).text
    helper = factories.make_coach(student.studio, role=Membership.Role.ASSISTANT)
    assert [waits in signed_in(helper).get(page).text for page in pages[:2]] == [False, False]
    coach_client.post(review, {"aim": "Break 90"})
    assert [waits in coach_client.get(page).text for page in pages] == [False] * 3
    wrong = own_client.post(own(student), answers(level="6"))
    assert "<details open><summary>Change the answers</summary>" in wrong.text


def offered(student, reader) -> bool:
    return own(student) in [page["at"] for page in bundle(student, reader)["pages"]]


def test_the_questions_are_offered_until_a_coach_has_looked_at_the_answers(
    student, coach, coach_client
):
    client, review = signed_in(student.user), reverse("intake:review", args=[student.pk])
    assert offered(student, student.user)
    client.post(own(student), answers(aim="Break 90"))
    assert offered(student, student.user)
    coach_client.post(review, {"aim": "Break 90"})
    assert not offered(student, student.user)
    # Answered anew, it waits for a coach anew.
    client.post(own(student), answers(aim="Break 85"))
    assert offered(student, student.user)
    # What a child answered leaves the questions of health to the guardian.
    guardian = factories.make_user("Gail Guardian")
    child = factories.make_child(coach, guardian, name="Ada Child")
    signed_in(child.user).post(own(child), answers())
    coach_client.post(reverse("intake:review", args=[child.pk]), {"aim": ""})
    assert (offered(child, child.user), offered(child, guardian)) == (False, True)
    signed_in(guardian).post(own(child), answers(hurt_before="elbow"))
    coach_client.post(reverse("intake:review", args=[child.pk]), {"aim": ""})
    assert not offered(child, guardian)


def test_what_hurts_now_stops_and_tells_as_pain_always_does(student):
    client = signed_in(student.user)
    page = client.post(own(student), answers(level="6", where="lower back"), follow=True)
    note = PainNote.objects.get()
    assert (note.level, note.where, note.is_new) == (6, "lower back", False)
    assert Stop.objects.filter(student=student, cleared_at=None).exists()
    assert Notice.objects.filter(kind="pain_told", recipient=student.lead_coach).exists()
    assert "lower back" not in str(Intake.objects.values())
    assert page.status_code == 200


def test_the_coach_who_looks_at_the_answers_reads_what_hurts_now(student, coach_client):
    signed_in(student.user).post(own(student), answers(level="2", where="left wrist"))
    page = reverse("intake:review", args=[student.pk])
    assert "left wrist, 2 of 10" in coach_client.get(page).text
    other = signed_in(factories.make_coach(student.studio, name="Other Coach"))
    assert "left wrist" not in other.get(page).text


def test_half_of_a_pain_is_asked_about_and_nothing_is_lost(student):
    client = signed_in(student.user)
    page = client.post(own(student), answers(level="6", aim="Break 90"))
    assert page.status_code == 422
    assert "Say where it hurts" in page.text
    assert "Nothing is sent yet." in page.text
    assert "Break 90" in page.text
    assert not Intake.objects.exists()


def test_a_child_is_not_asked_of_health_and_the_guardian_is(coach):
    guardian = factories.make_user("Gail Guardian")
    child = factories.make_child(coach, guardian, name="Ada Child")
    by_child = signed_in(child.user)
    assert "asked of your parent or guardian" in by_child.get(own(child)).text
    by_child.post(own(child), answers(hurt_before="elbow", level="7", where="elbow"))
    assert not EarlierHurt.objects.exists()
    assert not PainNote.objects.exists()
    signed_in(guardian).post(own(child), answers(hurt_before="elbow, last year"))
    assert EarlierHurt.objects.get().told_by == guardian
    # The child's own answers later leave what the guardian told.
    by_child.post(own(child), answers(aim="Hit it far"))
    # Of health nobody has answered then: the guardian is asked anew, the child is not.
    assert (bundle(child, guardian)["asks"], bundle(child, child.user)["asks"]) == (own(child), "")
    assert EarlierHurt.objects.get().words == "elbow, last year"


def test_a_guardian_finds_the_questions_on_the_childs_page_until_they_are_answered(coach):
    """Nothing is asked of the child's phone: many have none."""
    guardian = factories.make_user("Gail Guardian")
    child = factories.make_child(coach, guardian, name="Ada Child", with_user=False)
    client = signed_in(guardian)
    page = reverse("log:child", args=[child.pk])
    assert f'href="{own(child)}">Six questions about Ada Child' in client.get(page).text
    client.post(own(child), answers())
    assert "Six questions" not in client.get(page).text


def test_what_hurt_before_is_read_by_need_and_each_look_is_kept(student, coach, coach_client):
    EarlierHurt.objects.create(student=student, told_by=student.user, words="Left knee, 2029")
    other = signed_in(factories.make_coach(student.studio, name="Other Coach"))
    for name in ("intake:review", "board:care"):
        page = reverse(name, args=[student.pk])
        assert "Left knee" not in other.get(page).text
        assert not PainLook.objects.filter(by=coach).count() > 1
        assert "Left knee" in coach_client.get(page).text
    assert set(PainLook.objects.values_list("by", "page")) == {
        (coach.pk, "First questions"),
        (coach.pk, "Care notes"),
    }


def test_what_hurt_before_goes_in_its_time(student, wednesday, settings):
    EarlierHurt.objects.create(student=student, told_by=student.user, words="Left knee")
    retention.forget()
    assert EarlierHurt.objects.exists()
    wednesday.shift(timedelta(days=731))
    retention.forget()
    assert not EarlierHurt.objects.exists()


def test_a_cannot_puts_a_caution_on_the_drills_that_need_it(
    student, coach, coach_client, wednesday
):
    turns = factories.make_drill(student.studio, "Wall-back turns")
    factories.make_drill(student.studio, "Putting ladder")
    factories.make_part(factories.make_week(student), turns)
    page = reverse("intake:screen", args=[student.pk])
    none = coach_client.post(page, {"movement": "lead_hip", "can": "cannot"})
    assert none.status_code == 422
    assert "Tick the drills" in none.text
    seen = {"movement": "lead_hip", "can": "cannot", "drills": [turns.pk]}
    assert coach_client.post(page, seen).status_code == 302
    line = "Cannot yet: turning into the lead hip. Care with Wall-back turns."
    assert line in limits_shown(coach, student).cannots
    (part,) = bundle(student, student.user)["weeks"][0]["parts"]
    assert part["why"] == "Care with turning into the lead hip: only as far as it goes by itself."
    # A later look at the same movement lifts it.
    wednesday.shift(timedelta(minutes=1))
    coach_client.post(page, {"movement": "lead_hip", "can": "effort"})
    assert line not in limits_shown(coach, student).cannots
    assert Screening.objects.count() == 2


def test_a_screening_is_to_be_made_again_after_ninety_days(student, coach, wednesday):
    page = reverse("intake:screen", args=[student.pk])
    signed_in(coach).post(page, {"movement": "squat", "can": "can"})
    assert "look again" not in signed_in(coach).get(page).text
    wednesday.shift(timedelta(days=91))
    assert "look again" in signed_in(coach).get(page).text


def test_who_only_assists_sets_no_screening(student):
    helper = factories.make_coach(student.studio, role=Membership.Role.ASSISTANT)
    page = reverse("intake:screen", args=[student.pk])
    assert signed_in(helper).get(page).status_code == 404
