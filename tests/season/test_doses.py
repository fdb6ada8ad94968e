"""Raise, keep or lower from a ladder's results, with the reason."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coaching.season.doses import stepped
from practice.drills.dose import parse
from practice.measures.answers import BadData
from practice.measures.ladder import Holds, holds
from practice.measures.usual import DaySpread
from practice.numbers.ladder.next_step import Change, StepResult, Suggestion, suggest


def results(*rows):
    """Effort, clean, reps and days; the word as where days do not differ by themselves."""
    return [StepResult(*row, word_of(*row[1:])) for row in rows]


def word_of(clean, reps, days):
    whole = [
        (clean // days + (n < clean % days), reps // days + (n < reps % days)) for n in range(days)
    ]
    return str(holds(whole, DaySpread(0.0, freedom=1e9)))


# The verdicts behind these are checked with practice.measures.ladder.
@pytest.mark.parametrize(
    ("rows", "change", "effort", "words"),
    [
        ([(60, 28, 34, 4), (80, 13, 28, 4)], "lower", 70, "Holds at 60, breaks at 80. Work at 70."),
        ([(40, 38, 40, 5), (80, 25, 32, 4)], "raise", 85, "Holds at 80. Add a step at 85."),
        ([(40, 20, 48, 4), (60, 16, 40, 4)], "lower", 35, "Breaks at 40, the slowest step."),
        ([(60, 9, 11, 3)], "keep", None, "Too soon to say: 11 scored reps"),
        ([], "keep", None, "Too soon to say: 0 scored reps"),
        ([(80, 25, 32, 4), (95, 9, 14, 3)], "keep", None, "At 95 it is not settled"),
        ([(100, 26, 32, 4)], "keep", None, "Holds at full"),
        ([(60, 14, 20, 3), (80, 13, 28, 4)], "lower", 75, "Breaks at 80. Go back to 75."),
    ],
)
def test_a_ladder_gets_one_suggestion(rows, change, effort, words):
    found = suggest(results(*rows))
    assert (found.change, found.effort) == (change, effort)
    assert words in found.reason


def test_a_generous_own_count_is_named_where_nothing_is_settled():
    rows = [StepResult(60, 28, 34, 4, "not settled")]
    kept = suggest(rows, self_score_gap=23)
    assert kept.change is Change.KEEP
    assert "self-called, runs 23 points high" in kept.reason
    assert "self-called" not in suggest(rows, self_score_gap=14).reason


@given(
    st.lists(
        st.tuples(
            st.sampled_from(range(30, 101, 5)),
            st.integers(0, 60),
            st.integers(0, 60),
            st.integers(0, 9),
            st.sampled_from(list(Holds)),
        ),
        unique_by=lambda row: row[0],
        max_size=6,
    )
)
def test_whatever_was_logged_there_is_a_reason_and_an_effort_one_can_ask(rows):
    found = suggest([StepResult(e, min(c, n), n, d, str(w)) for e, c, n, d, w in rows])
    assert found.reason
    assert found.effort is None or 30 <= found.effort <= 100
    assert (found.effort is None) == (found.change is Change.KEEP)


def test_more_clean_than_reps_is_refused():
    with pytest.raises(BadData):
        suggest([StepResult(60, 30, 20, 3, "holds")])


@pytest.mark.parametrize(
    ("dose", "change", "effort", "after"),
    [
        ("12@40, 9@60, 6@80, back 9@40", "raise", 85, "12@40, 9@60, 6@80, 3@85, back 9@40"),
        ("12@40, 9@60, 6@80, back 9@40", "lower", 70, "12@40, 9@60, 6@70, back 9@40"),
        ("12@40, 9@60, 6@80, 3@max", "lower", 70, "12@40, 9@60, 6@70"),
        ("2 rounds: 8@60", "raise", 65, "2 rounds: 8@60, 4@65"),
        ("12@40, 9@60", "keep", None, "12@40, 9@60"),
        ("20 balls", "raise", 85, "20 balls"),
        ("12@90", "raise", 85, "12@90"),
        ("12@85", "raise", 85, "12@85"),
        # Half of the reps, of all sets and at least one; of minutes that many reps.
        ("1@80", "raise", 85, "1@80, 1@85"),
        ("2x5@80", "raise", 85, "2x5@80, 5@85"),
        ("7 balls@80", "raise", 85, "7 balls@80, 3 balls@85"),
        ("8 min@80", "raise", 85, "8 min@80, 4@85"),
        ("back 9@80", "raise", 85, "back 9@80"),
        ("9@80, 20 balls", "raise", 85, "9@80, 4@85, 20 balls"),
        (", ".join(["2@50"] * 11), "raise", 60, ", ".join(["2@50"] * 11 + ["1@60"])),
        # What is not above the new effort stays; what is brought to one effort is one.
        ("12@70, 8@70", "lower", 70, "12@70, 8@70"),
        ("9@60, 6@80, 3@90", "lower", 60, "9@60"),
        ("3@max, 20 balls", "lower", 70, "3@70, 20 balls"),
        ("12@80, back 9@80", "lower", 70, "12@70, back 9@70"),
        ("12@80, 9 balls@80", "lower", 70, "12@70, 9 balls@70"),
        ("12@40, 9@60", "lower", None, "12@40, 9@60"),
    ],
)
def test_the_dose_with_the_suggestion_taken(dose, change, effort, after):
    assert str(stepped(parse(dose), Suggestion(Change(change), "", effort))) == after


def test_a_dose_as_long_as_can_be_stays():
    full = parse(", ".join(["2@50"] * 12))
    assert stepped(full, Suggestion(Change.RAISE, "", 60)) == full
