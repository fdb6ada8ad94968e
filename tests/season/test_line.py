"""Lines, what is left of a season, and gates: pure, worked by hand."""

from datetime import date, timedelta

import pytest

from coaching.season import gates
from coaching.season.left import in_words, visits_left
from coaching.season.line import RampRow, line_of, reaches, row_for, share_of_week
from coaching.season.ramp import Ramp, RampKind, weeks_of

MONDAY = date(2031, 2, 24)
WEEK = timedelta(weeks=1)
WHOLE = lambda _: 1.0  # noqa: E731
FIRST = RampRow("swing", MONDAY, 100, 130, MONDAY + 5 * WEEK)
AGAIN = RampRow("swing", MONDAY + 3 * WEEK, 40, 130, MONDAY + 12 * WEEK)


def test_the_line_is_that_of_the_ramp():
    weeks = [MONDAY + n * WEEK for n in range(6)]
    line = line_of([FIRST], "swing", weeks, WHOLE)
    assert [line[opens].minutes for opens in weeks] == [106, 112, 118, 82, 124, 130]
    assert [week.minutes for week in weeks_of(Ramp(100, 130, 6))] == [106, 112, 118, 82, 124, 130]


def test_percents_are_hundredths():
    row = RampRow("swing", MONDAY, 1000, 3000, MONDAY + 9 * WEEK)
    weeks = [MONDAY + n * WEEK for n in range(4)]
    # A tenth more each week; the fourth is 70 percent of 1331.
    line = line_of([row], "swing", weeks, WHOLE)
    assert [line[opens].minutes for opens in weeks] == [1100, 1210, 1331, 931]


def test_past_weeks_keep_the_line_they_had_when_it_begins_anew():
    weeks = [MONDAY + n * WEEK for n in range(-1, 5)]
    line = line_of([FIRST, AGAIN], "swing", weeks, WHOLE)
    assert MONDAY - WEEK not in line
    assert [line[opens].minutes for opens in weeks[1:4]] == [106, 112, 118]
    # From 40: no more than a tenth or five minutes more.
    assert line[weeks[4]].minutes == 45
    assert row_for([FIRST, AGAIN], "swing", weeks[4]) is AGAIN
    assert row_for([FIRST], "wedges", MONDAY) is None


def test_when_the_target_stands():
    assert reaches(FIRST, WHOLE) == MONDAY + 5 * WEEK
    steep = RampRow("swing", MONDAY, 100, 200, MONDAY + 3 * WEEK, lighter_every=0)
    # 110, 121, 133, 146, 160, 176, 193, 200: the eighth week.
    assert reaches(steep, WHOLE) == MONDAY + 7 * WEEK
    assert reaches(RampRow("swing", MONDAY, 0, 3000, MONDAY, cap=1), WHOLE) is None


def test_an_event_and_days_away_leave_less_of_a_week():
    away = [MONDAY + timedelta(n) for n in (0, 1)]
    assert share_of_week(MONDAY, away, [], 0.5) == pytest.approx(5 / 7)
    assert share_of_week(MONDAY, away, [MONDAY + timedelta(6)], 0.5) == 0.5
    assert share_of_week(MONDAY + WEEK, away, [MONDAY + timedelta(6)], 0.5) == 1
    line = line_of([FIRST], "swing", [MONDAY], lambda _: 0.0)
    assert line[MONDAY].kind is RampKind.OFF


# --- visits left -------------------------------------------------------------------------


def test_visits_left_at_his_own_rate_not_the_asked_one():
    left = visits_left(11, [2, 3, 2, 1, 2, 2], [4] * 6)
    assert (left.at_usual, left.as_asked, left.n) == (22, 44, 6)
    assert in_words(left, 11, 6) == (
        "11 weeks left. With the usual 2 visits a week that makes 22 more visits, not the 44 asked."
        " The usual comes from 6 past weeks."
    )


def test_halves_are_rounded_down_and_enough_is_not_held_against_anybody():
    left = visits_left(3, [2, 3, 2, 3], [2, 2, 2, 2])
    assert left.at_usual == 7  # 3 times 2.5.
    assert "asked" not in in_words(left, 3, 4)


def test_too_few_weeks_say_so():
    assert visits_left(11, [2, 2], [4, 4]) is None
    assert "We know 2 weeks and need 3." in in_words(None, 11, 2)
    assert in_words(None, 0, 2) == "No weeks are left in this season."
    with pytest.raises(ValueError, match="As many weeks"):
        visits_left(3, [1], [])


# --- gates ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stage", "verdicts", "words"),
    [
        ("shape", {60: "holds"}, "The gate is open: it holds at 60."),
        ("shape", {40: "holds"}, "Nothing is known at 60 to 70 yet."),
        ("shape", {60: "breaks"}, "At 60: breaks."),
        ("flow", {80: "holds", 95: "not settled"}, "At 95: not settled."),
        ("flow", {90: "holds"}, "The gate is open: it holds at 90."),
        ("shape", {70: "holds"}, "The gate is open: it holds at 70."),
        ("shape", {59: "holds", 71: "holds"}, "Nothing is known at 60 to 70 yet."),
        ("flow", {100: "holds"}, "The gate is open: it holds at 100."),
        ("flow", {89: "holds"}, "Nothing is known at 90 to 100 yet."),
        ("flow", {60: "breaks"}, "It breaks at 60: a reason to go back one stage."),
        ("flow", {90: "breaks", 60: "breaks"}, "It breaks at 60: a reason to go back"),
        ("flow", {90: "breaks"}, "It breaks at 90: a reason"),
        ("flow", {90: "holds", 95: "holds"}, "The gate is open: it holds at 95."),
        ("flow", {90: "holds", 80: "breaks"}, "The gate is open: it holds at 90."),
        ("flow", {90: "not settled", 95: "too few"}, "At 95: too few."),
        ("keep", {}, "Nothing is known at 100 yet."),
        ("flow", {59: "breaks", 91: "breaks"}, "At 91: breaks."),
        # Its gate is two test days: of the steps nothing is said.
        ("speed", {90: "breaks", 100: "holds"}, ""),
        ("keep", {99: "breaks"}, "Nothing is known at 100 yet."),
        ("keep", {100: "holds"}, "At 100: holds."),
        ("keep", {100: "breaks"}, "It breaks at 100: a reason"),
        ("", {60: "holds"}, ""),
    ],
)
def test_where_a_move_stands_at_its_gate(stage, verdicts, words):
    found = gates.stands(stage, verdicts)
    assert found.startswith(words)
    assert bool(found) == bool(words)


def test_every_stage_has_its_gate_in_words():
    assert "70" in gates.gate_words("shape")
    assert gates.gate_words("") == ""
