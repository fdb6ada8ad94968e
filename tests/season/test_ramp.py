"""Weekly minutes: never above the cap, no jump after a break."""

from itertools import pairwise
from math import floor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coaching.season.ramp import (
    LEAST_STEP,
    Ramp,
    RampKind,
    base_of,
    most_after,
    reached_after,
    weeks_of,
)
from shared.kit.refused import Refused

amounts = st.floats(0, 600)
shares = st.lists(st.sampled_from((1.0, 1.0, 1.0, 0.5, 0.3, 0.0)), max_size=40).map(tuple)
ramps = st.builds(
    Ramp,
    start=amounts,
    target=amounts,
    weeks=st.integers(1, 40),
    cap=st.floats(0.01, 0.5),
    lighter_every=st.sampled_from((0, 2, 3, 4, 6)),
    lighter_share=st.floats(0.3, 1),
    shares=shares,
)


@given(ramps, st.integers(0, 60))
def test_no_week_is_ever_above_the_cap_over_what_came_before(ramp, count):
    level = ramp.start
    for week in weeks_of(ramp, count):
        # Written anew here: a share more, or five minutes, whichever is more.
        assert week.minutes <= level + max(level * ramp.cap, LEAST_STEP) + 1e-6
        assert week.minutes <= max(ramp.start, ramp.target)
        level = week.level


@given(ramps, st.integers(0, 60))
def test_the_level_itself_grows_by_the_cap_at_most_and_never_in_a_lighter_week(ramp, count):
    before = floor(ramp.start)
    for week in weeks_of(ramp, count):
        if week.kind not in {RampKind.BUILDING, RampKind.HOLDING}:
            assert week.level <= before
        assert week.level <= before + max(before * ramp.cap, LEAST_STEP) + 1e-6
        before = week.level


@given(ramps, st.integers(1, 30), st.integers(1, 30))
def test_a_longer_look_changes_no_earlier_week(ramp, few, more):
    assert weeks_of(ramp, few + more)[:few] == weeks_of(ramp, few)


@given(st.lists(amounts, min_size=1, max_size=12), amounts, st.integers(1, 30))
def test_a_ramp_from_reality_begins_without_a_jump(history, target, weeks):
    base = base_of(history)
    first = weeks_of(Ramp(base, target, weeks))[0]
    assert first.minutes <= base + max(base * 0.1, LEAST_STEP) + 1e-6
    assert base <= max(history[-4:]) + 1e-6


@given(st.integers(0, 4), st.integers(60, 300))
def test_after_illness_it_begins_lower_the_longer_it_was(ill, usual):
    history = [usual] * 4 + [0] * ill
    first = weeks_of(Ramp(base_of(history), usual, 12))[0].minutes
    assert first <= most_after(usual * (4 - ill) / 4, 0.1)


@given(ramps)
def test_weeks_off_bring_the_level_down_so_that_coming_back_is_no_jump(ramp):
    weeks = weeks_of(ramp)
    for before, off in pairwise(weeks):
        if off.kind is RampKind.OFF and before.level > 4:
            assert off.minutes == 0
            assert off.level < before.level


@given(amounts, amounts, st.integers(1, 40))
def test_the_target_is_reached_where_the_cap_allows(start, target, weeks):
    ramp = Ramp(start, target, weeks, lighter_every=0)
    reached = reached_after(ramp)
    if reached is not None and reached <= weeks:
        assert weeks_of(ramp)[-1].minutes == floor(target)


# Worked by hand: five building weeks of 6 with the fourth week at 0.7 of 118 between.
def test_a_ramp_worked_by_hand():
    weeks = weeks_of(Ramp(100, 130, 6))
    assert [week.minutes for week in weeks] == [106, 112, 118, 82, 124, 130]
    assert [week.kind for week in weeks][3] is RampKind.LIGHTER


def test_the_cap_stops_a_steep_one_and_says_when_it_would_be_reached():
    ramp = Ramp(100, 200, 4, lighter_every=0)
    assert [week.minutes for week in weeks_of(ramp)] == [110, 121, 133, 146]
    # On by tenths: 160, 176, 193, 200.
    assert reached_after(ramp) == 8


def test_down_has_no_cap():
    assert [week.minutes for week in weeks_of(Ramp(200, 100, 2, lighter_every=0))] == [150, 100]


def test_from_nothing_it_grows_five_minutes_a_week():
    weeks = weeks_of(Ramp(0, 120, 8, lighter_every=0))
    assert [week.minutes for week in weeks] == [5, 10, 15, 20, 25, 30, 35, 40]


def test_event_weeks_and_days_away_ask_less_and_build_nothing():
    ramp = Ramp(100, 140, 4, lighter_every=0, shares=(1, 0.5, 0, 1))
    weeks = weeks_of(ramp)
    assert [week.minutes for week in weeks] == [110, 55, 0, 90]
    assert [week.kind for week in weeks][1:3] == [RampKind.LESS_TIME, RampKind.OFF]


def test_each_week_off_takes_a_quarter_of_what_there_was_and_the_next_time_anew():
    weeks = weeks_of(Ramp(100, 200, 9, lighter_every=0, shares=(0, 0, 1, 0, 0, 0, 0, 0, 1)))
    # 50 are left after two; a step of five, and then fourteen go each week.
    assert [week.level for week in weeks] == [75, 50, 55, 41, 27, 13, 0, 0, 5]
    assert [week.minutes for week in weeks] == [0, 0, 55, 0, 0, 0, 0, 0, 5]


def test_what_is_left_is_spread_over_the_whole_weeks_that_build():
    ramp = Ramp(100, 110, 4, lighter_every=0, shares=(1, 0.5, 1, 1))
    # A third of ten, half of a week, half of the seven left, and the rest.
    assert [week.minutes for week in weeks_of(ramp)] == [103, 51, 106, 110]
    assert [week.kind for week in weeks_of(Ramp(100, 100, 2))] == [RampKind.HOLDING] * 2


def test_the_targets_own_week_is_no_lighter_one():
    assert weeks_of(Ramp(100, 120, 4))[-1].minutes == 120


def test_never_reached_is_none():
    assert reached_after(Ramp(0, 3000, 1, cap=0.01)) is None


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"start": -1}, "Minutes a week"),
        ({"start": 3001}, "Minutes a week"),
        ({"target": -1}, "Minutes a week"),
        ({"weeks": 105}, "from 1 to 104 weeks"),
        ({"cap": 1.01}, "between 1 and 100 percent"),
        ({"lighter_every": -1}, "second to twelfth"),
        ({"lighter_every": 13}, "second to twelfth"),
        ({"lighter_share": 1.01}, "lighter week asks"),
        ({"shares": (1, -0.1)}, "share lies between"),
        ({"target": 3001}, "Minutes a week"),
        ({"start": float("nan")}, "Minutes a week"),
        ({"weeks": 0}, "from 1 to 104 weeks"),
        ({"cap": 0}, "between 1 and 100 percent"),
        ({"lighter_every": 1}, "second to twelfth"),
        ({"lighter_share": 0}, "lighter week asks"),
        ({"shares": (1.1,)}, "share lies between"),
    ],
)
def test_a_ramp_that_cannot_be_is_refused_in_words(fields, words):
    with pytest.raises(Refused, match=words):
        Ramp(**({"start": 100, "target": 120, "weeks": 4} | fields))


@pytest.mark.parametrize(
    "fields",
    [
        {"start": 0, "target": 0, "weeks": 1, "cap": 0.01, "lighter_every": 0},
        {"start": 3000, "target": 3000, "weeks": 104, "cap": 1, "lighter_every": 12},
        {"lighter_every": 2, "lighter_share": 1, "shares": (0, 1)},
        {"lighter_share": 0.01},
    ],
)
def test_the_bounds_themselves_can_be(fields):
    assert weeks_of(Ramp(**({"start": 100, "target": 120, "weeks": 4} | fields)))


def test_negative_minutes_are_refused():
    with pytest.raises(Refused, match="0 minutes or more"):
        base_of([-1])
