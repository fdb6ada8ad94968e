"""One current cue for each priority, and the page for whoever teaches the student next."""

import re
from datetime import date, timedelta

import pytest
from django.urls import reverse

from coaching.lessons import services
from coaching.lessons.cues import SaidCue, current_cues, restless_words
from coaching.lessons.models import Finding, Lesson
from coaching.season.models import Priority, SeasonPlan
from practice.care.models import PainNote, Stop
from practice.flows.take_entry import STORED, Sender, receive_one
from shared.people.models import Membership
from tests import factories
from tests.conftest import signed_in
from tests.factories import MONDAY, NOON
from tests.log.entries import entry

TODAY = date(2031, 2, 26)


def said(ago: int, cue: str, by: str = "Odile", place: int = 0) -> SaidCue:
    return SaidCue(place, "sways", cue, by, TODAY - timedelta(ago))


# --- cues ------------------------------------------------------------------------------


def test_the_latest_cue_stands_with_its_owner_and_day():
    first, second = current_cues(
        [said(40, "barrel"), said(9, "belt to the wall", "Jonty"), said(20, "long arms", place=1)],
        TODAY,
    )
    assert (first.cue, first.by, first.since) == (
        "belt to the wall",
        "Jonty",
        TODAY - timedelta(9),
    )
    assert (first.changes, second.cue, second.changes) == (1, "long arms", 0)


def test_the_same_words_again_are_no_change_and_keep_their_owner():
    (cue,) = current_cues([said(20, "Barrel"), said(5, " barrel ", "Jonty")], TODAY)
    assert (cue.by, cue.since, cue.changes) == ("Odile", TODAY - timedelta(20), 0)


def test_the_first_cue_is_no_change_and_old_changes_are_let_go():
    (cue,) = current_cues([said(60, "a"), said(31, "b"), said(30, "c"), said(29, "d")], TODAY)
    assert cue.changes == 1


@pytest.mark.parametrize(("changes", "told"), [(2, False), (3, True)])
def test_more_than_two_changes_in_thirty_days_are_told(changes, told):
    cues = current_cues([said(28 - n, f"cue {n}") for n in range(changes + 1)], TODAY)
    assert cues[0].changes == changes
    words = restless_words(cues)
    assert bool(words) is told
    if told:
        assert words == [
            "The cue of priority 1 changed three times in 30 days. Agree on one first."
        ]


# --- the page --------------------------------------------------------------------------


def lesson(student, by, ago, cue, private=""):
    at = NOON - timedelta(days=ago)
    made = Lesson.objects.create(
        student=student, coach=by, at=at, opened_at=at, private=private,
        state=Lesson.State.CLOSED, ending=Lesson.Ending.NONE,
    )  # fmt: skip
    Finding.objects.create(lesson=made, position=0, fault="sways", cue=cue)
    return made


def page(client, student):
    return client.get(reverse("lessons:handover", args=[student.pk])).content.decode()


@pytest.mark.django_db
@pytest.mark.usefixtures("wednesday")
def test_the_next_coach_reads_who_said_what_and_what_stands(coach, coach_client, student):
    other = factories.make_coach(student.studio, name="Jonty Other")
    lesson(student, coach, 20, "stay in the barrel", private="Left the job in January.")
    lesson(student, other, 6, "belt to the wall")
    week = factories.make_week(student)
    ladder = factories.make_drill(student.studio)
    factories.make_part(week, ladder, cue="stay in the barrel")
    Stop.objects.create(student=student, since=MONDAY, drill=ladder)
    plan = SeasonPlan.objects.create(
        student=student, first=MONDAY, last=MONDAY + timedelta(90), made_by=coach
    )
    Priority.objects.create(plan=plan, place=1, name="Sway", stage="flow")
    body = page(coach_client, student)
    assert "“belt to the wall”" in body
    assert "Jonty Other, since Thursday" in body
    assert "another cue than in the lesson" in body
    assert "No Ladder since Mon 24 Feb, until a coach clears it." in body
    assert "1. Sway (stage Flow)" in body
    assert "Coach One: one lesson" in body
    assert "Jonty Other: one lesson" in body
    assert "Left the job in January." in body


@pytest.mark.django_db
@pytest.mark.usefixtures("wednesday")
def test_the_cue_and_its_changes_are_at_the_door_and_on_the_students_page(
    coach, coach_client, student
):
    for ago, cue in ((20, "one"), (15, "two"), (10, "three"), (5, "four")):
        lesson(student, coach, ago, cue)
    door = coach_client.get(reverse("lessons:door", args=[student.pk])).content.decode()
    assert "“four”" in door
    assert "changed three times in 30 days" in door
    shown = coach_client.get(reverse("board:student", args=[student.pk])).content.decode()
    assert "<dt>Priority 1</dt><dd>“four”</dd>" in shown


@pytest.mark.django_db
@pytest.mark.usefixtures("wednesday")
def test_an_assistant_reads_the_limit_and_not_the_pain_and_changes_no_cue(coach, student):
    written = lesson(student, coach, 6, "belt to the wall")
    pain = {"lvl": 6, "where": "lower back", "signs": [], "new": True, "p": None}
    assert (
        receive_one(entry(student) | {"pain": pain}, sender=Sender(student, student.user)) == STORED
    )
    assert PainNote.objects.exists()
    helper = signed_in(factories.make_coach(student.studio, Membership.Role.ASSISTANT))
    body = page(helper, student)
    assert "No hard swings since Wed 26 Feb, until a coach clears it." in body
    assert "lower back" not in body
    change = reverse("lessons:typed", args=[written.pk])
    assert helper.post(change, "{}", "application/json").status_code == 404
    tried = reverse("board:tried", args=[student.pk])
    assert helper.post(tried, {"what": "other", "note": "Held the finish"}).status_code != 404
    assert "Held the finish" in page(helper, student)


@pytest.mark.django_db
@pytest.mark.usefixtures("wednesday")
def test_its_link_leads_to_where_what_was_tried_is_written(coach_client, student):
    (link,) = re.findall(r'href="([^"]+)">Write down what was tried', page(coach_client, student))
    address, place = link.split("#")
    there = coach_client.get(address).content.decode()
    assert f'id="{place}"' in there
    assert reverse("board:tried", args=[student.pk]) in there


@pytest.mark.django_db
@pytest.mark.usefixtures("wednesday")
def test_of_a_new_student_it_says_that_nothing_is_known(coach_client, student):
    body = page(coach_client, student)
    for words in ("No cue is written down yet.", "No week was sent", "No season is planned."):
        assert words in body


@pytest.mark.django_db
@pytest.mark.usefixtures("wednesday")
@pytest.mark.parametrize("many", [1, 30])
def test_it_costs_the_same_for_any_history(
    coach, coach_client, student, many, django_assert_num_queries
):
    week = factories.make_week(student)
    ladder = factories.make_drill(student.studio)
    for n in range(many):
        lesson(student, coach, n, f"cue {n}", private="x")
        factories.make_part(week, ladder)
    # Session, user and roles, the student, cues, the week and its parts, limits with what stands
    # near the week (2), the season, lessons, tried, otherwise, and notes to answer in the frame.
    with django_assert_num_queries(11):
        page(coach_client, student)


@pytest.mark.django_db
@pytest.mark.usefixtures("wednesday")
def test_a_cue_of_a_lesson_that_began_early_stands_since_it_began(coach, coach_client, student):
    tomorrow = NOON + timedelta(hours=14)
    services.plan_lesson(student=student, coach=coach, at=tomorrow)
    opened = services.open_lesson(student=student, by=coach)
    assert opened.at == tomorrow
    services.keep_typed(lesson=opened, fields={"0.cue": (None, "tail on the fence")})
    body = page(coach_client, student)
    assert "“tail on the fence”" in body
    assert "Coach One, since today" in body
    assert "one lesson, the last on Wed 26 Feb" in body


@pytest.mark.django_db
@pytest.mark.usefixtures("wednesday")
def test_a_week_is_of_whoever_set_it(coach, coach_client, student):
    """Whoever looks and the lead coach are at hand; anybody else is asked for."""
    other = factories.make_coach(student.studio, name="Somebody Else")
    week = factories.make_week(student, author=other)
    assert "sent by Somebody Else" in page(coach_client, student)
    week.author = coach
    week.save(update_fields=["author"])
    assert f"sent by {coach}" in page(coach_client, student)


@pytest.mark.usefixtures("wednesday")
def test_what_is_not_for_now_is_said_beside_the_part(coach_client, student):
    """Above it stands that hard swings rest or a drill is stopped; the week was sent before."""
    week = factories.make_week(student)
    ladder = factories.make_drill(student.studio, "Ladder of the stop")
    for drill in (ladder, factories.make_drill(student.studio, "Quiet hands", "20 balls")):
        factories.make_part(week, drill, sessions=2)
    Stop.objects.create(student=student, drill=ladder, since=MONDAY)
    page = coach_client.get(reverse("lessons:handover", args=[student.pk]))
    words = dict(page.context["page"].parts)
    assert words["Ladder of the stop"].endswith("; two visits; not for now")
    assert words["Quiet hands"].endswith("; two visits")
