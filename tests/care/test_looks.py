"""Pain is read by need, every look is kept, and the guardian and the owner see by whom."""

from datetime import timedelta

import pytest
from django.utils import timezone

from coaching.lessons.models import Lesson
from practice.care import looks
from practice.care.asks_once import refusal
from practice.care.models import PainLook
from practice.care.work import Stopped
from shared.people import access
from shared.people.models import Membership, SecurityEvent
from tests import factories
from tests.conftest import signed_in
from tests.test_routes import things_of

Role = Membership.Role
WHERE = "Canary knee"


@pytest.fixture
def guardian(db):
    return factories.make_user("Gil Guardian")


@pytest.fixture
def hurt(coach, guardian):
    """A child with one of everything, pain too; it is told at this place of the body."""
    child = factories.make_child(coach, guardian, name="Kim")
    things_of(child)
    child.pain_notes.update(where=WHERE)
    return child


@pytest.fixture
def owner(hurt):
    return factories.make_coach(hurt.studio, Role.OWNER, name="Owner")


PAGES = [
    "/who/?all=1", "/who/calls/", "/care/", "/next/", "/students/{}/", "/students/{}/weeks/",
    "/students/{}/row/", "/students/{}/worked-out/", "/students/{}/care/",
    "/students/{}/door/", "/students/{}/handover/", "/students/{}/load/",
]  # fmt: skip


@pytest.mark.parametrize("page", PAGES)
def test_no_page_shows_pain_without_keeping_who_looked(coach, owner, hurt, page):
    """The lead coach's look is kept wherever pain stands; an owner without need sees none."""
    answer = signed_in(coach).get(page.format(hurt.pk))
    assert answer.status_code == 200
    if "knee" in answer.content.decode():
        assert PainLook.objects.filter(student=hurt, by=coach).exists()
    assert "knee" not in signed_in(owner).get(page.format(hurt.pk)).content.decode()
    assert not PainLook.objects.filter(by=owner).exists()


def test_the_walk_meets_pain(coach, hurt):
    """The test above has teeth: these pages do show it."""
    client = signed_in(coach)
    for page in ("/who/?all=1", "/students/{}/care/", "/students/{}/weeks/", "/students/{}/"):
        assert "knee" in client.get(page.format(hurt.pk)).content.decode(), page


def test_a_look_is_one_line_a_page_and_day(coach, hurt):
    client = signed_in(coach)
    for _ in range(3):
        client.get(f"/students/{hurt.pk}/care/")
    look = PainLook.objects.get(student=hurt, page="Care notes")
    assert (look.by, look.at <= look.last_at) == (coach, True)


def test_of_whom_no_pain_was_told_no_look_is_kept(coach, hurt):
    well = factories.make_student(coach, "Well")
    signed_in(coach).get(f"/students/{well.pk}/care/")
    assert not PainLook.objects.filter(student=well).exists()


def test_guardian_and_owner_read_by_whom_when_and_on_which_page(coach, owner, guardian, hurt):
    signed_in(coach).get(f"/students/{hurt.pk}/care/")
    for client, address in (
        (signed_in(guardian), f"/child/{hurt.pk}/read-by/"),
        (signed_in(owner), f"/students/{hurt.pk}/care/read-by/"),
    ):
        page = client.get(address).content.decode()
        assert "Coach One" in page
        assert "Care notes" in page
    assert signed_in(coach).get(f"/students/{hurt.pk}/care/read-by/").status_code == 404


@pytest.mark.parametrize("role", [Role.OWNER, Role.COACH])
def test_who_is_not_the_lead_coach_says_why(hurt, guardian, role):
    user = factories.make_coach(hurt.studio, role, name="Other One")
    client = signed_in(user)
    assert "knee" not in client.get(f"/students/{hurt.pk}/care/").content.decode()
    refused = client.post(f"/students/{hurt.pk}/care/need/", {"why": " "})
    assert "Say why" in refused.content.decode()
    client.post(f"/students/{hurt.pk}/care/need/", {"why": "I take over in March"})
    assert "knee" in client.get(f"/students/{hurt.pk}/care/").content.decode()
    assert "I take over in March" in (
        signed_in(guardian).get(f"/child/{hurt.pk}/read-by/").content.decode()
    )
    assert SecurityEvent.objects.get(kind="pain").by == user.pk


def test_a_need_ends_after_thirty_days(hurt, owner):
    looks.state_need(student=access.recordable(hurt), user=owner, why="for now")
    assert access.students_cared_for_by(owner).filter(pk=hurt.pk).exists()
    owner.care_needs.update(until=timezone.now() - timedelta(seconds=1))
    assert not access.students_cared_for_by(owner).filter(pk=hurt.pk).exists()


@pytest.mark.parametrize("role", [Role.ASSISTANT, Role.HELPER])
def test_an_assistant_and_a_strength_coach_have_no_need(hurt, role):
    user = factories.make_coach(hurt.studio, role)
    hurt.strength_coaches.add(user)
    asked = signed_in(user).post(f"/students/{hurt.pk}/care/need/", {"why": "Just so"})
    assert asked.status_code == 404
    looks.state_need(student=access.recordable(hurt), user=user, why="by a stray row")
    assert not access.students_cared_for_by(user).exists()


def test_who_gives_the_lesson_reads_it_and_that_is_said(hurt):
    other = factories.make_coach(hurt.studio, name="Other One")
    Lesson.objects.filter(student=hurt).delete()
    client = signed_in(other)
    client.post(f"/students/{hurt.pk}/lessons/open/")
    assert [need.why for need in looks.needs_of(hurt)] == ["gives a lesson"]
    assert "knee" in client.get(f"/students/{hurt.pk}/care/").content.decode()


def test_a_refusal_says_nothing_of_pain():
    for drill in (None, factories.MONDAY):
        stop = Stopped(id=None, drill=drill, name="Ladder" if drill else "", since=factories.MONDAY)
        said = refusal(stop)
        assert "pain" not in said
        assert "ask the lead coach, who can clear it." in said
