"""The note that is prepared for the coach: what it says of each state, in whole sentences."""

import pytest

from coaching.board.rules.by_chance import looked_at
from coaching.board.rules.drafts import draft
from coaching.board.rules.facts import LoadBeside
from coaching.board.rules.order import Need
from coaching.board.rules.short import because, first_words
from coaching.board.rules.states import State
from coaching.board.rules.way_back import way_back
from practice.numbers.now.values import Numbers
from tests.board.rules.make import facts, part, speed


def note(known, state, need=Need.NOTHING) -> str:
    return draft("Sam Sample", known, state, need, None)


@pytest.mark.parametrize("state", [State.TIGHT, State.UNLIKELY])
def test_a_week_that_is_too_much_is_offered_shorter(state):
    assert note(facts(parts=(part(left=2),)), state) == (
        "Sam, Ladder is meant two times more this week. Would a shorter version suit? "
        "Ladder takes 15 minutes each time."
    )


def test_of_one_visit_it_says_once_and_of_several_parts_how_many():
    assert "Ladder is meant once more this week" in note(facts(parts=(part(left=1),)), State.TIGHT)
    several = facts(parts=(part(left=2), part("Gate", 2, left=1)))
    assert "three parts are still to do this week" in note(several, State.TIGHT)


def test_a_part_that_is_stopped_or_done_is_not_asked_for():
    still = part("Gate", 2, left=1)
    for gone in (part(left=0), part(left=2, stopped=True)):
        assert "Gate is meant once more" in note(facts(parts=(gone, still)), State.TIGHT)
    assert note(facts(parts=(part(left=0),)), State.TIGHT) == (
        "Sam, would a shorter version of this week suit you?"
    )


def test_hard_swings_speak_before_a_favourite():
    jump = facts(load=LoadBeside(now=80, jump=True))
    assert note(jump, State.IN_STEP, Need.HABIT).startswith("Sam, you have made 80 hard swings")
    calm = note(facts(), State.IN_STEP, Need.HABIT)
    assert calm.startswith("Sam, little and often sticks better.")


def test_a_week_in_step_needs_no_note_and_a_done_one_is_thanked():
    assert note(facts(), State.IN_STEP) == ""
    assert note(facts(), State.DONE).startswith("Sam, the week is done.")


def test_a_test_that_did_not_move_is_no_flag():
    looked = looked_at(facts(numbers=Numbers(speed("Level"))))
    assert (looked.moved, looked.is_flagged) == (False, False)


def test_a_long_name_is_said_by_its_first_four_words():
    assert first_words("Half swings to the far post") == "Half swings to the"


@pytest.mark.parametrize(
    ("weeks", "often"),
    [
        ("42+ 30+ 40+ 44+ 38- 46+ 28+ 40+", "sometimes"),
        ("2- 4- 3- 44+ 8- 4- 5- 4-", "seldom"),
    ],
)
def test_half_of_the_weeks_divides_sometimes_from_seldom(weeks, often):
    known = facts(36, weeks)
    assert (known.outlook.share < 0.5) is (often == "seldom")
    said = because(known, State.TIGHT, Need.NOTHING, None).words
    assert said == f"36 minutes left, {often} managed from here"


@pytest.mark.parametrize(
    ("to_step", "more"),
    [(12.0, "12 more minutes"), (11.2, "12 more minutes"), (0.3, "one more minute")],
)
def test_whole_minutes_lead_back_in_step(to_step, more):
    known = facts(to_step=to_step)
    said = way_back(known, State.TIGHT, Need.NOTHING, None)
    assert said == f"Done with {more} today, or a shorter week."
