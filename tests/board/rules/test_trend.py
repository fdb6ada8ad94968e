"""Trends against SciPy's exact Kendall test, and the rules around it."""

from datetime import date, timedelta
from math import sqrt
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import kendalltau

from coaching.board.rules.trend import Away, Word, drift, falling_p, trend
from coaching.board.rules.trend_text import drift_words, shares_words, trend_words, worked_out

TODAY = date(2031, 2, 26)


@pytest.mark.parametrize(
    "values",
    [
        [0.9, 0.8, 0.7, 0.6, 0.5, 0.4],
        [0.88, 0.81, 0.74, 0.76, 0.62, 0.55, 0.58, 0.41],
        [0.4, 0.9, 0.3, 0.8, 0.2, 0.7],
        [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7],
    ],
)
@pytest.mark.outside
def test_the_chance_is_that_of_an_exact_kendall_test(values):
    # scipy.stats.kendalltau(x, y, method="exact", alternative="less"): Kendall against time.
    expected = kendalltau(range(len(values)), values, method="exact", alternative="less").pvalue
    assert falling_p(values) == pytest.approx(expected, rel=1e-9)


@pytest.mark.outside
def test_six_falling_weeks_are_one_order_in_720():
    # Mann 1945: of n! equally likely orders one falls throughout.
    assert falling_p([6, 5, 4, 3, 2, 1]) == pytest.approx(1 / 720)


@pytest.mark.parametrize("grain", [0.0, 0.25])
def test_of_those_whose_practice_stays_at_most_five_in_a_hundred_slide(grain):
    """Neighbouring weeks half alike; at 5 percent the test alone told seven or eight."""
    random = Random(41)
    told = 0
    for _ in range(1500):
        form, weeks = random.gauss(0, 1), []
        for _ in range(8):
            share = min(1.0, max(0.0, 0.7 + 0.25 * form))
            weeks.append(round(share / grain) * grain if grain else share)
            form = 0.5 * form + sqrt(0.75) * random.gauss(0, 1)
        told += trend(weeks).word is Word.SLIDE
    assert told / 1500 <= 0.06  # One and a half standard errors above.


def test_ties_lean_to_saying_nothing():
    assert falling_p([0.5] * 6) > 0.5
    assert falling_p([0.9, 0.9, 0.8, 0.8, 0.7, 0.7]) > falling_p([0.9, 0.89, 0.8, 0.79, 0.7, 0.69])


@pytest.mark.parametrize("values", [[], [1.0]])
def test_an_order_needs_two(values):
    with pytest.raises(ValueError, match="at least two"):
        falling_p(values)


@pytest.mark.parametrize(
    ("shares", "word"),
    [
        ([0.9, 0.85, 0.8, 0.7, 0.65, 0.6, 0.5, 0.45], Word.SLIDE),
        ([0.85, 0.9, 0.85, 0.9, 0.88, 0.9, 0.86, 0.4], Word.LIGHTER),
        # Orderly, and too small to matter: the test alone would call it a slide.
        ([0.90, 0.89, 0.88, 0.87, 0.86, 0.85, 0.84, 0.83], Word.NEITHER),
        ([0.9, 0.4, 0.85, 0.5, 0.9, 0.45, 0.8, 0.85], Word.NEITHER),
        ([0.9, 0.6, 0.3], Word.TOO_FEW),
        ([], Word.TOO_FEW),
        ([0.9, None, 0.8, 0.7, None, 0.6, 0.5, 0.45], Word.SLIDE),
    ],
)
def test_a_slide_is_told_apart_from_one_week(shares, word):
    assert trend(shares).word is word


@given(st.lists(st.floats(0, 1), min_size=6, max_size=7))
def test_one_bad_week_after_a_level_time_is_never_a_slide(before):
    level = [0.8 + 0.01 * (n % 2) for n in range(len(before))]
    assert trend([*level, 0.0]).word is Word.LIGHTER


@given(st.lists(st.floats(0, 1), min_size=2, max_size=8))
def test_turned_round_the_two_chances_cover_everything(values):
    # With ties counted half on both sides, the two one-sided chances overlap at least.
    assert falling_p(values) + falling_p(values[::-1]) >= 1 - 1e-9


def test_an_excused_week_is_said_to_be_one():
    found = trend([0.5, None, None], excused={1})
    assert shares_words(found) == "50 %, excused, nothing asked"


def test_words_have_their_figures():
    slide = trend([0.9, 0.85, 0.8, 0.7, 0.65, 0.6, 0.5, 0.45])
    assert trend_words(slide).startswith("Less and less over eight weeks: from 90 to 45 %.")
    light = trend([0.85, 0.9, 0.85, 0.9, 0.88, 0.9, 0.86, 0.4])
    assert trend_words(light) == "One lighter week: 40 %, usually 88 %."
    assert trend_words(trend([0.8] * 8)) == ""
    assert "0.000" in " ".join(worked_out(slide, drift([], TODAY)))


def days(*ago: int):
    return {TODAY - timedelta(days=n) for n in ago}


@pytest.mark.parametrize(
    ("ago", "word"),
    [
        ((1, 3, 5, 8, 10), Away.USUAL),
        ((4, 6, 8, 11, 13), Away.LONGER),
        ((9, 11, 13, 15, 18), Away.DRIFTING),
        # Twice the longest gap, and under a week: nobody drifts away in six days.
        ((6, 7, 8, 9, 10), Away.LONGER),
        # Once a week is this student's rhythm.
        ((8, 15, 22, 29, 36), Away.LONGER),
        ((7, 14, 21, 28, 35), Away.USUAL),
        ((30, 31), Away.TOO_FEW),
    ],
)
def test_time_away_is_measured_by_the_students_own_rhythm(ago, word):
    assert drift(days(*ago), TODAY).word is word


def test_excused_days_are_no_time_away():
    excused = {TODAY - timedelta(days=n) for n in range(8)}
    assert drift(days(9, 11, 13, 15, 18), TODAY, excused).word is Away.USUAL


def test_where_a_rhythm_is_not_known_no_days_are_counted_against_it():
    unknown = drift(days(3), TODAY)
    assert (unknown.days, unknown.usual, unknown.longest) == (0, None, None)


def test_drifting_is_said_in_days_and_never_in_percent():
    words = drift_words(drift(days(9, 11, 13, 15, 18), TODAY))
    assert words == (
        "9 days without practice. The longest gap in eight weeks was 3. Ask whether all is well."
    )
    assert "%" not in words


def test_without_a_week_no_credit_is_listed():
    """It read *Credit of the last no weeks: .*"""
    assert worked_out(trend([]), drift([], TODAY))[0].startswith("Six known weeks are needed")


def test_the_arithmetic_of_both_is_told_whole():
    gaps = {
        TODAY - timedelta(days=n) for n in (1, 2, 5, 7, 11)
    }  # Of 4, 2, 3 and 1: 2.5 in the middle.
    first, second, third = worked_out(trend([0.5, None, 0.4]), drift(gaps, TODAY))
    assert first == "Credit of the last three weeks: 50 %, nothing asked, 40 %."
    assert second == "Six known weeks are needed before a slide can be told from chance."
    assert third.startswith(
        "1 open day since the last practice; the gaps of eight weeks had a median of 2.5 and a "
        "longest of 4 days."
    )
    fell = trend([0.9, 0.8, 0.7, 0.6, 0.5, 0.4])
    said = worked_out(
        fell, drift(gaps - {TODAY - timedelta(days=1)} | {TODAY, TODAY - timedelta(days=9)}, TODAY)
    )
    assert "Credit of the last six weeks: 90 %" in said[0]
    assert "is 0.001. A slide is called at 0.02 or less" in said[1]  # One order of 720.
    assert said[2].startswith("0 open days since")
    few = worked_out(fell, drift(days(3), TODAY))
    assert few[-1] == "Fewer than five days of practice in eight weeks: no rhythm to go by."


def test_a_trend_says_how_the_last_week_stands_beside_the_usual():
    found = trend([0.5, None, 0.7], excused={1})
    assert (found.usual, found.known, found.finished) == (0.5, (0.5, 0.7), 0)
    assert trend([0.5]).usual is None
    assert drift_words(drift(days(4, 6, 8, 11, 13), TODAY)) == (
        "4 days without practice. The longest gap in eight weeks was 3."
    )
    assert drift_words(drift(days(1, 3, 5, 8, 10), TODAY)) == ""
