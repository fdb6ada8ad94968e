"""A target that is reached is said to be, by the figure; one that is not, or is in words, is not.

House rule (common practice, no source)."""

from datetime import date

import pytest

from coaching.season.models import Measure, Priority
from coaching.season.reached import reached_words
from practice.numbers.now.values import NO_NUMBERS, Numbers, SpeedNow, Verdict

DAY = date(2031, 2, 26)


def numbers(now, quantity="ball_speed"):
    return Numbers(
        SpeedNow(
            quantity, Verdict.UP, False, 60, now, 1.5, 14, DAY, DAY, now, DAY, False, None, 0.01
        )
    )  # fmt: skip


def said(measure, value, found=NO_NUMBERS, steps=None, effort=None):
    priority = Priority(measure=measure, value=value, effort=effort)
    return reached_words(priority, found, steps or {}, "mps")


@pytest.mark.parametrize(
    ("now", "quantity", "words"),
    [
        (68.0, "ball_speed", "Reached: 68.0 m/s over 14 test days."),
        (67.9, "ball_speed", ""),
        (69.0, "club_speed", ""),
    ],
)
def test_a_speed(now, quantity, words):
    assert said(Measure.BALL_SPEED, 68.0, numbers(now, quantity)) == words
    assert said(Measure.BALL_SPEED, 68.0) == ""


@pytest.mark.parametrize(
    ("step", "words"),
    [
        (("holds", 21, 30), "Reached: 21 of 30 clean."),
        (("not settled", 20, 30), ""),
        (("not settled", 139, 200), ""),
        (("too few", 9, 9), ""),
        (None, ""),
    ],
)
def test_clean_reps_at_an_effort(step, words):
    steps = {} if step is None else {90: step}
    assert said(Measure.CLEAN, 70, steps=steps, effort=90) == words
    assert said(Measure.CLEAN, 70, steps=steps, effort=80) == ""
    assert said(Measure.CLEAN, 70, steps=steps) == ""


def test_no_target_and_one_in_words_are_never_said_to_be_reached():
    assert said(Measure.BALL_SPEED, None, numbers(90.0)) == ""
    assert said(Measure.OTHER, 1, numbers(90.0)) == ""
    assert said(Measure.CARRY_ERROR, 3, numbers(90.0)) == ""
    steps = {90: ("holds", 30, 30)}  # An effort that was left from another measure says nothing.
    assert said(Measure.CARRY_ERROR, 3, steps=steps, effort=90) == ""
