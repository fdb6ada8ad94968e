"""Before a block begins the coach sees what its test can see."""

from datetime import timedelta

import pytest
from django.urls import reverse

from coaching.lessons.models import Finding
from coaching.lessons.services import open_lesson
from practice.compliance.tally import recompute
from practice.drills.models import Area
from practice.drills.services import set_test
from practice.measures.claim import seen_by
from practice.measures.usual import HOUSE
from practice.numbers.kit.sees import counts_see, speeds_see
from tests.factories import MONDAY, make_drill, make_part, make_week
from tests.planning.test_set_week import address
from tests.reading.sentences import sentences

SEEN = "Its test, Ten balls, has 10 tries a day."
pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]


def test_the_words_are_those_of_the_claim_s_own_reach():
    words = counts_see("Ten balls", 10, HOUSE)
    points = [f"{100 * seen_by(days, 10):.3f}" for days in (5, 10)]
    for each in points:
        assert str(int(float(each)) + 1) in words
    assert words.startswith("Its test, Ten balls, has 10 tries a day. Five test days see a ch")
    assert "With 20 tries a day ten see " in words
    assert "mph, ten see " in speeds_see("Speed test", "ball_speed", "mph", HOUSE)


def test_each_of_its_sentences_can_be_said_aloud():
    said = [
        *(counts_see("Wall turn, ten balls", tries, HOUSE) for tries in (1, 10, 120)),
        speeds_see("Full speed", "ball_speed", "kmh", HOUSE),
    ]
    assert not [each for text in said for each in sentences(text) if each.faults()]


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
    assert SEEN in page
    before = MONDAY - timedelta(7)
    make_part(make_week(student, before), tested)
    recompute(student, before)
    assert SEEN not in coach_client.get(address(student)).content.decode()


def test_it_stands_on_every_other_page_on_which_one_begins(coach, coach_client, student, tested):
    """The week after a lesson, a week for several, and both kinds of try-outs."""
    lesson = open_lesson(student=student, by=coach)
    closes = reverse("lessons:close", args=[lesson.pk])
    assert SEEN not in coach_client.get(closes).content.decode()
    Finding.objects.create(lesson=lesson, fault="early turn").drills.add(tested)
    assert SEEN in coach_client.get(closes).content.decode()
    # What last week asked does not begin.
    before = make_week(student, MONDAY - timedelta(7))
    make_part(before, tested)
    assert SEEN not in coach_client.get(closes).content.decode()
    chosen = {"source": f"week:{before.pk}", "do": "look"}
    assert SEEN in coach_client.post(reverse("plans:several"), chosen).content.decode()
    assert SEEN not in coach_client.get(reverse("plans:several")).content.decode()
    for name in ("try_out", "try_turns"):
        page = coach_client.get(reverse(f"progress:{name}", args=[student.pk]))
        assert SEEN in page.content.decode()


@pytest.mark.parametrize("fields", [{"targets": "40, 60", "dose": "12 balls"}, {"dose": "8 min"}])
def test_a_test_that_is_not_counted_says_nothing(coach_client, student, fields):
    drill = make_drill(student.studio, "Block")
    test = make_drill(student.studio, "Far", is_test=True, area=Area.WEDGES, **fields)
    set_test(drill=drill, test=test)
    make_part(make_week(student, MONDAY, sent=False), drill)
    assert "Its test" not in coach_client.get(address(student)).content.decode()
