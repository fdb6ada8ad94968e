"""The targets of a test: what can be read, in which unit, and what is said otherwise."""

from itertools import pairwise

import pytest

from practice.drills.protocol import MOST_TARGETS, in_order, targets
from shared.kit.refused import Refused


def test_metres_with_and_without_their_unit():
    assert targets("65, 40, 90 m") == targets("65,40,90") == (65.0, 40.0, 90.0)
    assert targets("  ") == ()


def test_yards_become_metres_by_the_international_yard():
    # NIST SP 811 (2008), B.8: 1 yd = 0.9144 m exactly.
    assert targets("100, 40.5 yd") == (91.44, 37.0332)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("40, sixty m", "“sixty” is not a distance."),
        ("40,, 60", "“” is not a distance."),
        ("40 m, 60 yd", "“40 m” is not a distance."),
        ("-4", "“-4” is not a distance."),
        ("nan", "“nan” is not a distance."),
        ("1_0", "“1_0” is not a distance."),
        ("٣٠", "“٣٠” is not a distance."),
        ("0", "A target must be above 0 and at most 400 m."),
        ("401", "A target must be above 0 and at most 400 m."),
        ("x" * 100, f"“{'x' * 29}…” is not a distance."),
        (",".join(["40"] * (MOST_TARGETS + 1)), "At most 60 targets"),
    ],
)
def test_what_is_no_list_of_distances_says_why(text, said):
    with pytest.raises(Refused) as wrong:
        targets(text)
    assert str(wrong.value).startswith(said)


# --- the coach's choice of order --------------------------------------------------------------


def test_a_chosen_order_is_that_of_the_seeded_rule():
    assert in_order("40, 60 m", "blocked", 2, 1) == (40, 40, 60, 60)
    mixed = in_order("40, 60, 80 yd", "mixed", 3, 7)
    assert mixed == in_order("40, 60, 80 yd", "mixed", 3, 7)
    assert sorted(mixed) == sorted(in_order("40, 60, 80 yd", "blocked", 3, 7))
    assert all(one != other for one, other in pairwise(mixed))


def test_without_a_choice_the_targets_come_as_written_even_twice():
    assert in_order("65, 40, 65 m", "", 5, 1) == (65, 40, 65)


@pytest.mark.parametrize("said", [("40, 40 m", 1), ("40, 60, 80 m", 30)])
def test_an_order_that_cannot_be_is_refused_in_words(said):
    with pytest.raises(Refused):
        in_order(said[0], "mixed", said[1], 1)
