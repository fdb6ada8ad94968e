"""The wedge card as the phone gets it: which balls, of which series, and how few are too few."""

from datetime import date, timedelta
from statistics import fmean, stdev

import pytest

from practice.measures.wedges import Cell, best_swings, expected_miss
from practice.shots.models import Club, Shot, Sitting
from practice.shots.queries import (
    LEAST_BALLS,
    NEWEST,
    club_names,
    setting_asked,
    usual_figures,
    wedge_swings,
)
from tests import factories

pytestmark = pytest.mark.django_db

TODAY = date(2031, 2, 26)
HIP = [30.0, 31.0, 33.0, 29.0, 32.0]
CHEST = [58.0, 61.5, 60.0, 59.0, 62.5, 57.0]


@pytest.fixture
def student():
    return factories.make_student(factories.make_coach())


def club(student, name="54", **fields):
    return Club.objects.get_or_create(student=student, name=name, defaults=fields)[0]


def hit(student, carries, days_ago=1, *, length="chest", name="54", loft=None, **setting):
    setting = {"device": "Radar", "place": "bay", "indoors": True} | setting
    sitting = Sitting.objects.create(
        student=student, day=TODAY - timedelta(days=days_ago), **setting
    )
    bag = club(student, name, loft=loft)
    Shot.objects.bulk_create(
        Shot(
            sitting=sitting,
            student=student,
            number=number,
            club=bag,
            length=length,
            carry=carry,
        )
        for number, carry in enumerate(carries, 1)
    )
    return sitting


def card(student):
    return {(s.club, s.length): s for s in wedge_swings(student, TODAY).swings}


def test_a_swing_has_its_mean_spread_number_and_newest_day(student):
    hit(student, CHEST, 3)
    hit(student, HIP, 5, length="hip")
    hip, chest = wedge_swings(student, TODAY).swings
    assert (hip.length, chest.length) == ("hip", "chest")
    assert (chest.carry, chest.spread) == (fmean(CHEST), stdev(CHEST))
    assert (chest.n, chest.newest) == (6, TODAY - timedelta(days=3))


def test_the_phones_two_numbers_give_the_same_miss_as_the_measure(student):
    hit(student, CHEST)
    hit(student, HIP, length="hip")
    balls = {Cell("54", "chest"): CHEST, Cell("54", "hip"): HIP}
    for target in (25.0, 40.0, 61.25):
        mine = {
            (s.club, s.length): expected_miss(s.carry - target, s.miss)
            for s in wedge_swings(student, TODAY).swings
        }
        theirs = best_swings(balls, target)
        assert {(c.cell.club, c.cell.length): c.expected for c in theirs} == pytest.approx(mine)


def test_too_few_balls_are_there_and_not_to_be_chosen(student):
    hit(student, CHEST[: LEAST_BALLS - 1])
    (swing,) = wedge_swings(student, TODAY).swings
    assert (swing.n, swing.spread, swing.miss) == (4, None, None)


def test_nothing_is_an_empty_card(student):
    assert wedge_swings(student, TODAY).as_row() == {"series": "", "need": 5, "swings": []}


def test_series_are_never_joined_and_the_fullest_of_late_is_the_card(student):
    hit(student, CHEST, 2)
    hit(student, [80.0] * 5, 1, indoors=False)
    hit(student, [90.0] * 9, 120, place="beach")
    found = wedge_swings(student, TODAY)
    assert found.series == "Radar, bay, indoors"
    assert [swing.n for swing in found.swings] == [6]


@pytest.mark.parametrize(
    "fields",
    [{"counts": False}, {"from_memory": True}, {"days_ago": 180}, {"loft": 10.5, "name": "Driver"}],
)
def test_what_is_left_out_of_it(student, fields):
    hit(student, CHEST)
    hit(student, [200.0] * 5, **fields)
    assert [(s.carry, s.n) for s in wedge_swings(student, TODAY).swings] == [(fmean(CHEST), 6)]


def test_balls_of_another_time_or_of_the_club_as_it_was_are_left_out(student):
    hit(student, CHEST, 1)
    hit(student, [70.0] * 3, 91)
    hit(student, HIP, 20, name="60")
    hit(student, [99.0], 30, name="60")
    Club.objects.filter(name="60").update(changed_on=TODAY - timedelta(days=25))
    assert {key: swing.n for key, swing in card(student).items()} == {
        ("54", "chest"): 6,
        ("60", "chest"): 5,
    }


def test_a_retired_club_and_another_students_balls_are_not_on_it(student, coach):
    hit(factories.make_student(coach), CHEST)
    hit(student, CHEST)
    Club.objects.filter(student=student).update(retired_on=TODAY)
    assert wedge_swings(student, TODAY).swings == ()
    assert club_names(student) == []


def test_the_card_stands_on_the_newest_two_thousand_balls_in_one_query(
    student, django_assert_num_queries
):
    hit(student, [50.0] * 5, 2)
    hit(student, [60.0] * 2000, 1)
    with django_assert_num_queries(1):
        (swing,) = wedge_swings(student, TODAY).swings
    assert (swing.n, swing.carry) == (2000, 60.0)


def test_clubs_by_loft_and_the_last_setting(student):
    assert setting_asked(student).answer is None
    hit(student, CHEST, 9, device="Old")
    hit(student, CHEST, 2, name="48", loft=48)
    club(student, "60", loft=60)
    assert club_names(student) == ["60", "48", "54"]
    assert setting_asked(student).answer == {
        "device": "Radar",
        "ball": "",
        "place": "bay",
        "indoors": True,
    }


def usual(student):
    return {each[:3]: each.middle for each in usual_figures(student)}


def test_what_is_usual_is_the_middle_of_the_newest_balls_of_a_swing(student):
    hit(student, CHEST)
    hit(student, HIP, length="hip")  # Five balls are too few to ask by.
    assert usual(student) == {("carry", "54", "chest"): 59.5}
    hit(student, [80.0] * NEWEST, 0)
    hit(student, [40.0] * 6, 0, name="60")
    hit(student, [40.0] * 6, 0).delete()
    assert usual(student) == {("carry", "54", "chest"): 80.0, ("carry", "60", "chest"): 40.0}


def test_a_speed_is_usual_of_its_club_and_of_all_together(student):
    for name, speed in (("driver", 50.0), ("7", 40.0)):
        sitting = hit(student, [60.0] * 7, name=name, length="")
        sitting.shots.update(carry=None, club_speed=speed)
    hit(student, [60.0] * 6, name="9", counts=False).shots.update(club_speed=1.0)
    nameless = hit(student, [30.0] * 6, length="full")
    nameless.shots.update(club=None, club_speed=30.0)
    assert usual(student) == {
        ("club_speed", "driver", ""): 50.0,
        ("club_speed", "7", ""): 40.0,
        ("club_speed", "", ""): 40.0,
    }
