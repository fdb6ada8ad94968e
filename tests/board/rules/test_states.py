"""One state each, by precedence; marks, care and order."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coaching.board.rules import habits
from coaching.board.rules.care import Why, care_needed
from coaching.board.rules.facts import (
    Counts,
    CrammingFacts,
    EventFacts,
    Favourite,
    LoadBeside,
    OpenStop,
    PainFacts,
    PlanSizeFacts,
)
from coaching.board.rules.order import (
    GROUP_OF,
    Need,
    OrderGroup,
    OrderPlace,
    in_order,
    marks_of,
    need_of,
)
from coaching.board.rules.states import State, StateMark, offers_shorter, state_of, state_words
from coaching.forecast.outlook import Pace
from coaching.forecast.thresholds import DEFAULTS
from practice.care.hard_swings import rests
from practice.care.limits import HURT_DAYS
from tests.board.rules.make import MONDAY, WEDNESDAY, facts, part

FAVOURITE = Favourite("Putting", 0.78, "Ladder", 0)
FLAGS = (
    "stopped", "excused", "has_week", "is_sent_ahead", "done", "hurts", "no_word", "logs_later",
)  # fmt: skip
PRECEDENCE = [
    ({"stopped": True}, State.STOPPED),
    ({"excused": True}, State.EXCUSED),
    ({"has_week": False, "is_sent_ahead": True}, State.TO_COME),
    ({"has_week": False}, State.NO_WEEK),
    ({"done": True, "hurts": True}, State.HURTS),
    ({"done": True}, State.DONE),
    ({"no_word": True}, State.NO_WORD),
    ({"logs_later": True}, State.LOGS_LATER),
]


@pytest.mark.parametrize("flags", list(product([True, False], repeat=len(FLAGS))))
@pytest.mark.parametrize("pace", Pace)
def test_the_first_that_holds_is_the_state(flags, pace):
    given_flags = dict(zip(FLAGS, flags, strict=True))
    holding = [
        state
        for condition, state in PRECEDENCE
        if all(given_flags[name] is value for name, value in condition.items())
    ]
    expected = holding[0] if holding else State(pace.value)
    assert state_of(**given_flags, pace=pace) is expected


def test_who_does_not_read_pain_reads_what_to_do_alone():
    assert state_words(State.STOPPED, reads_pain=True) == "Stopped for pain"
    others = {state: state_words(state, reads_pain=False) for state in State}
    assert others.pop(State.STOPPED) == "Stopped"
    assert others.pop(State.HURTS) == "Ask first"
    assert all(words == state.value for state, words in others.items())


def test_a_shorter_week_is_offered_to_tight_and_unlikely_alone():
    assert {state for state in State if offers_shorter(state)} == {State.TIGHT, State.UNLIKELY}


# --- care ------------------------------------------------------------------------------


@pytest.mark.parametrize("under_16", [False, True])
@pytest.mark.parametrize("times", [1.5, 5])
@pytest.mark.parametrize("days_ago", range(25))
@pytest.mark.parametrize(("before", "now"), [([10] * 4, 90), ([10] * 4, 12), ([], 70), ([], 30)])
def test_whom_the_limits_let_rest_is_never_called_done(before, now, days_ago, times, under_16):
    """Whatever a studio's own lines are, and on every day of the limits' fortnight."""
    lines = replace(DEFAULTS, jump_times=times, jump_rise=300, jump_rise_under_16=300)
    found = facts(
        load=habits.load(before, now, under_16=under_16, borders=lines), pains=(pain(days_ago),)
    )
    hurt = found.today - timedelta(days=days_ago) >= MONDAY - timedelta(days=HURT_DAYS)
    if rests(now, before, hurt=hurt, under_16=under_16):
        assert care_needed(found) is not None


def pain(days_ago: int, level: int = 3, serious: bool = False, where: str = "wrist") -> PainFacts:
    return PainFacts(WEDNESDAY - timedelta(days=days_ago), level, where, serious=serious)


JUMP = LoadBeside(128, 46, jump=True)
TWICE = tuple(WEDNESDAY - timedelta(days=ago) for ago in (38, 40))


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"stops": (OpenStop(WEDNESDAY),)}, Why.STOPPED),
        ({"pains": (pain(14, 4, serious=True),)}, Why.SERIOUS),
        ({"pains": (pain(15, 4, serious=True),)}, None),
        ({"pains": (pain(1),)}, None),
        ({"pains": (pain(1),), "load": JUMP}, Why.JUMP),
        ({"pains": (pain(1),), "load": LoadBeside(70, ceiling_passed=60)}, Why.JUMP),
        ({"pains": (pain(16),), "load": JUMP}, Why.JUMP),
        ({"pains": (pain(17),), "load": JUMP}, None),
        ({"load": JUMP}, None),
        ({"pains": (pain(1, level=0),), "load": JUMP}, None),
    ],
)
def test_what_puts_care_first(changes, why):
    found = care_needed(facts(**changes))
    assert (found.why if found else None) is why


@pytest.mark.parametrize(
    ("pains", "days", "skipped", "cares"),
    [
        ((pain(38), pain(40)), TWICE, True, True),
        ((pain(38, level=1), pain(39), pain(40, level=1)), TWICE, True, True),
        ((pain(38, level=0), pain(40)), TWICE, True, False),
        ((pain(38), pain(40)), TWICE, False, False),  # It is being done again.
        ((pain(38),), TWICE, True, False),  # Once is no pattern.
        ((pain(38), pain(41)), TWICE, True, False),  # Another day than the part's.
        ((pain(38),), TWICE[:1], True, False),
        ((), (), True, False),
    ],
)
def test_pain_on_the_last_two_days_of_part_one_then_none_of_it(pains, days, skipped, cares):
    found = care_needed(facts(pains=pains, first_part_days=days, first_part_skipped=skipped))
    assert (found is not None) is cares


def test_the_gravest_reason_speaks():
    everything = facts(stops=(OpenStop(WEDNESDAY),), pains=(pain(1, 5, serious=True),), load=JUMP)
    assert care_needed(everything).why is Why.STOPPED


def test_a_stop_quotes_what_is_serious_or_else_what_hurt_lately():
    stops = (OpenStop(WEDNESDAY), OpenStop(MONDAY))
    slight, serious = pain(1), pain(2, 5, serious=True)
    found = care_needed(facts(stops=stops, pains=(serious, slight)))
    assert (found.since, found.pains, found.stops) == (MONDAY, (serious,), stops)
    assert care_needed(facts(stops=stops, pains=(slight, pain(17)))).pains == (slight,)
    assert care_needed(facts(stops=stops)).pains == ()


def test_what_is_done_beyond_the_asked_leaves_nothing():
    assert part(left=-1).sessions_left == 0


# --- marks -----------------------------------------------------------------------------


def test_marks_stand_beside_the_state():
    marked = facts(
        stops=(OpenStop(WEDNESDAY),),
        past_plan=True,
        cramming=CrammingFacts(1, 3, 0.8),
        favourite=FAVOURITE,
        size=PlanSizeFacts(100, 50, too_big=True),
    )
    assert marks_of(marked, care_needed(marked)) == tuple(StateMark)
    assert marks_of(facts(), None) == ()


# --- order -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "state", "need"),
    [
        ({}, State.NO_WORD, Need.NO_WORD),
        ({}, State.UNLIKELY, Need.UNLIKELY),
        ({}, State.TIGHT, Need.HABIT),
        ({"cramming": CrammingFacts(2, 3, 0.8)}, State.IN_STEP, Need.HABIT),
        ({"cramming": CrammingFacts(1, 3, 0.8)}, State.IN_STEP, Need.NOTHING),
        ({"favourite": FAVOURITE}, State.IN_STEP, Need.HABIT),
        ({"load": JUMP}, State.DONE, Need.HABIT),
        ({}, State.NO_WEEK, Need.NO_WEEK),
        ({"counts": Counts(14, 14, question=True)}, State.LOGS_LATER, Need.EVIDENCE),
        ({"event": EventFacts("Cup", WEDNESDAY + timedelta(days=3))}, State.IN_STEP, Need.EVENT),
        ({"event": EventFacts("Cup", WEDNESDAY + timedelta(days=4))}, State.IN_STEP, Need.NOTHING),
        ({"event": EventFacts("Cup", WEDNESDAY - timedelta(days=1))}, State.IN_STEP, Need.NOTHING),
        ({}, State.TOO_SOON, Need.NOTHING),
        ({"counts": Counts(14, 14, question=True)}, State.EXCUSED, Need.NOTHING),
        ({"event": EventFacts("Cup", WEDNESDAY)}, State.NO_WORD, Need.NO_WORD),
    ],
)
def test_the_highest_need_decides(changes, state, need):
    assert need_of(facts(**changes), state, None) is need


@pytest.mark.parametrize("state", State)
def test_care_wins_over_everything(state):
    stopped = facts(stops=(OpenStop(WEDNESDAY),))
    assert need_of(stopped, state, care_needed(stopped)) is Need.CARE


def test_every_need_has_its_group_and_groups_follow_the_order():
    groups = [GROUP_OF[need] for need in sorted(Need)]
    assert list(dict.fromkeys(groups)) == list(OrderGroup)


def test_the_order_of_the_demo_s_wednesday():
    """Care by nearest lesson, no word, unlikely, tight, evidence, event, then the rest."""
    day = WEDNESDAY
    places = [
        OrderPlace(Need.NOTHING, day + timedelta(days=1), "Ravindu", "1"),
        OrderPlace(Need.EVENT, day + timedelta(days=7), "Oskar", "2"),
        OrderPlace(Need.EVIDENCE, day + timedelta(days=3), "Freya", "3"),
        OrderPlace(Need.HABIT, day + timedelta(days=5), "Tamsin", "4"),
        OrderPlace(Need.UNLIKELY, day + timedelta(days=1), "Dougal", "5"),
        OrderPlace(Need.NO_WORD, day + timedelta(days=9), "Wanjiru", "6"),
        OrderPlace(Need.CARE, day + timedelta(days=6), "Gerald", "7"),
        OrderPlace(Need.CARE, day + timedelta(days=3), "Callum", "8"),
    ]
    names = [place.name for place in in_order(places)]
    assert names == ["Callum", "Gerald", "Wanjiru", "Dougal", "Tamsin", "Freya", "Oskar", "Ravindu"]


many_places = st.lists(
    st.builds(
        OrderPlace,
        need=st.sampled_from(Need),
        lesson=st.none() | st.dates(date(2031, 2, 1), date(2031, 4, 1)),
        name=st.sampled_from(["Ann", "Bea"]),
        who=st.uuids().map(str),
    ),
    max_size=12,
    unique_by=lambda place: place.who,
)


@given(many_places, st.randoms())
def test_the_order_does_not_depend_on_how_they_came(places, random):
    shuffled = list(places)
    random.shuffle(shuffled)
    assert in_order(shuffled) == in_order(places)


@given(many_places)
def test_everybody_stands_once_and_needs_never_rise(places):
    ordered = in_order(places)
    assert sorted(place.who for place in ordered) == sorted(place.who for place in places)
    assert [place.need for place in ordered] == sorted(place.need for place in places)


def test_no_lesson_stands_after_every_lesson():
    later = OrderPlace(Need.HABIT, date(2040, 1, 1), "Zoe", "1")
    without = replace(later, lesson=None, name="Ann", who="2")
    assert in_order([without, later]) == [later, without]
