"""A test's days beside each other: balls, median, spread and number, in the reader's units."""

from datetime import date
from statistics import median, stdev

import pytest
from django.urls import reverse

from practice.shots.models import Club, Shot, Sitting
from practice.shots.results import EACH, results_of_tests
from shared.people.models import User
from tests import factories

pytestmark = pytest.mark.django_db
MPH = 0.44704  # NIST SP 811 (2008), B.8.
SPEEDS = [101.3, 99.5, 102.0, 101.0, 98.0, 103.0]


@pytest.fixture
def drill(coach):
    return factories.make_drill(
        factories.studio_of(coach), "Speed test", "6@max", is_test=True, measures="club_speed"
    )


def sit(student, drill, shots, day=date(2031, 2, 25), **fields):
    sitting = Sitting.objects.create(student=student, drill=drill, day=day, **fields)
    Shot.objects.bulk_create(
        Shot(sitting=sitting, student=student, number=number, **shot)
        for number, shot in enumerate(shots, 1)
    )
    return sitting


def speeds(*mph):
    return [{"club_speed": value * MPH} for value in mph]


def test_a_day_shows_its_balls_their_median_spread_and_number(coach, student, drill):
    sit(student, drill, speeds(*SPEEDS), device="Radar", place="bay 2", indoors=True)
    (test,) = results_of_tests(student, coach)
    (day,) = test.days
    assert test.name == "Speed test"
    assert (day.day, day.with_what) == ("Tue 25 Feb 2031", "Radar, bay 2, indoors, measured")
    assert day.figures == [
        f"median {median(SPEEDS):.1f} mph, spread {stdev(SPEEDS):.1f} mph, 6 balls"
    ]
    assert day.balls == "101.3 mph, 99.5 mph, 102.0 mph, 101.0 mph, 98.0 mph, 103.0 mph"


def test_a_device_that_tells_the_other_speed_is_named_so(coach, student, drill):
    sit(student, drill, [{"ball_speed": value * MPH} for value in SPEEDS])
    (day,) = results_of_tests(student, coach)[0].days
    assert day.figures == [
        f"ball speed: median {median(SPEEDS):.1f} mph, spread {stdev(SPEEDS):.1f} mph, 6 balls"
    ]
    assert day.balls.startswith("101.3 mph")


def test_too_few_balls_have_no_spread(coach, student, drill):
    sit(student, drill, speeds(100))
    (day,) = results_of_tests(student, coach)[0].days
    assert day.figures == ["median 100.0 mph, too few balls for a spread, 1 ball"]


def test_the_newest_days_come_first_and_only_those_that_count(coach, student, drill):
    for day in range(1, 9):
        sit(student, drill, speeds(90 + day), date(2031, 2, day))
    sit(student, drill, speeds(200), date(2031, 2, 20), counts=False)
    (test,) = results_of_tests(student, coach)
    assert [day.balls for day in test.days] == [f"{90 + d}.0 mph" for d in (8, 7, 6, 5, 4, 3)]
    assert len(test.days) == EACH


def test_swings_are_told_apart_and_called_distances_by_how_far_off(coach, student, drill):
    User.objects.filter(pk=coach.pk).update(distance_unit="m")
    coach.refresh_from_db()
    wedges = factories.make_drill(drill.studio, "Wedge card", "4x8", measures="carry")
    called = factories.make_drill(drill.studio, "Called", "9 balls", measures="carry")
    club = Club.objects.create(student=student, name="54")
    swings = [("chest", 60), ("chest", 62), ("hip", 40)]
    sit(student, wedges, [{"club": club, "length": way, "carry": m} for way, m in swings])
    sit(student, called, [{"carry": 62, "target": 60}, {"carry": 37, "target": 40}])
    by_name = {test.name: test.days[0] for test in results_of_tests(student, coach)}
    assert by_name["Wedge card"].figures == [
        "54 chest-high: median 61.0 m, too few balls for a spread, 2 balls",
        "54 hip-high: median 40.0 m, too few balls for a spread, 1 ball",
    ]
    assert by_name["Called"].figures == [
        "off the target: median 2.5 m, too few balls for a spread, 2 balls"
    ]
    assert by_name["Called"].balls == "62.0 m at 60 m, 37.0 m at 40 m"


@pytest.mark.parametrize("many", [1, 8])
def test_the_number_of_queries_does_not_grow(
    coach, student, drill, many, django_assert_num_queries
):
    club = Club.objects.create(student=student, name="D")
    for day in range(1, many + 1):
        shots = [shot | {"club": club} for shot in speeds(*SPEEDS)]
        sit(student, drill, shots, date(2031, 2, day))
    with django_assert_num_queries(2):
        assert results_of_tests(student, coach)


def test_the_coachs_page_shows_what_the_phone_logged_and_nobody_elses(
    client, coach, student, drill
):
    part = factories.make_part(factories.make_week(student), drill)
    sit(student, part.drill, speeds(*SPEEDS), device="<Radar>")
    sit(factories.make_student(coach, "Other"), drill, speeds(77))
    client.force_login(coach)
    html = client.get(reverse("board:weeks", args=[student.pk])).content.decode()
    assert "Median 101.2 mph, spread 1.8 mph, 6 balls" in html
    assert "&lt;Radar&gt;, measured" in html
    assert "77.0 mph" not in html
