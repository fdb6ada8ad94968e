"""What of the tests is news, for how long, where it stands, and how it is said."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coaching.board.rules import care_text, text
from coaching.board.rules.care import care_needed
from coaching.board.rules.drafts import draft
from coaching.board.rules.facts import Counts, EventFacts, LoadBeside, PainFacts
from coaching.board.rules.news import NewsKind, news_of, speed_down
from coaching.board.rules.news_text import NewsUnits
from coaching.board.rules.order import GROUP_OF, Need, OrderGroup, need_of
from coaching.board.rules.states import State
from coaching.board.rules.way_back import way_back
from practice.numbers.now.values import Numbers, from_json, to_json
from shared.kit.units import SPEED
from tests.board.rules.make import WEDNESDAY, facts, gap, speed

YARDS = NewsUnits("kmh", "yd")
to_si = SPEED["mph"].to_si


def ago(days: int):
    return WEDNESDAY - timedelta(days=days)


def kind(numbers: Numbers, today=WEDNESDAY) -> NewsKind | None:
    news = news_of(numbers, today)
    return news.kind if news else None


@pytest.mark.parametrize(
    ("numbers", "expected"),
    [
        (Numbers(), None),
        (Numbers(speed()), NewsKind.LEVEL),
        (Numbers(speed(is_new_best=False)), None),
        (Numbers(speed(spread=None)), None),
        (Numbers(speed(usual_spread=70.0)), None),
        (Numbers(speed(newest=ago(28))), NewsKind.LEVEL),
        (Numbers(speed(newest=ago(29))), None),
        (Numbers(speed("Up", since=ago(14))), NewsKind.UP),
        (Numbers(speed("Up", since=ago(15))), None),
        (Numbers(speed("Down", since=ago(14))), NewsKind.DOWN),
        (Numbers(speed("Down", since=ago(15))), None),
        (Numbers(missed=(gap(newest=ago(28)),)), NewsKind.MISSED),
        (Numbers(missed=(gap(newest=ago(29)),)), None),
        (Numbers(speed("Down"), (gap(),)), NewsKind.DOWN),
        (Numbers(speed(), (gap(),)), NewsKind.MISSED),
        (Numbers(speed("Up"), (gap(),)), NewsKind.MISSED),
    ],
)
def test_what_is_news(numbers, expected):
    assert kind(numbers) is expected


AGES = st.integers(0, 60).map(ago)


@given(st.sampled_from(["Up", "Down", "Level"]), AGES, AGES, AGES, st.booleans(), st.booleans())
def test_news_that_went_never_comes_back_without_a_new_test(
    verdict, newest, since, balls, is_new_best, with_gap
):
    tested = speed(verdict, newest=newest, since=since, is_new_best=is_new_best)
    numbers = Numbers(tested, (gap(newest=balls),) if with_gap else ())
    said = [kind(numbers, WEDNESDAY + timedelta(days=n)) for n in range(70)]
    changes = [each for n, each in enumerate(said) if n == 0 or each is not said[n - 1]]
    assert len(changes) == len(set(changes))
    assert said[-1] is None


@pytest.mark.parametrize(
    ("changes", "state", "need"),
    [
        ({}, State.IN_STEP, Need.NEWS),
        ({}, State.TOO_SOON, Need.NEWS),
        ({}, State.DONE, Need.NEWS),
        ({}, State.EXCUSED, Need.NOTHING),
        ({}, State.NO_WORD, Need.NO_WORD),
        ({}, State.TIGHT, Need.HABIT),
        ({"event": EventFacts("Cup", WEDNESDAY)}, State.IN_STEP, Need.EVENT),
        ({"counts": Counts(14, 14, question=True)}, State.IN_STEP, Need.EVIDENCE),
    ],
)
def test_news_stands_last_before_nothing_needed(changes, state, need):
    assert need_of(facts(numbers=Numbers(speed()), **changes), state, None) is need
    assert GROUP_OF[Need.NEWS] is OrderGroup.WATCH


def said(numbers: Numbers, need=Need.NEWS, units=NewsUnits(), **changes) -> text.Words:  # noqa: B008
    return text.standing(facts(numbers=numbers, **changes), State.IN_STEP, need, units)


def test_a_new_best_day_of_somebody_level():
    found = said(Numbers(speed()))
    assert found.reason == (
        "The best day, 157.0 mph, means nothing yet. Ball speed is 153.3 mph, and began at 152.4. "
        "It did not move."
    )
    assert (found.since, found.action) == (
        "since Wed 19 Feb",
        "Aim at steady days, not at more swings.",
    )


def test_speed_that_is_down_asks_and_names_no_cause():
    down = speed("Down", is_recent=True, before=68.1, now=66.1, quantity="club_speed")
    found = said(Numbers(down), units=NewsUnits("mps", "m"))
    assert found.reason == "Club speed is down 2.0 m/s, and has stayed down for three test days."
    assert found.action.startswith("Ask about sleep")


def test_a_missed_distance_in_the_readers_unit():
    """65 m is 71.1 yd, 60 m 65.6, 71 m 77.6, 4.15 m 4.54: the yard is 0.9144 m exactly."""
    found = said(Numbers(missed=(gap(),)), units=YARDS)
    assert found.reason == (
        "71 yd lies in the gap from 66 to 78. Balls there fly 4.5 yd long (10 balls)."
    )
    assert found.action == "Give 71 yd a stock swing of its own."
    short = said(Numbers(missed=(gap(error=-3.0, hole=None),)))
    assert short.reason == "Balls at 65 m fly 3 m short (10 balls)."
    assert short.action == "Choose a swing for 65 m together."


def test_speed_in_the_readers_unit():
    """157 mph is 252.7 km/h: a mile is 1.609344 km exactly."""
    assert "The best day, 252.7 km/h," in said(Numbers(speed()), units=YARDS).reason


def test_an_event_beside_a_hole_and_without_one():
    event = EventFacts("Estuary Open", WEDNESDAY + timedelta(days=2))
    hole = said(Numbers(missed=(gap(),)), Need.EVENT, event=event)
    assert hole.reason == (
        "Estuary Open is on Friday. 65 m lies in the gap from 60 to 71. "
        "Balls there fly 4.2 m long (10 balls)."
    )
    assert hole.action == "One stock shot for 65 m. Nothing new before it."
    old = said(Numbers(missed=(gap(newest=ago(29)),)), Need.EVENT, event=event)
    assert old.reason == "Estuary Open is on Friday. 36 of 90 minutes are left."


def test_good_news_that_is_no_need_is_told_beside_the_week():
    up = speed("Up", since=ago(30))
    found = said(Numbers(up), Need.NOTHING)
    assert found.reason.startswith("36 minutes are left.")
    assert found.reason.endswith("since the start, and has stayed up.")
    assert found.action == "Tell the student."
    assert said(Numbers(replace(up, newest=ago(29))), Need.NOTHING).action == ""


def test_every_kind_has_a_way_back_and_a_draft_where_one_is_to_be_written():
    for numbers in (Numbers(speed()), Numbers(speed("Up")), Numbers(missed=(gap(),))):
        known = facts(numbers=numbers)
        assert way_back(known, State.IN_STEP, Need.NEWS, None)
        assert draft("Piet Slagveld", known, State.IN_STEP, Need.NEWS, None).startswith("Piet, ")
    down = facts(numbers=Numbers(speed("Down")))
    assert way_back(down, State.IN_STEP, Need.NEWS, None)
    assert draft("Piet Slagveld", down, State.IN_STEP, Need.NEWS, None) == ""


def test_figures_are_kept_as_they_are_and_another_format_says_nothing():
    numbers = Numbers(speed(), (gap(), gap(hole=None)))
    assert from_json(to_json(numbers)) == numbers
    assert from_json(to_json(numbers) | {"format": 0}) == from_json(None) == Numbers()


# --- beside care -----------------------------------------------------------------------


def overloaded(**changes):
    now = to_si(152.4 - 5.3)
    down = speed("Down", now=now, needed=to_si(2.8), is_recent=True)
    told = {
        "load": LoadBeside(128, 46, jump=True),
        "pains": (PainFacts(ago(1), 3, "lead wrist"),),
        "speed_down": speed_down(Numbers(down), WEDNESDAY),
    }
    return facts(**told | changes)


def care_said(told, **reads) -> str:
    care = care_needed(told)
    assert care is not None
    return care_text.care(told, care, **{"may_read_pain": True} | reads).reason


def test_a_fall_in_speed_is_told_with_pain_while_hard_swings_jump():
    told = "128 hard swings this week, usually 46. Lead wrist 3/10 on Tuesday."
    down = "Ball speed is down 5.3 mph, and has stayed down for three test days."
    assert care_said(overloaded()) == f"{told} {down}"
    growing = f"{told} {down} In a child, growth may be why."
    assert care_said(overloaded(minor=True)) == growing
    assert care_said(overloaded(speed_down=None)) == told
    assert "km/h" in care_said(overloaded(), units=YARDS)
    assert "speed" not in care_said(overloaded(), may_read_pain=False)


def test_a_fall_in_speed_alone_asks_no_care_and_of_a_child_is_no_news():
    alone = overloaded(pains=(), load=LoadBeside(), minor=True)
    assert care_needed(alone) is None
    assert need_of(alone, State.IN_STEP, None) is Need.NOTHING


@pytest.mark.parametrize(
    ("verdict", "days", "told"), [("Down", 28, 1), ("Down", 29, 0), ("Up", 1, 0)]
)
def test_only_a_held_fall_that_is_still_tested_is_one(verdict, days, told):
    assert bool(speed_down(Numbers(speed(verdict, newest=ago(days))), WEDNESDAY)) is bool(told)
