"""Wording: plain, counted, and never a word that blames, whoever the sentence is about."""

import re
from dataclasses import replace
from datetime import date, timedelta
from itertools import product

import pytest

from coaching.board.rules import care_text
from coaching.board.rules import text as words
from coaching.board.rules.care import care_needed
from coaching.board.rules.facts import (
    Counts,
    CrammingFacts,
    EventFacts,
    Facts,
    Favourite,
    LoadBeside,
    OpenStop,
    PainFacts,
    PlanSizeFacts,
)
from coaching.board.rules.habits import load
from coaching.board.rules.order import Need, need_of
from coaching.board.rules.states import State
from coaching.forecast.deciding import Decided
from coaching.forecast.forecast import Forecast
from coaching.forecast.outlook import Pace, unlikely_by_arithmetic
from coaching.forecast.panel import By
from coaching.forecast.thresholds import Thresholds
from practice.numbers.now.values import Numbers
from shared.kit import text
from tests.board.rules.make import MONDAY, WEDNESDAY, facts, gap, part, quiet, speed

# No failure words, no adverbs of blame; words of other fields that judge or scare.
BANNED = re.findall(
    r"\S+",
    "failed fail failure missed missing behind lazy poor only still never inactive overdue late "
    "non-compliant compliance adherence risk injury streak badge level-up score lagging slacking "
    "unfortunately merely should must always bad worse excuse because",
)

FAVOURITE = Favourite("Putting", 0.785, "Ladder", 0)
VARIATIONS: list[dict] = [
    {},
    {"silence": quiet(9)},
    {"silence": quiet(9, None, None)},
    {"silence": quiet(12, 7, 7)},
    {"outlook_since": MONDAY},
    {"unasked": 80.0},
    {"parts": ()},
    {"parts": (part(), part("Wedges", 2))},
    {"excused_until": date(2031, 3, 4)},
    {"done_on": WEDNESDAY},
    {"write_up_weekday": 6},
    {"cramming": CrammingFacts(2, 3, 0.885)},
    {"favourite": FAVOURITE},
    {"favourite": replace(FAVOURITE, first_minutes=12)},
    {"load": LoadBeside(128, 46, jump=True)},
    {"load": LoadBeside(70, None, ceiling_passed=60)},
    {"load": LoadBeside(128, 46, is_much=True), "pains": (PainFacts(MONDAY, 3, "wrist"),)},
    {"size": PlanSizeFacts(147, 92.5, too_big=True)},
    {"counts": Counts(14, 14, question=True)},
    {"event": EventFacts("Spring cup", WEDNESDAY + timedelta(days=2))},
    {"event": EventFacts("", WEDNESDAY)},
    {"numbers": Numbers(speed("Down"))},
    {"numbers": Numbers(speed("Up"))},
    {"numbers": Numbers(speed("Level"))},
    {"numbers": Numbers(missed=(gap(),))},
    {"numbers": Numbers(missed=(gap(hole=None),)), "event": EventFacts("", WEDNESDAY)},
    {"stops": (OpenStop(MONDAY, "Ladder"), OpenStop(MONDAY))},
    {"pains": (PainFacts(MONDAY, 5, "lower back", ("sharp",), serious=True),), "minor": True},
    {
        "pains": (PainFacts(MONDAY, 3, "wrist"),),
        "load": LoadBeside(128, 46, jump=True),
        "minor": True,
    },
    {
        "pains": (PainFacts(MONDAY, 3), PainFacts(MONDAY - timedelta(days=2), 3)),
        "first_part_days": (MONDAY, MONDAY - timedelta(days=2)),
        "first_part_skipped": True,
    },
]


def every_sentence() -> list[str]:
    """All that the generators can say, over varied facts, states and readers."""
    said = []
    for changes, state in product(VARIATIONS, State):
        for varied in (facts(**changes), by_arithmetic(**changes), hopeless(**changes)):
            said += texts(varied, state)
    return said


def by_arithmetic(**changes) -> Facts:
    varied = facts(**changes)
    return replace(varied, outlook=unlikely_by_arithmetic(varied.outlook, ("Ladder",)))


def hopeless(**changes) -> Facts:
    return facts(left=58, weeks="20- 24- 18- 22- 16- 25- 20- 14-", **changes)


def texts(varied: Facts, state: State) -> list[str]:
    care = care_needed(varied)
    shown = [words.standing(varied, state, need_of(varied, state, None))]
    if care:
        shown += [care_text.care(varied, care, may_read_pain=reads) for reads in (True, False)]
    last = [
        words.last_word(varied, written=written, wrote_this_week=wrote, seen=seen)
        for written in (None, "Tue 19:40")
        for wrote in (True, False)
        for seen in (None, WEDNESDAY)
    ]
    return [part for each in shown for part in (each.reason, each.since, each.action)] + last


def test_no_sentence_has_a_word_that_blames():
    for sentence in every_sentence():
        found = set(re.findall(r"[a-z-]+", sentence.lower())) & set(BANNED)
        assert not found, f"{found} in: {sentence}"


def test_no_sentence_shouts_or_guesses_a_cause():
    for sentence in every_sentence():
        assert "!" not in sentence
        assert not re.search(r"\b(because|due to|probably|seems|lost interest)\b", sentence)


def test_every_sentence_is_whole():
    for sentence in every_sentence():
        assert "None" not in sentence
        assert "  " not in sentence
        assert sentence == sentence.strip()
        assert not sentence or not sentence[0].islower() or sentence.startswith("since ")


def test_every_state_has_words():
    assert set(words.OF_STATE) == set(State)


# --- the sentences themselves --------------------------------------------------------------


def test_unlikely_names_the_rest_and_what_came_before():
    said = words.unlikely(hopeless(parts=(part(left=4),), outlook_since=MONDAY))
    assert said.reason == (
        "58 minutes are left. From a Wednesday on, 25 was the most in eight weeks. "
        "All of it is Ladder: four times."
    )
    assert said.since == "since Monday"


def test_unlikely_counts_the_weeks_that_did_come_through():
    said = words.unlikely(facts(left=70, weeks="30- 42- 38- 74- 25- 40- 35- 28-"))
    assert said.reason.startswith(
        "70 minutes are left. From a Wednesday on that was done in 1 of 8 weeks."
    )


def test_unlikely_beside_much_practice_nobody_asked_for():
    busy = hopeless(unasked=80.0, credited=30.0)
    assert "80 more minutes were practice of their own choice." in words.unlikely(busy).reason
    assert (
        words.unlikely(busy).action == "Ask whether the first part of each visit could be part 1."
    )


def test_why_the_word_stands_is_told_where_the_reason_speaks_of_pain():
    """Ahead of the plan and unlikely: what is left is what was never managed."""
    assert words.why_the_word(hopeless(parts=(part(left=4),)), State.UNLIKELY) == (
        "58 minutes are left. From a Wednesday on, 25 was the most in eight weeks. "
        "All of it is Ladder: four times."
    )
    assert words.why_the_word(facts(), State.TIGHT) == words.tight(facts()).reason
    assert words.why_the_word(facts(), State.IN_STEP) == ""


def test_the_next_step_is_a_question_where_the_time_goes_elsewhere():
    assert words.asks_first(hopeless(unasked=80.0, credited=30.0), State.UNLIKELY)
    assert words.asks_first(hopeless(unasked=30.0, credited=30.0), State.UNLIKELY)
    assert not words.asks_first(hopeless(unasked=29.9, credited=10.0), State.UNLIKELY)
    assert not words.asks_first(hopeless(unasked=20.0, credited=30.0), State.UNLIKELY)
    assert not words.asks_first(hopeless(unasked=80.0, credited=30.0), State.TIGHT)


def test_by_arithmetic_the_days_speak():
    said = words.unlikely(by_arithmetic())
    assert "The days left cannot hold all of Ladder." in said.reason


def test_no_word_says_the_habit_and_that_no_days_were_excused():
    said = words.no_word(facts(silence=quiet(9)))
    assert said.reason == (
        "Nothing has come for 9 days. Before, something came every 1 to 3 days. "
        "No days are excused."
    )
    assert said.since == "since Mon 17 Feb"


@pytest.mark.parametrize(
    ("shortest", "longest", "habit"),
    [(1, 1, "every day"), (7, 7, "every 7 days"), (6, 7, "every 6 to 7 days")],
)
def test_the_habit_of_writing(shortest, longest, habit):
    assert habit in words.no_word(facts(silence=quiet(12, shortest, longest))).reason


def test_tight_with_a_habit_says_both():
    said = words.tight(facts(cramming=CrammingFacts(3, 3, 0.906)))
    assert "36 minutes are left" in said.reason
    assert "90 % of the minutes came in the two days before a lesson" in said.reason


def test_the_favourite_part():
    said = words.habit(facts(favourite=FAVOURITE))
    assert said.reason == (
        "78 % of the minutes went to Putting, none to Ladder, two weeks running."
    )


def test_a_jump_speaks_before_other_habits():
    said = words.habit(facts(load=LoadBeside(128, 46, jump=True), favourite=FAVOURITE))
    assert said.reason == "128 hard swings this week, usually 46."


def test_too_soon_says_how_many_weeks_there_are():
    said = words.too_soon(facts(left=30, weeks="25- 40-"))
    assert said.reason == "30 minutes are left. A word needs four past weeks, and there are two."


def test_a_first_week_says_that_there_are_none_and_leaves_no_more_than_is_asked():
    """Of 40.5 minutes asked, 41 were said to be left of 40."""
    said = words.too_soon(facts(left=40.5, weeks="", asked=40.5, credited=0))
    assert said.reason == "40 minutes are left. A word needs four past weeks, and there are none."


def test_stopped_parts_with_the_pain_told():
    stopped = facts(
        stops=(OpenStop(MONDAY, "Ladder"),),
        pains=(PainFacts(MONDAY, 5, "lower back", ("sharp",), serious=True),),
        minor=True,
    )
    said = care_text.care(stopped, care_needed(stopped), may_read_pain=True)
    assert said.reason == "Ladder stopped: lower back 5/10, sharp on Monday."
    assert said.since == "since Monday"
    assert said.action.endswith("The guardian was told too.")


def test_whoever_may_not_read_pain_gets_the_limit_alone():
    stopped = facts(
        stops=(OpenStop(MONDAY, "Ladder"), OpenStop(MONDAY)),
        pains=(PainFacts(MONDAY, 5, "lower back", serious=True),),
    )
    said = care_text.care(stopped, care_needed(stopped), may_read_pain=False)
    assert said.reason == "No Ladder and no hard swings until a coach clears it."


def test_pain_is_gathered_by_place_and_level():
    told = (
        PainFacts(MONDAY, 3, "wrist"),
        PainFacts(WEDNESDAY, 2, "wrist"),
        PainFacts(WEDNESDAY, 1, "hip"),
    )
    assert care_text.pain_words(told, WEDNESDAY) == (
        "wrist 3/10 on Monday and Wednesday and hip 1/10 on Wednesday"
    )


# --- the pieces ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("away", "said"),
    [
        (0, "today"),
        (-1, "yesterday"),
        (1, "tomorrow"),
        (-2, "Monday"),
        (-6, "Thursday"),
        (-7, "Wed 19 Feb"),
        (6, "Tuesday"),
        (7, "Wed 5 Mar"),
    ],
)
def test_days_in_words(away, said):
    assert text.day_words(WEDNESDAY + timedelta(days=away), WEDNESDAY) == said


def test_on_a_line_that_is_read_on_any_clock_a_day_has_its_own_name():
    """At half past midnight the practice day is still the day before, the coach's is not."""
    days = (WEDNESDAY - timedelta(days=back) for back in (0, 1, 6, 7))
    said = [text.weekday_words(day, WEDNESDAY) for day in days]
    assert said == ["Wednesday", "Tuesday", "Thursday", "Wed 19 Feb"]


@pytest.mark.parametrize(("share", "shown"), [(0.685, 68), (0.9999, 99), (1.0, 100), (0.29, 29)])
def test_percents_are_rounded_down(share, shown):
    assert text.whole_percent(share) == shown


def test_minutes_left_are_rounded_up():
    assert text.minutes(0.4) == 1
    assert text.minutes(36.0) == 36


@pytest.mark.parametrize(
    ("count", "said"), [(1, "one session"), (2, "two sessions"), (12, "12 sessions")]
)
def test_counts_in_words(count, said):
    assert text.many(count, "session") == said


def test_no_news_differs_from_a_word_that_came():
    silent = facts(silence=quiet(2))
    here = words.last_word(silent, written="Mon 19:40", wrote_this_week=False, seen=None)
    assert here == "No news since Mon 19:40"
    came = words.last_word(silent, written="Mon 19:40", wrote_this_week=True, seen=None)
    assert came == "Last word Mon 19:40"


def test_the_need_of_an_event_is_said_with_its_name():
    coming = facts(event=EventFacts("Spring cup", WEDNESDAY + timedelta(days=2)))
    assert words.standing(coming, State.IN_STEP, Need.EVENT).reason.startswith(
        "Spring cup is on Friday."
    )


@pytest.mark.parametrize(
    ("is_much", "action"),
    [
        (True, "Rest from hard swings. Tell whoever looks after the gym work."),
        (False, "Ask how it feels before any hard swings. Tell whoever looks after the gym work."),
    ],
)
def test_rest_is_said_where_the_limits_say_it_and_nowhere_else(is_much, action):
    """A studio's own lines may ask sooner than the limits let anybody rest."""
    load = LoadBeside(128, 46, jump=True, is_much=is_much)
    varied = facts(load=load, pains=(PainFacts(MONDAY, 3, "wrist"),))
    found = care_needed(varied)
    assert care_text.care(varied, found, may_read_pain=True).action == action


@pytest.mark.parametrize(
    ("done", "asked", "words"),
    [(0, 0, ""), (3, 0, ""), (2, 4, "2 of 4"), (4, 4, "4 of 4"), (5, 4, "5, 4 asked")],
)
def test_more_than_was_asked_is_no_share_of_it(done, asked, words):
    assert text.of_asked(done, asked) == words


@pytest.mark.parametrize(("amount", "minutes"), [(0, 0), (209.5, 209), (99.9999999, 100)])
def test_minutes_are_rounded_one_way(amount, minutes):
    assert text.in_minutes(amount) == minutes


@pytest.mark.parametrize(
    ("amounts", "wholes"),
    [((122.5, 113.75, 0), [122, 114, 0]), ((10.4, 10.4, 10.4), [11, 10, 10]), ((), []),
     ((1 - 9e-7,) * 3, [1, 1, 1]), ((0, 0.4, 0), [0, 0, 0])],
)  # fmt: skip
def test_the_parts_of_a_sum_add_up_to_it(amounts, wholes):
    assert text.whole_shares(amounts) == wholes


# --- each state, whole ------------------------------------------------------------------------

RUN_OF = "Wednesday on that was done in 6 of 6 weeks."


@pytest.mark.parametrize(
    ("state", "changes", "reason", "since", "action"),
    [
        (State.STOPPED, {"stops": (OpenStop(WEDNESDAY), OpenStop(MONDAY))},
         "Nothing more is asked of what stopped.", "since Monday",
         "Clear it with a reason, or set other parts."),
        (State.STOPPED, {}, "Nothing more is asked of what stopped.", "since Monday",
         "Clear it with a reason, or set other parts."),
        (State.EXCUSED, {"excused_until": date(2031, 3, 4), "excused_since": date(2031, 2, 25)},
         "Excused until Tuesday. Nothing is asked.", "since Tuesday", ""),
        (State.EXCUSED, {}, "Excused. Nothing is asked.", "since Monday", ""),
        (State.NO_WEEK, {}, "No week is sent for these days.", "since Monday", "Set the week."),
        (State.TO_COME, {},
         "The week that is sent begins on Monday. Nothing is asked before.", "", ""),
        (State.DONE, {"done_on": date(2031, 2, 25)},
         "Part 1 is complete: 54 of 90 minutes.", "since Tuesday", ""),
        (State.HURTS, {}, "Part 1 is complete: 54 of 90 minutes.", "", ""),
        (State.LOGS_LATER, {},
         "They usually write it up later, so it is too soon for a word.", "since Monday", ""),
        (State.IN_STEP, {}, f"36 minutes are left. From a {RUN_OF}", "since Wednesday", ""),
        (State.TIGHT, {"outlook_since": MONDAY}, f"36 minutes are left. From a {RUN_OF}",
         "since Monday", "Send a shorter week, or agree on two days."),
    ],
)  # fmt: skip
def test_each_state_has_its_reason_its_day_and_its_step(state, changes, reason, since, action):
    said = words.standing(facts(**changes), state, Need.NOTHING)
    assert (said.reason, said.since, said.action) == (reason, since, action)


def test_a_question_is_said_before_all_that_the_week_says():
    asked = facts(asks_since=date(2031, 2, 25))
    said = words.standing(asked, State.NO_WEEK, Need.ANSWER)
    assert said.reason == "A question waits for an answer. No week is sent for these days."
    assert (said.since, said.action) == ("since Tuesday", "Answer the question.")


def test_good_news_is_told_beside_a_week_that_needs_nothing():
    up = facts(numbers=Numbers(speed("Up", now=speed().before * 1.05, together=0.0)))
    fine = words.standing(up, State.IN_STEP, Need.NOTHING)
    assert fine.reason.startswith(f"36 minutes are left. From a {RUN_OF} Ball speed is up 7.6 mph")
    assert fine.action == "Tell the student."
    # Where there is a step already it stays, and a need speaks alone.
    tight = words.standing(up, State.TIGHT, Need.NOTHING)
    assert tight.action == "Send a shorter week, or agree on two days."
    assert "speed" not in words.standing(up, State.TIGHT, Need.HABIT).reason
    with pytest.raises(ValueError, match="Nothing to tell of NEWS"):
        words.standing(facts(), State.IN_STEP, Need.NEWS)


def test_evidence_and_an_event_have_their_figures_and_their_step():
    counted = facts(counts=Counts(13, 14))
    said = words.standing(counted, State.IN_STEP, Need.EVIDENCE)
    assert said.reason == "13 of 14 counts are exactly as asked."
    assert said.action == "Look at one clip, or count one set together."
    later = words.standing(replace(counted, write_up_weekday=6), State.LOGS_LATER, Need.EVIDENCE)
    assert later.reason == (
        "They usually write it up on Sunday. Before that there is no word. "
        "13 of 14 counts are exactly as asked."
    )
    event = facts(event=EventFacts("", WEDNESDAY))
    said = words.standing(event, State.IN_STEP, Need.EVENT)
    assert said.reason == "An event is on Wednesday. 36 of 90 minutes are left."
    assert said.action == "Keep it light. Nothing new before it."
    said = words.standing(replace(event, numbers=Numbers(missed=(gap(),))), State.DONE, Need.EVENT)
    assert said.reason == (
        "An event is on Wednesday. 65 m lies in the gap from 60 to 71. Balls there fly 4.2 m long "
        "(10 balls)."
    )
    assert said.action == "One stock shot for 65 m. Nothing new before it."


def test_what_is_left_names_where_most_of_it_lies_and_how_often():
    ladder, wedges = part(left=2), part("Wedges", 2, left=3)
    done = part("Done", 3, left=0)
    assert words.what_is_left(facts(parts=(ladder, wedges))) == "Most of it is Wedges: three times."
    assert words.what_is_left(facts(parts=(ladder, done))) == "All of it is Ladder: twice."
    once = part(left=0.2, minutes_left=1.0)
    assert words.what_is_left(facts(parts=(once,))) == "All of it is Ladder: once."
    assert words.what_is_left(facts(parts=(done, part(minutes_left=0.9)))) == ""
    assert words.in_step(facts(left=0.4)).reason.startswith("One minute is left.")


def test_habits_have_figures_and_a_question():
    over = words.habit(facts(load=LoadBeside(70, None, ceiling_passed=60)))
    assert over.reason == "70 hard swings this week; in first weeks 60 is the most."
    assert over.action == "Ask what the extra swings were for."
    liked = words.habit(facts(favourite=replace(FAVOURITE, first_minutes=12.5)))
    assert liked.reason.endswith("went to Putting, 12 minutes to Ladder, two weeks running.")
    assert words.habit(facts(favourite=replace(FAVOURITE, first_minutes=0.9))).reason.endswith(
        "none to Ladder, two weeks running."
    )
    assert liked.action == "Ask what part 1 is like to do."
    crammed = words.habit(facts(cramming=CrammingFacts(2, 3, 0.885)))
    assert crammed.reason == (
        "88 % of the minutes came in the two days before a lesson. "
        "So it was before 2 of the last 3 lessons."
    )
    assert crammed.action == "Ask whether two fixed days would suit."


def test_where_the_chance_gives_another_word_its_reason_comes_first():
    said = Forecast(0.7, 18.2, 9, 0.6, 2.0, 19.0, 0.8, By.MINUTES)
    known = hopeless(parts=(part(left=4),))
    decided = Decided(said, known.outlook.pace, Pace.IN_STEP, forecast_decides=True)
    reason = (
        "19 minutes are left to reach 80 %. Wednesday to Sunday usually bring two days of about "
        "19 minutes. 58 minutes are left. From a Wednesday on that was done in 0 of 8 weeks."
    )
    assert words.in_step(replace(known, decided=decided)).reason == reason
    both = replace(decided, by_forecast=decided.by_count)
    for silent in (both, replace(decided, forecast_decides=False)):
        assert words.in_step(replace(known, decided=silent)).reason.startswith("58 minutes")
    assert words.unlikely(replace(known, decided=decided)).reason == (
        f"{reason} All of it is Ladder: four times."
    )


@pytest.mark.parametrize(
    ("days", "seen", "said"),
    [
        (2, date(2031, 2, 25), "No news since Mon; the phone fetched the week on Tuesday"),
        (2, MONDAY, "No news since Mon"),
        (1, None, "Last word Mon"),
        (9, date(2031, 2, 20), "No news since Mon; the phone fetched the week on Thursday"),
        (9, date(2031, 2, 19), "No news since Mon"),
    ],
)
def test_a_phone_that_looked_since_is_told_for_six_days(days, seen, said):
    known = facts(silence=quiet(days))
    assert words.last_word(known, written="Mon", wrote_this_week=False, seen=seen) == said


def test_where_no_usual_is_known_none_is_said():
    """A studio may let first weeks hold more than the limits do: it read *usually 0*."""
    found = load([None, None, None, 20], 100, under_16=False, borders=Thresholds(first_ceiling=300))
    hurt = facts(load=found, pains=(PainFacts(MONDAY, 3, "wrist"),))
    said = care_text.care(hurt, care_needed(hurt), may_read_pain=True)
    assert said.reason == (
        "100 hard swings this week; no usual is known yet. Wrist 3/10 on Monday."
    )
    assert said.action.startswith("Rest from hard swings.")
