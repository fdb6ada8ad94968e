"""When the drill is the question: done, and by the coach's own counts it breaks."""

import pytest

from coaching.standing.drill import CheckedStep, drill_to_change
from coaching.standing.order import Need, need_of
from coaching.standing.states import State
from coaching.standing.words import standing
from tests.standing.make import facts

SLOW, FAST = CheckedStep(40, 20, 48, 6), CheckedStep(60, 16, 40, 5)


def test_done_and_breaking_at_every_effort():
    # House rule on the invented figures of the demo: 20 of 48 and 16 of 40 break.
    found = drill_to_change("Flat wrist", [0.2, 0.9, 0.85, 0.9, 0.85], [FAST, SLOW])
    assert (found.weeks, found.share) == (4, pytest.approx(0.875))
    known = facts(drill=found)
    assert need_of(known, State.IN_STEP, None) is Need.CHANGE_DRILL
    said = standing(known, State.IN_STEP, Need.CHANGE_DRILL)
    assert said.reason == (
        "Flat wrist done 87 % over four weeks; a coach counted 20 of 48 at 40 and 16 of 40 at 60 "
        "percent effort clean: it breaks, slow as well."
    )
    assert said.action == "Change the drill, not the dose."


@pytest.mark.parametrize(
    ("shares", "steps"),
    [
        ([0.9, 0.9], [SLOW, FAST]),  # Too few weeks.
        ([0.6, 0.65, 0.7], [SLOW, FAST]),  # Not done: do it first.
        ([0.9] * 4, []),  # Nobody has counted.
        ([0.9] * 4, [CheckedStep(40, 3, 9, 1)]),  # Too few counts.
        ([0.9] * 4, [CheckedStep(40, 40, 48, 6), FAST]),  # It holds slow.
        ([0.9] * 4, [CheckedStep(40, 21, 30, 3), FAST]),  # Slow is not settled.
    ],
)
def test_otherwise_the_drill_stays(shares, steps):
    assert drill_to_change("Flat wrist", shares, steps) is None


def test_unlikely_stands_before_it():
    found = drill_to_change("Flat wrist", [0.9] * 4, [SLOW])
    assert need_of(facts(drill=found), State.UNLIKELY, None) is Need.UNLIKELY
