"""Totals, scaling and shortening of a week, as values."""

from dataclasses import replace
from fractions import Fraction
from uuid import uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st

from practice.drills.dose import Dose, DoseUnit, Step, parse
from practice.weeks.plan import (
    PartSpec,
    part_totals,
    same_structure,
    scale,
    scale_dose,
    shorten,
    shorter_target,
    smaller,
    week_totals,
)


def spec(text: str = "10@50, 8@70, 6@90", sessions: int = 3, minutes: float = 15, **more):
    return PartSpec(uuid4(), parse(text), sessions, minutes, **more)


def test_a_week_adds_up():
    # By hand: ladder of 24 reps x 4, 6 of them hard; 20 balls x 2; 8 minutes x 5.
    ladder, balls, timed = spec(sessions=4), spec("20 balls", 2, 20), spec("8 min", 5, 8)
    totals = week_totals(
        [
            part_totals(ladder, area="swing"),
            part_totals(balls, area="swing"),
            part_totals(timed, area="swing", needs_ball=False),
        ]
    )
    assert (totals.sessions, totals.reps, totals.balls) == (11, 96 + 40, 96 + 40)
    assert (totals.minutes, totals.hard_swings) == (60 + 40 + 40, 24)


def test_reps_without_a_ball_are_no_balls():
    totals = part_totals(spec("3x8", 2), area="swing", needs_ball=False)
    assert (totals.reps, totals.balls) == (48, 0)


def test_of_the_area_speed_every_ball_is_hard_and_a_hard_minute_is_six():
    speed = part_totals(spec("10@50, 6 balls", 2), area="speed")
    timed = part_totals(spec("8 min@95, 4 min@50", 3), area="swing")
    assert (speed.hard_swings, speed.hard_minutes) == (12, 0)
    assert (timed.hard_swings, timed.hard_minutes) == (144, 24)
    assert week_totals([speed, timed]).hard_minutes == 24


# Worked by hand from the rule in `scale`: times the factor, halves up, the rest carried.
SCALED = [
    ("10@50, 8@70, 6@80", 10, "11@50, 9@70, 6@80"),  # 11, 8.8 → 9, 6.6 − 0.2 → 6
    ("12@40, 9@60, 6@80, 3@95", 10, "13@40, 10@60, 7@80, 3@95"),  # a hard 3.3 stays 3
    ("10@95", 10, "11@95"),
    ("4@95", 20, "4@95"),  # 4.8: rounding never adds a hard swing
    ("20 balls", -30, "14 balls"),
    ("3x8", 10, "3x9"),
    ("1@50", -90, "1@50"),
    ("8 min", 50, "12 min"),
    ("2 rounds: 10@50, back 10@50", 10, "2 rounds: 11@50, back 11@50"),
    ("999", 100, "999"),
]


@pytest.mark.parametrize(("text", "percent", "expected"), SCALED)
def test_scaling_a_dose(text, percent, expected):
    assert str(scale_dose(parse(text), Fraction(100 + percent, 100))) == expected


def test_ten_percent_more_keeps_everything_but_the_amounts():
    before = spec("20 balls", 2, 20, days=(0, 3), by_total=True, cue="long arms", note="slow")
    (after,) = scale([before], 10)
    assert after == replace(before, dose=parse("22 balls"), minutes=22)


@pytest.mark.parametrize("percent", [-91, 101])
def test_scaling_has_limits(percent):
    with pytest.raises(ValueError, match="percent"):
        scale([spec()], percent)


steps = st.builds(
    Step,
    amount=st.integers(1, 60),
    unit=st.sampled_from(DoseUnit),
    sets=st.integers(1, 5),
    effort=st.one_of(st.none(), st.integers(10, 100)),
    is_return=st.booleans(),
)
doses = st.builds(
    Dose, st.lists(steps, min_size=1, max_size=6).map(tuple), rounds=st.integers(1, 4)
)
percents = st.integers(-90, 100)


@given(doses, percents)
def test_scaling_keeps_the_steps_and_never_reaches_zero(dose, percent):
    after = scale_dose(dose, Fraction(100 + percent, 100))
    assert same_structure(dose, after)
    assert [step.sets for step in after.steps] == [step.sets for step in dose.steps]
    assert all(step.amount >= 1 for step in after.steps)


@given(doses)
def test_no_percent_is_no_change(dose):
    assert scale_dose(dose, Fraction(1)) == dose


@given(doses, st.integers(1, 100))
def test_more_never_rounds_hard_swings_up(dose, percent):
    after = scale_dose(dose, Fraction(100 + percent, 100))
    assert after.hard_reps <= dose.hard_reps * (100 + percent) / 100


@given(doses, st.integers(0, 100))
def test_a_bigger_week_comes_out_right_to_half_a_step(dose, percent):
    """Per unit, over the steps that are not hard: within half the largest sets."""
    factor = Fraction(100 + percent, 100)
    after = scale_dose(dose, factor)
    for unit in DoseUnit:
        before_after = [
            (old, new)
            for old, new in zip(dose.steps, after.steps, strict=True)
            if old.unit is unit and not old.is_hard
        ]
        exact = sum(old.total * factor for old, _ in before_after)
        largest = max((old.sets for old, _ in before_after), default=0)
        assert abs(exact - sum(new.total for _, new in before_after)) <= Fraction(largest, 2)


# --- a shorter week ---------------------------------------------------------------


def test_the_target_is_the_smaller_of_two():
    assert shorter_target(100, 50) == pytest.approx(55)
    assert shorter_target(100, 90) == pytest.approx(70)
    assert shorter_target(100, None) == pytest.approx(70)


def test_the_last_parts_are_cut_first_and_the_first_is_kept():
    # 45 + 40 + 20 = 105, target 73.5: the third falls to once, the second too (75), then the
    # third goes (65).
    first, second, third = spec(sessions=3), spec("20", 2, 20), spec("24", 2, 10)
    assert shorten([first, second, third], usual=None) == [first, replace(second, sessions=1)]


def test_what_hurts_goes_before_what_does_no_harm():
    # 45 + 40 + 20 = 105, target 73.5: the first hurts and goes whole (60), and nothing else.
    first, second, third = spec(sessions=3), spec("20", 2, 20), spec("24", 2, 10)
    week = [first, second, third]
    assert shorten(week, usual=None, hurting={first.drill}) == [second, third]
    # The last goes (85), then the second falls to once (65): the first of what is left stays.
    assert shorten(week, usual=None, hurting={third.drill}) == [first, replace(second, sessions=1)]
    # All of it hurts: as without, and part 1 stays.
    every = {part.drill for part in week}
    assert shorten(week, usual=None, hurting=every) == shorten(week, usual=None)


def test_what_hurts_is_not_cut_below_what_is_done():
    first, second = spec(sessions=3, id=uuid4()), spec("20", 3, 20, id=uuid4())
    shorter = shorten([first, second], usual=20, done={first.id: 1.5}, hurting={first.drill})
    assert [part.sessions for part in shorter] == [2, 1]


def test_what_is_done_is_never_taken_away():
    first, second = spec(sessions=3, id=uuid4()), spec("20", 3, 20, id=uuid4())
    shorter = shorten([first, second], usual=20, done={first.id: 1.5, second.id: 2})
    assert [part.sessions for part in shorter] == [2, 2]


def test_a_week_of_one_part_is_cut_but_stays():
    assert [part.sessions for part in shorten([spec(sessions=4)], usual=10)] == [1]


def test_fixed_days_go_with_their_sessions():
    (part,) = shorten([spec(sessions=3, days=(0, 2, 4))], usual=30)
    assert (part.sessions, part.days) == (2, (0, 2))


@given(
    st.lists(
        st.tuples(st.integers(1, 14), st.sampled_from([0.5, 5, 15, 40])), min_size=1, max_size=8
    ),
    st.one_of(st.none(), st.floats(0, 400)),
)
def test_nothing_ever_rises_and_the_first_part_stays(lines, usual):
    specs = [spec("10", sessions, minutes, id=uuid4()) for sessions, minutes in lines]
    shorter = shorten(specs, usual=usual)
    before = {part.id: part.sessions for part in specs}
    assert shorter[0].id == specs[0].id
    assert all(1 <= part.sessions <= before[part.id] for part in shorter)
    target = shorter_target(sum(part.week_minutes for part in specs), usual)
    total = sum(part.week_minutes for part in shorter)
    assert total <= target or (len(shorter) == 1 and shorter[0].sessions == 1)


# --- comparing doses ------------------------------------------------------------------


def test_the_smaller_dose_is_taken_step_by_step():
    old, new = parse("10@50, 8@70, 6@90"), parse("12@50, 6@70, 6@90")
    assert str(smaller(old, new)) == "10@50, 6@70, 6@90"


@pytest.mark.parametrize(
    "other", ["10@50, 8@70", "10@50, 8@60, 6@90", "2 rounds: 10@50, 8@70, 6@90"]
)
def test_other_steps_are_another_structure(other):
    old = parse("10@50, 8@70, 6@90")
    assert not same_structure(old, parse(other))
    with pytest.raises(ValueError, match="same steps"):
        smaller(old, parse(other))
