"""Which of count and chance gives the word, and every sentence that says so. Worked by hand."""

from dataclasses import replace

import pytest

from coaching.forecast.deciding import (
    NO_RECORD,
    Decided,
    Record,
    chance_words,
    decide,
    disagreement,
    pace_of,
    reason,
    record_from,
    record_of,
    why,
)
from coaching.forecast.forecast import Forecast
from coaching.forecast.outlook import Pace, judge, unlikely_by_arithmetic
from coaching.forecast.panel import By
from coaching.forecast.thresholds import DEFAULTS
from tests.board.rules.make import past

SAID = Forecast(
    chance=0.35, needed=45.2, weeks=12, own_share=0.629, days=2.4, minutes=18.6, enough=0.8,
    alone=0.31, through=3, told=7,
)  # fmt: skip
LEFT = "46 minutes are left to reach 80 %."
PROVED = Record(cases=100, students=7, forecast=0.1234, count=0.2, evidence=20.0)
TIGHT = judge(36, past("42+ 30+ 20- 24- 38-"))  # Two of four: a half.


@pytest.mark.parametrize(
    ("by", "words"),
    [
        (By.WEEKS, "As much came from here on in 3 of 7 weeks."),
        (By.STANDING, "Of weeks here that stood like this, about 3 in 10 came through."),
        (By.LEFT, "With so much left so late, about 3 in 10 such weeks came through."),
        (By.ENDS, "The last days decide here: about 3 in 10 such weeks came through."),
        (By.MINUTES, "Thursday to Sunday usually bring two days of about 19 minutes."),
        (
            By.TURNS,
            (
                "Every second week is like this one. "
                "Thursday to Sunday usually bring two days of about 19 minutes."
            ),
        ),
    ],
)
def test_who_weighs_most_says_what_it_goes_by(by, words):
    assert reason(replace(SAID, by=by), 3, 6) == f"{LEFT} {words}"


def test_one_week_is_one_and_without_any_the_days_speak():
    one = replace(SAID, by=By.WEEKS, through=1, told=1)
    assert reason(one, 3, 6).endswith("in 1 of 1 week.")
    none = replace(SAID, by=By.WEEKS, through=0, told=0)
    assert reason(none, 3, 6).endswith(
        "Thursday to Sunday usually bring two days of about 19 minutes."
    )
    assert reason(replace(SAID, needed=0), 3, 6) == "80 % of the week is reached."


@pytest.mark.parametrize(
    ("first", "last", "span"),
    [
        (3, 3, "Thursday usually brings"),
        (5, 6, "The weekend usually brings"),
        (3, 4, "Thursday and Friday usually bring"),
        (6, 0, "Sunday and Monday usually bring"),
        (4, 6, "Friday to Sunday usually bring"),
        (3, 2, "Thursday to Wednesday usually bring"),
    ],
)
def test_days_to_come_are_named_by_their_ends(first, last, span):
    assert reason(SAID, first, last) == f"{LEFT} {span} two days of about 19 minutes."
    few = replace(SAID, days=0.4, cycle=9)
    assert reason(few, first, last) == (
        f"{LEFT} Practice comes in rounds of 9 days. {span} no day of practice."
    )
    assert "one day of about" in reason(replace(SAID, days=0.6), first, last)


def test_the_chance_says_what_it_stands_on():
    assert chance_words(SAID) == (
        "Chance of 80 % by the end of the week: 35 %. It stands on 12 weeks of their own: "
        "62 % of the rhythm is the student’s, 38 % the studio’s."
    )
    new = chance_words(replace(SAID, weeks=0, from_memory=1))
    assert "It stands on no week of their own:" in new
    assert new.endswith(" Practice from memory adds one week, at a quarter of its weight.")


@pytest.mark.parametrize(
    ("chance", "pace"),
    [(0.6, Pace.IN_STEP), (0.599, Pace.TIGHT), (0.3, Pace.TIGHT), (0.299, Pace.UNLIKELY)],
)
def test_one_line_each_for_chance_and_count(chance, pace):
    assert pace_of(replace(SAID, chance=chance), DEFAULTS) is pace
    assert pace_of(None, DEFAULTS) is None


@pytest.mark.parametrize(
    ("outlook", "said", "record", "decides"),
    [
        (TIGHT, SAID, PROVED, True),
        (TIGHT, SAID, replace(PROVED, evidence=19.9), False),
        (TIGHT, None, PROVED, False),
        (judge(36, past("42+ 30+")), SAID, PROVED, False),
        (unlikely_by_arithmetic(TIGHT, ("Ladder",)), SAID, PROVED, False),
    ],
    ids=["shown", "not shown", "nothing asked", "too few weeks", "too few days"],
)
def test_the_chance_gives_the_word_once_it_has_shown_itself_nearer(outlook, said, record, decides):
    likely = replace(said, chance=0.7) if said else None
    found, decided = decide(outlook, likely, record, DEFAULTS)
    assert decided.forecast_decides is decides
    assert found == (replace(outlook, pace=Pace.IN_STEP) if decides else outlook)
    assert decided.by_count is outlook.pace
    assert decided.record == record


def test_why_this_one_gives_the_word_is_said_with_its_figures():
    both = Decided(SAID, Pace.TIGHT, Pace.UNLIKELY, forecast_decides=True, record=PROVED)
    assert why(both) == (
        "The chance gives the word: on 100 past Wednesdays of seven students here it was off by "
        "0.123 in the mean square, the count of weeks by 0.200."
    )
    counted = replace(both, forecast_decides=False)
    assert why(counted) == (
        "The count of weeks gives the word: 100 past Wednesdays here do not show yet that the "
        "chance is nearer (0.123 and 0.200 in the mean square)."
    )
    one = replace(counted, record=replace(PROVED, cases=1))
    assert "one past Wednesday here does not show yet" in why(one)
    assert "no past Wednesday is known yet" in why(replace(counted, record=NO_RECORD))
    early = replace(counted, by_count=Pace.TOO_SOON)
    assert why(early).startswith("No word yet from either")
    assert disagreement(both) == "The count of weeks says Tight, the chance Unlikely."
    same = replace(both, by_forecast=Pace.TIGHT)
    silent = (early, same, replace(both, by_forecast=None))
    assert [disagreement(each) for each in silent] == ["", "", ""]


def test_a_record_is_mean_squares_and_as_many_students_as_there_were():
    found = record_of([0.5, 1.0, 0.0], [0.0, 1.0, 0.5], [True, True, False], ["a", "b", "a"])
    # Of the one a half was off by a half; of the other one by 1 and one by a half.
    assert (found.cases, found.students) == (3, 2)
    assert (found.forecast, found.count) == (pytest.approx(0.25 / 3), pytest.approx(1.25 / 3))
    assert record_of([], [], [], []) == NO_RECORD == record_from(None)
    assert record_from(PROVED.as_json() | {"unknown": 1}) == PROVED
    assert not NO_RECORD.forecast_decides
