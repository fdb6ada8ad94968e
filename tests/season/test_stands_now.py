"""The phase of a day and what the season is about, in one question."""

from datetime import timedelta

import pytest

from coaching.season.models import Phase, Priority
from coaching.season.read import stands_now
from tests.factories import MONDAY, make_coach, make_student
from tests.season import make

pytestmark = pytest.mark.django_db
WEEK = timedelta(weeks=1)


@pytest.fixture
def student():
    return make_student(make_coach())


def phase(plan, name, first, last):
    return Phase.objects.create(plan=plan, name=name, first=first, last=last)


def test_nobody_s_season_says_nothing(student):
    assert stands_now(student, MONDAY) == (None, [])


def test_a_season_without_a_phase_now_has_its_priorities_in_order(student):
    plan = make.make_plan(student, phases=[], priorities=[])
    phase(plan, "Over", MONDAY - 3 * WEEK, MONDAY - timedelta(days=1))
    for place in (2, 1):
        Priority.objects.create(plan=plan, place=place, name=f"about {place}")
    now, about = stands_now(student, MONDAY)
    assert now is None
    assert [each.place for each in about] == [1, 2]


def test_of_two_phases_the_first_made_stands_and_no_priority_is_said_twice(student):
    plan = make.make_plan(student, phases=[], priorities=[])
    phase(plan, "Build", MONDAY - WEEK, MONDAY)
    phase(plan, "Sharpen", MONDAY, MONDAY + WEEK)
    for place in (1, 2):
        Priority.objects.create(plan=plan, place=place, name=f"about {place}")
    now, about = stands_now(student, MONDAY)
    assert now.name == "Build"
    assert [each.name for each in about] == ["about 1", "about 2"]


def test_it_is_one_question(student, django_assert_num_queries):
    plan = make.make_plan(student, phases=[], priorities=[])
    phase(plan, "Now", MONDAY, MONDAY)
    with django_assert_num_queries(1):
        stands_now(student, MONDAY)
