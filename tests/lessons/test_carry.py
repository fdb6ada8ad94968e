"""What becomes of a part of last week. Thresholds are our own choice, so the checks are ours."""

from uuid import uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coaching.lessons.carry import Carry, StepWent, Went, carried, lowered, raised, suggest
from practice.care.work import Held
from practice.drills.dose import parse
from practice.numbers.ladder import next_step
from practice.weeks.plan import PartSpec


def spec(dose="10@50, 8@70, 6@90", sessions=3, minutes=12.0, days=()):
    return PartSpec(uuid4(), parse(dose), sessions, minutes, days=days)


def went(done=3.0, asked=3.0, credit=1.0, steps=(), **more):
    return Went(done, asked, credit, steps, **more)


@pytest.mark.parametrize(
    ("done", "asked", "words"),
    [
        (0, 2, "0 of 2 times"),
        (0.7, 2, "less than 1 of 2 times"),
        (1.999, 3, "1 of 3 times, and a part"),
        (2.04, 3, "2 of 3 times"),
        (3, 3, "3 of 3 times"),
    ],
)
def test_what_was_done_is_said_in_whole_times(done, asked, words):
    assert went(done, asked).sessions == words
    assert went(done, asked, is_over=False).sessions == f"{words} so far"


@pytest.mark.parametrize(
    ("how", "carry"),
    [
        (went(held=Held.STOPPED, has_swap=True), Carry.SWAP),
        (went(held=Held.RESTS, has_swap=True), Carry.SWAP),
        (went(hurts_each_time=True, has_swap=True), Carry.SWAP),
        (went(held=Held.STOPPED), Carry.DROP),
        (went(held=Held.RESTS), Carry.DROP),
        (went(held=Held.EVENT), Carry.DROP),
        (went(held=Held.EVENT, has_swap=True), Carry.SWAP),
        (went(hurts_each_time=True), Carry.LOWER),
        (went(credit=None), Carry.KEEP),
        (went(1, 3, 0.33, (StepWent(50, 30, 30),)), Carry.SHRINK),
        (went(0, 3, 0.0, is_over=False), Carry.KEEP),  # The week still runs.
        (went(steps=(StepWent(50, 11, 11),)), Carry.KEEP),  # Too few counts to say.
        (went(steps=(StepWent(50, 30, 30), StepWent(90, 18, 20))), Carry.RAISE),
        (went(steps=(StepWent(50, 15, 30), StepWent(90, 18, 20))), Carry.KEEP),
        (went(steps=(StepWent(50, 30, 30), StepWent(90, 7, 20))), Carry.LOWER),
        (went(2, 3, 0.70, (StepWent(90, 20, 20),)), Carry.KEEP),  # Clean, but not all done.
    ],
)
def test_each_rule(how, carry):
    assert suggest(how).carry is carry


def test_the_reason_says_counts_and_never_blames():
    words = suggest(went(1, 3, 0.33)).reason
    assert words == "It was done 1 of 3 times. Fewer times would fit."
    assert "18 of 20 clean at 90" in suggest(went(steps=(StepWent(90, 18, 20),))).reason


def test_raising_a_ladder_adds_a_step_above_and_keeps_the_return_set():
    assert str(raised(parse("10@50, 8@70, back 10@50"))) == "10@50, 8@70, 3@80, back 10@50"
    assert str(raised(parse("10@50, 6@95"))) == "10@50, 6@95, 3@100"
    assert str(raised(parse("20 balls"))) == "22 balls"


def test_lowering_takes_the_top_step_away():
    assert str(lowered(parse("10@50, 8@70, 6@90, back 10@50"))) == "10@50, 8@70, back 10@50"
    assert str(lowered(parse("3x10"))) == "3x8"


def test_shrinking_takes_sessions_and_of_a_single_one_half():
    assert carried(spec(sessions=4, days=(0, 2, 4)), Carry.SHRINK).sessions == 3
    halved = carried(spec("20 balls", sessions=1, minutes=10), Carry.SHRINK)
    assert (str(halved.dose), halved.minutes, halved.sessions) == ("10 balls", 5.0, 1)


def test_a_swap_stands_in_as_often_and_without_one_the_part_is_left_out():
    other = spec("3x7", sessions=1)
    standing_in = carried(spec(sessions=4), Carry.SWAP, other)
    assert (standing_in.drill, standing_in.sessions) == (other.drill, 4)
    assert carried(spec(), Carry.SWAP) is None
    assert carried(spec(), Carry.DROP) is None


DOSES = st.sampled_from(
    ["10@50, 8@70, 6@90", "12@40, 9@60, back 9@40", "3x8", "20 balls", "8 min", "2 rounds: 5@max"]
)


@given(DOSES, st.integers(1, 14), st.sampled_from([Carry.RAISE, Carry.LOWER, Carry.SHRINK]))
def test_less_is_never_more_and_every_part_can_be_read_again(dose, sessions, carry):
    before = spec(dose, sessions)
    after = carried(before, carry)
    assert parse(str(after.dose)) == after.dose
    assert after.sessions >= 1
    work = (after.sessions * after.minutes) - (before.sessions * before.minutes)
    assert work >= 0 if carry is Carry.RAISE else work <= 0


# --- by the ladder's verdicts ---------------------------------------------------------------


HOLDING = next_step.suggest([next_step.StepResult(70, 30, 34, 3, "holds")])
BREAKING = next_step.suggest(
    [next_step.StepResult(50, 28, 34, 3, "holds"), next_step.StepResult(90, 10, 28, 3, "breaks")]
)


def test_a_ladder_that_holds_gets_the_step_that_its_verdict_names():
    how = went(ladder=HOLDING)
    assert suggest(how).carry is Carry.RAISE
    after = carried(spec("10@50, 8@70"), Carry.RAISE, ladder=HOLDING)
    assert str(after.dose) == "10@50, 8@70, 4@75"


def test_a_ladder_that_breaks_is_brought_down_to_where_the_work_lives():
    how = went(ladder=BREAKING)
    assert (suggest(how).carry, "breaks at 90" in suggest(how).reason) == (Carry.LOWER, True)
    after = carried(spec("10@50, 8@70, 6@90"), Carry.LOWER, ladder=BREAKING)
    assert max(step.effort for step in after.dose.steps) == BREAKING.effort < 90


def test_what_was_not_done_is_not_raised_however_clean():
    how = went(2, 4, 0.6, ladder=HOLDING)
    assert suggest(how).carry is Carry.KEEP
    assert suggest(how).reason.endswith("Holds at 70. It was done 2 of 4 times. Keep it for now.")


def test_above_the_clean_line_keep_says_why_and_raise_names_the_line():
    clean = (StepWent(None, 300, 337),)
    raised_for = suggest(went(steps=clean))
    assert raised_for.carry is Carry.RAISE
    assert raised_for.reason == "300 of 337 clean. The clean line is 80 %. Ready for more."
    kept = suggest(went(2, 3, 0.67, clean, is_over=False))
    assert kept.carry is Carry.KEEP
    assert kept.reason == (
        "300 of 337 clean. The clean line is 80 %. It was done 2 of 3 times so far. Keep it "
        "for now."
    )
