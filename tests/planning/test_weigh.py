"""Words about size and load. The thresholds themselves are tested with the rules."""

import pytest

from coaching.planning.weigh import fit, hard_swings
from practice.weeks.plan import Totals


# Usual 92.5 is the median of 90, 70, 110, 95, 85, 120 (house rule, worked by hand).
@pytest.mark.parametrize(
    ("minutes", "words", "ratio"),
    [(147, "more than the usual", "1.59"), (105, "fits", "1.14"), (130, "a stretch", "1.41")],
)
def test_a_plan_beside_the_usual(minutes, words, ratio):
    found = fit(minutes, 92.5)
    assert (found.words, f"{found.ratio:.2f}") == (words, ratio)
    assert found.needs_look == (words == "more than the usual")


def test_without_a_usual_nothing_is_compared():
    assert fit(100, None).ratio is None


@pytest.mark.parametrize(
    ("planned", "before", "under_16", "asks"),
    [
        (150, [60, 75, 70, 65], False, True),
        (95, [60, 75, 70, 65], False, False),
        (128, [40, 48, 44, 52], True, True),
        (15, [4, 6, 0, 2], False, False),
        (61, [], False, True),
        (60, [50, 50], False, False),
        (41, [], True, True),
    ],
)
def test_many_hard_swings_are_a_reason_to_ask(planned, before, under_16, asks):
    found = hard_swings(Totals(hard_swings=planned), before, under_16=under_16)
    assert bool(found.reason_to_ask) == asks
    assert "injur" not in found.reason_to_ask
    assert "risk" not in found.reason_to_ask


def test_the_ceiling_of_the_first_weeks_is_named():
    assert "at most 40" in hard_swings(Totals(), [], under_16=True).words
    assert "at most 60" in hard_swings(Totals(), [], under_16=False).words


def test_hard_minutes_are_said_to_count_by_the_minute():
    assert hard_swings(Totals(hard_swings=6), [], under_16=False).by_clock == ""
    found = hard_swings(Totals(hard_swings=48, hard_minutes=8), [], under_16=False)
    assert found.by_clock == "A hard minute counts as 6 swings."
