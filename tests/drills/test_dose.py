"""Doses: worked by hand, read back by chance, and refused at the right word."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from practice.drills.dose import MOST, Dose, DoseError, DoseUnit, Step, parse
from practice.drills.text import typed_in_short


@pytest.mark.parametrize(
    ("text", "reps", "hard", "timed"),
    [
        # The usual ladder of the trade, common practice, no source: 24 swings, 6 of them hard.
        ("10@50, 8@70, 6@90", 24, 6, 0),
        ("10@50, 8@70, 6@90, back 10@50", 34, 6, 0),
        ("12@40, 9@60, 6@80, 3@95", 30, 3, 0),
        ("3x8", 24, 0, 0),
        ("3x5@max", 15, 15, 0),
        ("4@full", 4, 4, 0),
        ("20 balls", 20, 0, 0),
        ("8 min", 0, 0, 8),
        ("8 min, 12@90", 12, 12, 8),
        ("2 rounds: 10@50, 8@70", 36, 0, 0),
        ("3 rounds of 2x3@95 ; 4 min", 18, 18, 12),
    ],
)
def test_totals_of_a_session(text, reps, hard, timed):
    dose = parse(text)
    assert (dose.reps, dose.hard_reps, dose.timed_minutes) == (reps, hard, timed)


def test_the_ladder_with_its_return_set_step_by_step():
    steps = parse("10@50, 8@70, 6@90, back 10@50").steps
    assert [(step.amount, step.effort, step.is_return) for step in steps] == [
        (10, 50, False),
        (8, 70, False),
        (6, 90, False),
        (10, 50, True),
    ]


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        (" 10 @ 50 % ,8@70", "10@50, 8@70"),
        ("3 × 8", "3x8"),
        ("3X8 REPS", "3x8"),
        ("1 ball", "1 balls"),
        ("8 minutes; 5 mins", "8 min, 5 min"),
        ("BACK 10@50", "back 10@50"),
        ("4@FULL", "4@100"),
        ("2 round 4@max,", "2 rounds: 4@max"),
        ("007@050", "7@50"),
    ],
)
def test_what_a_coach_types_is_read_back_one_way(typed, written):
    assert str(parse(typed)) == written


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("10@50, 8@7O, 6@90", "8@7O"),
        ("10@50, eight@70", "eight@70"),
        ("10@50 8@70", "8@70"),
        ("10@50 slowly please", "slowly"),
        ("10@50, 8@700", "700"),
        ("10@5, 8@70", "5"),
        ("10@0", "0"),
        ("10@-5", "10@-5"),
        ("0@50", "0"),
        ("1000", "1000"),
        ("0x8", "0"),
        ("3x", "3x"),
        ("400x4", "400x4"),
        ("21 rounds: 3x8", "21"),
        ("0 rounds: 3x8", "0"),
        ("3x8, back", "back"),
        ("ten", "ten"),
        ("12@40, , @60", "@60"),
        ("3x8 kg", "kg"),
        ("１０@50", "１０@50"),  # Full-width digits.
        ("10@٥٠", "10@٥٠"),  # Arabic-Indic digits.
        ("10\x00@50", "10\x00@50"),
        ("0001234567@50", "0001234567"),
        ("00021 rounds: 3x8", "00021"),
        ("8@0001005", "0001005"),
        ("1, " * 12 + "7", "7"),
    ],
)
def test_an_error_points_at_the_wrong_word(text, wrong):
    with pytest.raises(DoseError) as caught:
        parse(text)
    error = caught.value
    assert error.word == wrong
    assert text[error.start : error.end] == wrong
    assert error.text == text


@pytest.mark.parametrize("text", ["", "   ", ",;,", "2 rounds:"])
def test_an_empty_dose_says_what_to_write(text):
    with pytest.raises(DoseError, match="The dose is empty"):
        parse(text)


@pytest.mark.parametrize("filler", ["9", " ", "x", "3x", "back ", "@", "1, ", "1 rounds ", "×1 "])
def test_ten_thousand_characters_are_refused_in_a_short_sentence(filler):
    text = "1" + filler * (10_000 // len(filler)) + "!"
    with pytest.raises(DoseError) as caught:
        parse(text)
    assert len(caught.value.message) < 200


@pytest.mark.parametrize(
    ("text", "seconds", "minutes"),
    [
        ("10@50, 8@70, 6@90", 30, 12),
        ("10@50, 8@70, 6@90, back 10@50", 30, 17),
        ("3x8", 10, 4),
        ("8 min", 30, 8),
        ("1", 1, 0.5),
        ("2 rounds: 3 min, 9", 20, 12),
    ],
)
def test_minutes_at_a_pace_to_half_a_minute(text, seconds, minutes):
    assert parse(text).minutes(seconds) == minutes


@st.composite
def steps(draw):
    sets = draw(st.integers(1, 20))
    hardest = draw(st.booleans())
    return Step(
        amount=draw(st.integers(1, MOST // sets)),
        unit=draw(st.sampled_from(DoseUnit)),
        sets=sets,
        effort=100 if hardest else draw(st.none() | st.integers(10, 100)),
        as_hard_as_you_can=hardest,
        is_return=draw(st.booleans()),
    )


@given(st.builds(Dose, st.lists(steps(), min_size=1, max_size=12).map(tuple), st.integers(1, 20)))
def test_what_is_written_is_read_back_the_same(dose):
    assert parse(str(dose)) == dose


@given(st.text(max_size=300))
def test_any_text_is_a_dose_or_an_error_inside_the_text(text):
    dose, error = None, None
    try:
        dose = parse(text)
    except DoseError as refused:
        error = refused
    if error:
        assert 0 <= error.start <= error.end <= len(text)
        assert error.message
    else:
        assert parse(str(dose)) == dose


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("12@40, back 9@40", "12, felt 40; back to 9, felt 40"),
        ("3x8@70", "3 sets of 8, felt 70"),
        ("back 9@40", "back to 9, felt 40"),
        ("as before", "as before"),  # No dose of ours.
        ("6@max", "6, as hard as you can"),
    ],
)
def test_what_was_typed_is_said_in_short_words(typed, said):
    assert typed_in_short(typed) == said
