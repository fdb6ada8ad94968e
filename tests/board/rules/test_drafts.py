"""The note that is prepared for the coach: what it says of each state, in whole sentences."""

from dataclasses import replace
from datetime import date

import pytest

from coaching.board.rules.by_chance import looked_at
from coaching.board.rules.care import Care, Why
from coaching.board.rules.drafts import draft, tried_words
from coaching.board.rules.facts import (
    Counts,
    CrammingFacts,
    EventFacts,
    Favourite,
    LoadBeside,
    OpenStop,
    PainFacts,
)
from coaching.board.rules.order import Need
from coaching.board.rules.short import because, first_words, where_told
from coaching.board.rules.states import State
from coaching.board.rules.text import standing
from coaching.board.rules.way_back import way_back
from coaching.forecast.outlook import unlikely_by_arithmetic
from practice.numbers.now.values import Numbers
from tests.board.rules.make import MONDAY, WEDNESDAY, facts, gap, part, quiet, speed


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
    [
        (12.0, "12 more minutes"),
        (11.2, "12 more minutes"),
        (0.3, "one more minute"),
        (0.0, "one more minute"),
    ],
)
def test_whole_minutes_lead_back_in_step(to_step, more):
    known = facts(to_step=to_step)
    said = way_back(known, State.TIGHT, Need.NOTHING, None)
    assert said == f"Done with {more} today, or a shorter week."


# --- the one clause of a closed line ----------------------------------------------------------


def clause(known, state, need=Need.NOTHING, care=None) -> str:
    return because(known, state, need, care).said()


@pytest.mark.parametrize(
    ("state", "changes", "words"),
    [
        (State.STOPPED, {}, "a part is stopped until a coach clears it"),
        (State.EXCUSED, {}, "days excused"),
        (State.EXCUSED, {"excused_until": date(2031, 3, 4)}, "excused until Tuesday"),
        (State.TO_COME, {}, "the week sent begins on Monday"),
        (State.NO_WEEK, {}, "no week since Monday"),
        (State.DONE, {}, "all of this week is done"),
        (State.HURTS, {}, "all of this week is done"),
        (State.NO_WORD, {"silence": quiet(1)}, "nothing for one day"),
        (State.LOGS_LATER, {}, "usually writes it up later"),
        (State.LOGS_LATER, {"write_up_weekday": 0}, "usually writes it up on Monday"),
        (State.IN_STEP, {}, "36 minutes left, usually managed from here"),
        (State.TOO_SOON, {}, "too few weeks to go by yet"),
        (State.UNLIKELY, {}, "36 minutes left, seldom managed from here"),
    ],
)
def test_each_state_is_one_clause(state, changes, words):
    assert clause(facts(**changes), state) == words


def test_what_was_never_managed_is_said_so_and_what_no_day_can_hold():
    never = facts(58, "20- 24- 18- 22-")
    assert clause(never, State.UNLIKELY) == "58 minutes left, not once managed from here"
    lost = replace(never, outlook=unlikely_by_arithmetic(never.outlook, ("Ladder",)))
    assert clause(lost, State.UNLIKELY) == "more is left than the days hold"


CRAMMED = CrammingFacts(2, 3, 0.885)
PUTTING = Favourite("Putting", 0.785, "Ladder", 0)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"load": LoadBeside(80, jump=True), "favourite": PUTTING},
         "80 hard swings, far more than usual"),
        ({"load": LoadBeside(70, ceiling_passed=60), "favourite": PUTTING},
         "70 hard swings, too many for now"),
        ({"favourite": PUTTING, "cramming": CRAMMED}, "one part took 78 % of the minutes"),
        ({"cramming": CRAMMED}, "88 % of it just before the lesson"),
        ({"cramming": replace(CRAMMED, times=1)}, "36 minutes left, sometimes managed from here"),
    ],
)  # fmt: skip
def test_the_gravest_habit_is_the_clause(changes, words):
    assert clause(facts(**changes), State.TIGHT, Need.HABIT) == words


def test_a_need_beside_the_week_is_the_clause():
    counted = facts(counts=Counts(14, 14), asks_since=MONDAY)
    assert clause(counted, State.IN_STEP, Need.EVIDENCE) == "all of 14 counts exactly as asked"
    nearly = replace(counted, counts=Counts(13, 14))
    assert (
        clause(nearly, State.IN_STEP, Need.EVIDENCE) == "nearly all of 14 counts exactly as asked"
    )
    # A question stands before what the week says.
    asks = "a question waits since Monday"
    assert clause(counted, State.UNLIKELY, Need.ANSWER) == asks
    assert clause(counted, State.UNLIKELY, Need.EVIDENCE).startswith("36 minutes left")
    event = EventFacts("The long Spring cup of all clubs", WEDNESDAY)
    assert clause(facts(event=event), State.IN_STEP, Need.EVENT) == (
        "The long Spring cup on Wednesday"
    )
    unnamed = facts(event=EventFacts("", WEDNESDAY))
    assert clause(unnamed, State.IN_STEP, Need.EVENT) == "an event on Wednesday"
    # One that is far is no need, and other news stands before it.
    assert clause(unnamed, State.IN_STEP) == "36 minutes left, usually managed from here"
    beside = replace(unnamed, numbers=Numbers(speed("Up")))
    assert clause(beside, State.IN_STEP, Need.NEWS) == "speed is up and has stayed up"
    assert standing(beside, State.IN_STEP, Need.NEWS).reason.startswith("Ball speed is ")
    assert note(beside, State.IN_STEP, Need.NEWS).startswith("Sam, your usual speed is up")


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        (Numbers(speed("Down")), "speed is down and has stayed down"),
        (Numbers(speed("Up")), "speed is up and has stayed up"),
        (Numbers(speed("Level")), "a best day, usual speed level"),
        (Numbers(missed=(gap(),)), "65 m has no swing of its own"),
    ],
)
def test_news_is_the_clause(numbers, words):
    assert clause(facts(numbers=numbers), State.IN_STEP, Need.NEWS) == words


HURT = (PainFacts(MONDAY, 3, "left wrist joint and more"), PainFacts(WEDNESDAY, 5, "hip"))


@pytest.mark.parametrize(
    ("why", "stops", "words", "without"),
    [
        (Why.SERIOUS, (), "hip 5/10 on Wednesday", "no hard swings without asking the coach"),
        (Why.JUMP, (), "rest from hard swings: hip hurts",
         "no hard swings without asking the coach"),
        (Why.LEFT_ALONE, (), "hip hurt twice, drill not done since",
         "no hard swings without asking the coach"),
        (Why.STOPPED, (OpenStop(MONDAY),), "hip 5/10 on Wednesday",
         "work is stopped until a coach clears it"),
    ],
)  # fmt: skip
def test_the_worst_pain_is_the_clause_of_who_may_read_it(why, stops, words, without):
    care = Care(why, MONDAY, HURT, stops)
    said = because(facts(), State.IN_STEP, Need.CARE, care)
    assert (said.said(where=where_told(care)), said.said()) == (words, without)
    assert said.told == (WEDNESDAY, 5)
    assert said.said(where="") == words.replace("hip", "pain")
    first = replace(care, pains=HURT[:1])
    assert where_told(first) == "left wrist joint and more"
    quoted = because(facts(), State.IN_STEP, Need.CARE, first).said(where=where_told(first))
    assert "left wrist joint" in quoted
    assert "and more" not in quoted
    bare = because(facts(), State.STOPPED, Need.CARE, replace(care, pains=()))
    assert bare.said(where="") == "stopped since Monday"
    assert (bare.told, where_told(replace(care, pains=())), where_told(None)) == (None, "", "")


# --- the way back, and the note, of each need -----------------------------------------------------


@pytest.mark.parametrize(
    ("state", "need", "changes", "words"),
    [
        (State.NO_WORD, Need.NO_WORD, {}, "Done when anything comes, or days are excused."),
        (State.NO_WEEK, Need.NO_WEEK, {}, "Done when the week is sent."),
        (State.EXCUSED, Need.NOTHING, {}, "Done on the first open day."),
        (State.NO_WORD, Need.ANSWER, {}, "Done when the question is answered, or ticked as read."),
        (State.TIGHT, Need.HABIT, {}, "Done when the week is done, or made shorter."),
        (State.IN_STEP, Need.HABIT, {"load": LoadBeside(80, jump=True)},
         "Done after a week of the usual hard swings."),
        (State.IN_STEP, Need.HABIT, {"load": LoadBeside(70, ceiling_passed=60)},
         "Done after a week of the usual hard swings."),
        (State.IN_STEP, Need.HABIT, {"favourite": PUTTING},
         "Done when half of Ladder is done in a week."),
        (State.IN_STEP, Need.HABIT, {},
         "Done after two lessons with practice spread over the days before."),
        (State.IN_STEP, Need.EVIDENCE, {},
         "Done when a coach has counted a set, or the counts vary."),
        (State.IN_STEP, Need.CHANGE_DRILL, {},
         "Done with another drill for part 1, or a coach’s count that holds."),
        (State.IN_STEP, Need.EVENT, {"event": EventFacts("Cup", WEDNESDAY)},
         "Done when the event is over: Wednesday."),
        (State.IN_STEP, Need.NEWS, {"numbers": Numbers(speed("Down"))}, "Shown for 14 days."),
        (State.IN_STEP, Need.NEWS, {"numbers": Numbers(speed("Up"))}, "Shown for 14 days."),
        (State.IN_STEP, Need.NEWS, {"numbers": Numbers(speed("Level"))},
         "Done when test days are steadier, or a change stays."),
        (State.IN_STEP, Need.NEWS, {"numbers": Numbers(missed=(gap(),))},
         "Done when balls land on it."),
        (State.IN_STEP, Need.NOTHING, {}, ""),
        (State.DONE, Need.NOTHING, {}, ""),
    ],
)  # fmt: skip
def test_each_need_says_what_ends_it(state, need, changes, words):
    assert way_back(facts(**changes), state, need, None) == words


@pytest.mark.parametrize(
    ("weeks", "words"),
    [("", "four more weeks"), ("40+ 42+ 40+", "one more week"), ("40+ 42+", "two more weeks")],
)
def test_too_soon_says_how_many_weeks_are_missing(weeks, words):
    said = way_back(facts(36, weeks), State.TOO_SOON, Need.NOTHING, None)
    assert said == f"A word comes after {words}."


def test_days_that_cannot_hold_the_rest_and_pain_have_their_own_way_back():
    lost = facts()
    lost = replace(lost, outlook=unlikely_by_arithmetic(lost.outlook, ("Ladder", "Chips")))
    assert way_back(lost, State.UNLIKELY, Need.UNLIKELY, None) == (
        "Done with a shorter Ladder and Chips, or days excused."
    )
    care = Care(Why.STOPPED, MONDAY)
    assert way_back(lost, State.UNLIKELY, Need.CARE, care) == "Done when a coach clears the stop."


@pytest.mark.parametrize(
    ("state", "need", "changes", "words"),
    [
        (State.NO_WORD, Need.NO_WORD, {},
         ("Sam, the last entry I have is from Tuesday. How are you? If some days should be "
         "excused, just say which.")),
        (State.IN_STEP, Need.HABIT, {"load": LoadBeside(70, ceiling_passed=60)},
         ("Sam, you have made 70 hard swings this week. Leave the hard ones for a few days. "
         "Tell me what they were for.")),
        (State.IN_STEP, Need.HABIT, {"favourite": PUTTING},
         "Sam, Putting is in good hands. Ten minutes for Ladder?"),
        (State.IN_STEP, Need.CHANGE_DRILL, {},
         "Sam, you have done the work. We will try another drill."),
        (State.IN_STEP, Need.EVENT, {"event": EventFacts("Cup", WEDNESDAY)},
         "Sam, Cup is Wednesday. Keep it light, and nothing new."),
        (State.IN_STEP, Need.EVENT, {"event": EventFacts("", WEDNESDAY)},
         "Sam, your event is Wednesday. Keep it light, and nothing new."),
        (State.IN_STEP, Need.NEWS, {"numbers": Numbers(speed("Up"))},
         "Sam, your usual speed is up, and it has held."),
        (State.DONE, Need.NEWS, {"numbers": Numbers(speed("Down"))},
         "Sam, the week is done. Thank you; the next one comes with the lesson."),
        (State.IN_STEP, Need.NEWS, {"numbers": Numbers(speed("Down"))}, ""),
        (State.IN_STEP, Need.NOTHING, {"numbers": Numbers(speed("Up"))}, ""),
    ],
)  # fmt: skip
def test_a_note_of_each_need(state, need, changes, words):
    assert note(facts(**changes), state, need) == words


@pytest.mark.parametrize(
    ("why", "stops", "parts", "words"),
    [
        (Why.LEFT_ALONE, (), (part(),),
         ("Sam, thank you for telling me how Ladder felt. Shall we swap it for something easier "
         "on the body until we meet?")),
        (Why.LEFT_ALONE, (), (),
         ("Sam, thank you for telling me. Please take the hard swings out. Nothing you leave out "
         "counts against you.")),
        (Why.STOPPED, (OpenStop(MONDAY),), (part(),),
         ("Sam, thank you for telling me. Please leave the hard swings until we have spoken. "
         "Nothing you leave out counts against you.")),
    ],
)  # fmt: skip
def test_a_note_about_pain_thanks_first_and_repeats_nothing(why, stops, parts, words):
    care = Care(why, MONDAY, HURT, stops)
    assert draft("Sam Sample", facts(parts=parts), State.IN_STEP, Need.CARE, care) == words


def test_a_name_of_no_words_begins_no_note():
    assert draft(" ", facts(), State.DONE, Need.NOTHING, None).startswith("the week is done.")


def test_what_was_tried_has_its_note_where_there_is_one():
    assert tried_words("called", "Ann", "Wed 26 Feb", "") == "Wed 26 Feb: called (Ann)"
    assert tried_words("called", "Ann", "Wed 26 Feb", "busy") == "Wed 26 Feb: called (Ann): busy"
