"""Pain while hard swings jump: until it is over, nothing offers a hard swing by itself."""

from datetime import timedelta

import pytest
from django.urls import reverse

from coaching.lesson_day.proposal import proposal_for
from coaching.lessons import services
from coaching.lessons.models import Finding
from practice.care.asks_once import Rests
from practice.care.models import PainNote
from practice.compliance.limits import limits_of
from practice.compliance.models import WeekTally
from practice.flows import set_week
from practice.flows.set_several import assign_to_several
from practice.flows.take_entry import STORED, Sender, receive_one
from practice.tryouts.services import may_begin
from practice.weeks import queries
from practice.weeks.models import Week
from tests import factories
from tests.care.asking import is_asked_once, typed
from tests.conftest import signed_in
from tests.factories import MONDAY, NOON
from tests.log.entries import entry

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]
NEXT = MONDAY + timedelta(weeks=1)


@pytest.fixture
def speed(student):
    return factories.make_drill(student.studio, "Speed set", area="speed", dose="3x4@max")


@pytest.fixture
def easy(student):
    return factories.make_drill(student.studio, "Quiet hands", dose="20 balls")


@pytest.fixture
def resting(student, speed, easy):
    """90 hard swings after ten a week, and a wrist that hurt a little on Monday."""
    week = factories.make_week(student)
    for drill in (speed, easy):
        factories.make_part(week, drill)
    receive_one(entry(student), sender=Sender(student, student.user))
    PainNote.objects.create(
        student=student, entry=student.entries.get(), level=2, day=MONDAY, told_at=NOON
    )
    for weeks, swings in enumerate((90, 10, 10, 10, 10)):
        WeekTally.objects.update_or_create(
            student=student,
            opens=MONDAY - timedelta(weeks=weeks),
            defaults={"hard_swings": swings},
        )
    return student


def log(student, part, day, *, clean):
    done = {"p": str(part.pk), "d": None, "s": [{"n": 20, "c": clean, "e": None}]}
    said = entry(student, part, day=str(day), at=f"{day}T11:30:00+00:00", b=[done])
    assert receive_one(said, sender=Sender(student, student.user)) == STORED


def names(week):
    return [part.revision.name for part in queries.live_parts().filter(week=week)]


def test_a_rest_is_one_fact_and_ends_when_either_half_of_it_does(resting):
    assert limits_of(resting).rests
    WeekTally.objects.filter(opens=MONDAY).update(hard_swings=12)
    assert not limits_of(resting).rests
    WeekTally.objects.filter(opens=MONDAY).update(hard_swings=90)
    PainNote.objects.update(day=MONDAY - timedelta(days=15))
    assert not limits_of(resting).rests


def test_last_week_as_it_was_comes_without_the_hard_part(coach, resting):
    source = Week.objects.get()
    week = set_week.start_draft(student=resting, opens=NEXT, by=coach, source=source)
    assert [part.drill.current.name for part in week.parts.all()] == ["Quiet hands"]


def test_a_week_for_several_leaves_it_out_and_says_so(coach, resting):
    (outcome,) = assign_to_several(
        students=[resting], opens_for={resting.pk: NEXT}, source=Week.objects.get(), percents={},
        by=coach, send=True,
    )  # fmt: skip
    assert (outcome.error, outcome.found.left_out) == ("", ("Speed set",))
    assert names(outcome.week) == ["Quiet hands"]


def test_it_is_named_first_where_several_are_given_a_week(coach, resting):
    page = signed_in(coach).get(reverse("plans:several")).content.decode()
    assert "No hard swings for now: something hurts" in page


def test_closing_a_lesson_proposes_no_hard_swing_and_no_more_of_anything(
    coach, resting, speed, easy
):
    """All was done, and all of 40 clean: without what hurts it would be raised."""
    for n in range(3):
        log(resting, Week.objects.get().parts.get(drill=easy), MONDAY + timedelta(days=n), clean=20)
    WeekTally.objects.filter(opens=MONDAY).update(hard_swings=90)
    lesson = services.open_lesson(student=resting, by=coach)
    Finding.objects.create(lesson=lesson, position=0, fault="slow").drills.add(speed)
    rows = {row.name: row for row in proposal_for(lesson).rows}
    assert rows["Speed set"].choice("").carry == "leave out"
    assert rows["Speed set"].reason == "A rest from hard swings: left out for now."
    assert all(choice.hard_swings == 0 for choice in rows["Speed set"].choices)
    assert rows["Quiet hands"].choice("").carry == "keep"
    PainNote.objects.all().delete()
    rows = {row.name: row for row in proposal_for(lesson).rows}
    assert rows["Quiet hands"].choice("").carry == "raise"


def test_a_coach_who_asks_for_them_all_the_same_is_asked_once(coach, resting, speed):
    form = typed(speed, "3x4@max", 2)
    words = "These days are a rest from hard swings."
    assert names(is_asked_once(coach, resting, NEXT, form, words)) == ["Speed set"]


def test_a_hard_part_that_was_asked_before_may_stay_and_no_other_may_come(coach, resting, speed):
    week = Week.objects.get()
    specs = queries.specs_of(week)
    more = factories.make_drill(resting.studio, "More speed", area="speed", dose="5@max")
    set_week.amend_week(week=week, specs=specs[:1], by=coach)
    assert names(week) == ["Speed set"]
    WeekTally.objects.filter(opens=MONDAY).update(hard_swings=90)  # As before the change.
    draft = set_week.start_draft(student=resting, opens=NEXT, by=coach)
    factories.make_part(draft, more)
    with pytest.raises(Rests):
        set_week.send_week(week=draft, by=coach)
    with pytest.raises(Rests):
        set_week.amend_week(week=week, specs=[*specs, *queries.specs_of(draft)], by=coach)


def test_no_try_out_of_hard_work_begins(resting, speed, easy):
    assert not may_begin(resting, speed)
    assert may_begin(resting, easy)


def test_care_notes_of_all_name_who_rests(coach, resting):
    page = signed_in(coach).get(reverse("board:care_roster")).content.decode()
    assert resting.name in page
    assert "Rest from hard swings" in page
    assert "Something hurts, after many more hard swings than usual." in page
    PainNote.objects.all().delete()
    assert resting.name not in signed_in(coach).get(reverse("board:care_roster")).content.decode()


def test_it_stands_at_each_lesson_of_the_day(coach, resting):
    lesson = services.plan_lesson(student=resting, coach=coach, at=NOON + timedelta(hours=1))
    first = factories.make_student(coach, "First Today")
    services.plan_lesson(student=first, coach=coach, at=NOON + timedelta(minutes=30))
    page = signed_in(coach).get(reverse("lessons:next_up")).content.decode()
    assert "Rest from hard swings." in page[page.index(lesson.student.name) :]


@pytest.mark.parametrize(("free_day", "carry"), [(False, "lower"), (True, "keep")])
def test_what_hurt_on_both_of_the_last_days_is_asked_less_however_long_ago(
    coach, student, easy, free_day, carry
):
    """The board says so of part 1: closing a lesson proposes it."""
    part = factories.make_part(factories.make_week(student, MONDAY - timedelta(weeks=6)), easy)
    factories.make_part(factories.make_week(student), easy)
    days = [MONDAY - timedelta(days=40), MONDAY - timedelta(days=38)]
    for day in days:
        log(student, part, day, clean=12)
        PainNote.objects.create(
            student=student, entry=student.entries.get(day=day), level=3, day=day, told_at=NOON
        )
    if free_day:
        PainNote.objects.filter(day=days[1]).delete()
    WeekTally.objects.exclude(opens=MONDAY).update(minutes=200)  # So that no week is a stretch.
    lesson = services.open_lesson(student=student, by=coach)
    (row,) = proposal_for(lesson).rows
    assert row.choice("").carry == carry
