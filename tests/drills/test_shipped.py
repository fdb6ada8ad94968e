"""What ships: complete, in the fixed shape, and copied once."""

import pytest

from practice.drills import dose
from practice.drills.models import Area, Caution, Drill, DrillRevision
from practice.drills.protocol import targets
from practice.drills.shipped import shipped, stock_shelf
from shared.people.events import studio_made
from tests.factories import make_studio, make_user

ROWS = shipped()
SLUGS = [row["slug"] for row in ROWS]
CHECK_VALUES = {"10@50, 8@70, 6@90", "10@50, 8@70, 6@90, back 10@50"}
REQUIRED = ("name", "purpose", "setup", "setup_seated", "to_log", "equipment", "places", "space")


def test_eighteen_drills_and_six_tests_ship():
    assert len(ROWS) == len(set(SLUGS)) == 24
    assert sum(row["is_test"] for row in ROWS) == 6


@pytest.mark.parametrize("row", ROWS, ids=SLUGS)
def test_each_says_all_it_must(row):
    assert all(row[field] for field in REQUIRED)
    assert row["area"] in Area.values
    if not row["is_test"]:
        assert row["go_up"]
        assert row["go_down"]
        assert row["short_form"]


@pytest.mark.parametrize("row", ROWS, ids=SLUGS)
def test_each_dose_is_read_and_written_the_same(row):
    for text in filter(None, (row["dose"], row.get("short_form"))):
        assert str(dose.parse(text)) == text
        assert text not in CHECK_VALUES  # The trade's ladder is for tests, not for shelves.


@pytest.mark.parametrize("row", [r for r in ROWS if r.get("short_form")], ids=lambda r: r["slug"])
def test_the_short_form_fits_in_fifteen_minutes_and_asks_for_less(row):
    pace = row.get("seconds_per_rep", 30)
    short = dose.parse(row["short_form"]).minutes(pace)
    assert short <= 15
    assert short < dose.parse(row["dose"]).minutes(pace)


@pytest.mark.parametrize("row", [r for r in ROWS if "caution" in r], ids=lambda r: r["slug"])
def test_a_caution_has_its_three_parts_in_25_words(row):
    caution = row["caution"]
    assert set(caution) == {"when", "stop", "who"}
    assert all(caution.values())
    assert sum(len(text.split()) for text in caution.values()) <= 25


def test_what_is_measured_of_the_tests_and_in_which_order():
    tests = {row["slug"]: row for row in ROWS if row["is_test"]}
    measured = {slug: row.get("measures", "") for slug, row in tests.items()}
    assert {slug: what for slug, what in measured.items() if what} == {
        "speed-test": "club_speed",
        "wedge-card": "carry",
        "nine-distances": "carry",
    }
    assert tests["speed-test"]["rest_seconds"] == 45
    called = targets(tests["nine-distances"]["targets"])
    assert (len(called), min(called), max(called)) == (9, 30, 100)


def test_swaps_are_other_drills_that_ship_and_no_tests():
    tests = {row["slug"] for row in ROWS if row["is_test"]}
    for row in ROWS:
        swaps = set(row.get("swaps", ()))
        assert swaps <= set(SLUGS) - tests - {row["slug"]}


def test_left_and_right_handers_read_the_same_text():
    # Left and right may only be directions of the ball, which a log asks for.
    for row in ROWS:
        words = (
            f"{row['purpose']} {row['setup']} {row['setup_seated']} {row.get('clean_means', '')}"
        )
        assert not {"left", "right"} & set(words.lower().replace(".", " ").split())


def test_a_new_studio_is_stocked_with_valid_rows(db):
    studio = make_studio()
    stock_shelf(studio, make_user())
    assert Drill.objects.filter(studio=studio).count() == 24
    for revision in DrillRevision.objects.filter(drill__studio=studio):
        revision.clean_fields(exclude=["written_by"])
        assert revision.drill.current == revision
    for caution in Caution.objects.filter(drill__studio=studio):
        caution.full_clean()
    swaps = Drill.objects.get(studio=studio, shipped_as="wall-back-turn").swaps
    assert swaps.get().shipped_as == "turn-and-hip-routine"


def test_stocking_again_changes_nothing_that_the_studio_changed(db):
    studio = make_studio()
    stock_shelf(studio, None)
    DrillRevision.objects.filter(name="Step-in swing").update(name="Our step")
    gone = Drill.objects.filter(shipped_as="speed-set")
    gone.update(current=None)
    gone.delete()
    stock_shelf(studio, None)
    assert Drill.objects.filter(studio=studio).count() == 24
    assert DrillRevision.objects.filter(name="Our step").count() == 1


def test_stocking_costs_the_same_few_queries_for_any_number_of_drills(
    db, django_assert_max_num_queries
):
    studio = make_studio()
    # Savepoint and release, what there is, drills, revisions, current, cautions, swaps.
    with django_assert_max_num_queries(9):
        stock_shelf(studio, None)


def test_making_a_studio_stocks_its_shelf():
    assert studio_made.count(stock_shelf) == 1
