"""When the drill is the question: done, and its test did not move."""

from datetime import timedelta

import pytest

from coaching.board.rules.drill import CheckedStep, drill_to_change
from coaching.board.rules.order import Need, need_of
from coaching.board.rules.short import because
from coaching.board.rules.states import State
from coaching.board.rules.text import standing
from tests.board.rules.make import facts
from tests.factories import MONDAY


def counted(*clean, reps=40, effort=60):
    """A coach's counts, a week apart."""
    return [
        CheckedStep(MONDAY - timedelta(weeks=n), effort, each, reps)
        for n, each in enumerate(reversed(clean))
    ]


WORSE = counted(34, 33, 35, 14, 13, 12, 12, 11)
BETTER = counted(11, 12, 12, 33, 34, 35, 33, 34)
FLAT = counted(*[20, 21] * 4)
DONE = [0.9] * 4


def test_done_and_surely_without_a_gain():
    found = drill_to_change("Flat wrist", [0.2, 0.9, 0.85, 0.9, 0.85], WORSE)
    assert (found.weeks, found.share) == (4, pytest.approx(0.875))
    assert found.high < 0
    known = facts(drill=found)
    assert need_of(known, State.IN_STEP, None) is Need.CHANGE_DRILL
    said = standing(known, State.IN_STEP, Need.CHANGE_DRILL)
    assert said.reason == (
        "87 % of Flat wrist was done over four weeks. Fewer are clean than at the start. "
        "A coach counted it on eight days."
    )
    assert said.action == "Change the drill, not the dose."
    assert because(known, State.IN_STEP, Need.CHANGE_DRILL, None).words == (
        "87 % done, but fewer are clean now"
    )


@pytest.mark.parametrize(
    ("shares", "steps"),
    [
        ([0.9, 0.9], WORSE),  # Too few weeks.
        ([0.6, 0.65, 0.7], WORSE),  # Not done: do it first.
        (DONE, []),  # Nobody has counted.
        (DONE, counted(5, 5, 7, 8, reps=10)),  # Four days of ten see nothing yet.
        (DONE, FLAT),  # Level so far; a gain of ten in a hundred is not ruled out.
        (DONE, BETTER),
    ],
)
def test_otherwise_the_drill_stays(shares, steps):
    assert drill_to_change("Flat wrist", shares, steps) is None


def test_three_weeks_are_enough():
    assert drill_to_change("Flat wrist", [0.9] * 3, WORSE).weeks == 3


def test_unlikely_stands_before_it():
    found = drill_to_change("Flat wrist", DONE, WORSE)
    assert need_of(facts(drill=found), State.UNLIKELY, None) is Need.UNLIKELY


def test_a_step_that_breaks_is_no_reason_by_itself():
    """It broke at 20 of 48 from the first day on: hard is not the same as unmoved."""
    assert drill_to_change("Flat wrist", DONE, counted(20, 20, 20, reps=48)) is None
