"""The card with its neighbours, and the bag: what its page says of both."""

import re
from dataclasses import replace

import pytest

from practice.numbers.wedges.bag import bag_of, leaned_of
from practice.numbers.wedges.bag_text import bag_view, leaned_view
from practice.numbers.wedges.queries import read_wedges
from tests.numbers.make import OSKAR, balls, card, club, sitting

pytestmark = pytest.mark.django_db


def test_every_swing_is_known_more_closely_with_its_neighbours(student):
    card(student)
    found = leaned_of(read_wedges(student))
    assert {(each.swing.club, each.swing.length) for each in found.swings} == {
        (name, length) for name, lengths in OSKAR.items() for length in lengths
    }
    for each in found.swings:
        assert each.leaned_to < each.known_to
        assert each.days
    view = leaned_view(found, "m")
    assert len(view.rows) == len(found.swings)
    assert view.rows[0][3].endswith(("more day", "more days"))
    assert view.words == "Clubs and lengths add up on this card, as far as its balls tell."
    apart = leaned_view(replace(found, apart=1.26), "m").words
    assert apart == "Clubs and lengths add up on this card, give or take 1.3 m."


def test_two_swings_have_no_neighbours_to_lean_on(student):
    card(student, {"58°": {"hip": 36}, "54°": {"chest": 57}})
    assert leaned_of(read_wedges(student)) is None
    assert leaned_view(None, "m") is None


def test_the_bag_without_called_distances_is_for_those_of_the_card(student):
    card(student)
    found = bag_of(read_wedges(student))
    assert [len(bag.clubs) for bag in found.bags] == [1, 2, 3, 4]
    assert found.bags[-1].clubs == ("46°", "50°", "54°", "58°")
    off = [bag.expected for bag in found.bags]
    assert off == sorted(off, reverse=True)
    assert (found.distances, found.balls) == (16, 0)
    view = bag_view(found, "m")
    assert view.words.startswith("By every five metres")
    assert view.rows[0][0] == "1"
    # One club has none fewer beside it, and the whole bag no other of as many.
    assert view.rows[0][3] == ""
    assert view.rows[-1][4] == ""


def test_a_club_more_is_told_or_cannot_be_told_yet(student):
    """Each of three brings balls nearer; the fourth is the third again."""
    means = {
        "58°": {"hip": 36}, "54°": {"hip": 60}, "50°": {"hip": 84}, "49°": {"hip": 84.2},
    }  # fmt: skip
    card(student, means, spread=(-2, -1, -0.5, 0, 0.5, 1, 2))
    found = bag_of(read_wedges(student))
    assert found.bags[0].gain is None
    assert [bag.gain.is_told for bag in found.bags[1:]] == [True, True, False]
    rows = bag_view(found, "m").rows
    assert re.fullmatch(r"[\d.]+ m \([\d.]+ to [\d.]+\)", rows[1][3])
    assert rows[3][3:] == ("cannot tell yet", "")
    assert {rows[2][1], rows[2][4]} == {"49°, 54° and 58°", "50°, 54° and 58°"}


def test_a_bag_is_chosen_for_the_distances_that_are_called(student):
    """Only from where the 58 goes: it is the best club, and no other loft gains anything."""
    clubs = card(student)
    kept = sitting(student)
    for target in (36, 46, 80):
        balls(kept, clubs["58°"], [target] * 10, target=target)
    found = bag_of(read_wedges(student))
    assert (found.distances, found.balls) == (3, 30)
    assert found.bags[0].clubs == ("58°",)
    assert found.new is None
    assert bag_view(found, "m").words == "By 3 distances, called with 30 balls."


def test_a_loft_in_a_hole_is_worked_out(student):
    """Two of four clubs alike, and a wide hole between the others."""
    means = {
        "60°": {"hip": 30, "chest": 40}, "58°": {"hip": 31, "chest": 41},
        "46°": {"hip": 70, "chest": 80}, "44°": {"hip": 76, "chest": 86},
    }  # fmt: skip
    card(student, means, spread=(-0.5, -0.2, 0, 0.1, 0.2, 0.3, 0.4))
    found = bag_of(read_wedges(student))
    assert 48 <= found.new.loft <= 56
    assert found.new.gain.low > 0
    assert found.new.gain.value > 0.3
    said = bag_view(found, "m").new
    assert said.startswith(f"A club of {found.new.loft}° instead of the {found.new.instead} would")
    # A club whose loft nobody knows lies between no two.
    club(student, "old", None)
    assert bag_of(read_wedges(student)).new == found.new


@pytest.mark.parametrize("who", ["coach", "student"])
def test_both_stand_folded_on_the_card_and_nowhere_without_balls(
    coach_client, student_client, student, who
):
    client = coach_client if who == "coach" else student_client
    page = f"/students/{student.pk}/wedges/" if who == "coach" else f"/own/{student.pk}/wedges/"
    bare = client.get(page).content.decode()
    assert "its neighbours tell" not in bare
    assert "earn their place" not in bare
    card(student)
    full = client.get(page).content.decode()
    assert "<summary>Fewer balls: what its neighbours tell of a swing</summary>" in full
    assert "<summary>Which wedges earn their place?</summary>" in full
