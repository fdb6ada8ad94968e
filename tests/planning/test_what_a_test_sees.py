"""Before a block begins the coach sees what its test can see."""

from datetime import timedelta

import pytest

from practice.compliance.tally import recompute
from practice.drills.models import Area
from practice.drills.services import set_test
from practice.measures.claim import seen_by
from practice.measures.usual import HOUSE
from practice.numbers.claims.sees import counts_see, speeds_see
from tests.factories import MONDAY, make_drill, make_part, make_week
from tests.planning.test_set_week import address

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]


def test_the_words_are_those_of_the_claim_s_own_reach():
    words = counts_see("Ten balls", 10, HOUSE)
    points = [f"{100 * seen_by(days, 10):.3f}" for days in (6, 12)]
    for each in points:
        assert str(int(float(each)) + 1) in words
    assert words.startswith("Its test, Ten balls, of 10 tries: 6 test days see a change of ")
    assert "With 20 tries 12 see " in words
    assert "mph, 12 see " in speeds_see("Speed test", "ball_speed", "mph", HOUSE)


def test_another_day_is_said_to_tell_more_only_where_it_does():
    assert "Another day tells more than ten more tries." in counts_see("T", 24, HOUSE)
    assert "Another day" not in counts_see("T", 2, HOUSE)


@pytest.fixture
def tested(coach, student):
    drill = make_drill(student.studio, "Wall turn")
    set_test(drill=drill, test=make_drill(student.studio, "Ten balls", dose="10", is_test=True))
    return drill


def test_a_block_that_begins_shows_it_and_one_that_goes_on_does_not(coach_client, student, tested):
    week = make_week(student, MONDAY, sent=False)
    make_part(week, tested)
    page = coach_client.get(address(student)).content.decode()
    assert "Its test, Ten balls, of 10 tries" in page
    before = MONDAY - timedelta(7)
    make_part(make_week(student, before), tested)
    recompute(student, before)
    assert "Its test, Ten balls" not in coach_client.get(address(student)).content.decode()


@pytest.mark.parametrize("fields", [{"targets": "40, 60", "dose": "12 balls"}, {"dose": "8 min"}])
def test_a_test_that_is_not_counted_says_nothing(coach_client, student, fields):
    drill = make_drill(student.studio, "Block")
    test = make_drill(student.studio, "Far", is_test=True, area=Area.WEDGES, **fields)
    set_test(drill=drill, test=test)
    make_part(make_week(student, MONDAY, sent=False), drill)
    assert "Its test" not in coach_client.get(address(student)).content.decode()
