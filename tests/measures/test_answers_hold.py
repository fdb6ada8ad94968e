"""What a change of units or of order may not change."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from practice.measures.answers import TooLittle
from practice.measures.change import steadiness, typical_error
from practice.measures.chart import individuals, signals
from practice.measures.days import level_over_days
from practice.measures.gaps import between, in_between
from practice.measures.ladder import clean_curve, self_score_gap
from practice.measures.lately import change_of_figures
from practice.measures.load import rolling_load, week_load
from practice.measures.several import drawn_in
from practice.measures.spread import components, spread
from practice.measures.strength import one_rep_maximum, relative_strength
from practice.measures.trend import line, robust_slope, when_reached
from practice.measures.verdicts import more_and_more
from practice.measures.wedges import (
    Cell,
    best_swings,
    expected_miss,
    next_ball_ellipse,
    robust_spread,
    steps,
)

# Metres and yards, m/s and miles an hour, kilograms and pounds, and any other.
factors = st.sampled_from([1 / 0.9144, 0.9144, 1 / 0.44704, 3.6, 1 / 0.45359237, 1000.0])
seeds = st.integers(0, 10_000)


def speeds(seed, n=12):
    return np.random.default_rng(seed).normal(65, 2, n)


def near(value):
    return pytest.approx(value, rel=1e-7, abs=1e-7)


@given(seeds, factors)
def test_units_of_speed_change_no_answer(seed, k):
    x = speeds(seed)
    days = np.arange(12) * 7.0
    one, other = individuals(x), individuals(k * x)
    assert [other.centre, other.low, other.high, other.range_high] == near(
        [k * each for each in (one.centre, one.low, one.high, one.range_high)]
    )
    assert signals((x - one.centre) / one.sigma) == signals((k * x - other.centre) / other.sigma)
    one = change_of_figures(x, 0.85, "m/s", 0.85)
    other = change_of_figures(k * x, k * 0.85, "other", k * 0.85)
    assert (one.answer, one.held, one.is_recent) == (other.answer, other.held, other.is_recent)
    assert [other.low, other.high] == near([k * one.low, k * one.high])
    one, other = steadiness(x, 0.85), steadiness(k * x, k * 0.85)
    assert (one.steadier, one.confirmed) == (other.steadier, other.confirmed)
    assert [other.everyday, other.floor, other.spread] == near(
        [k * one.everyday, k * one.floor, k * one.spread]
    )
    one, other = spread(x, "m/s"), spread(k * x, "other")
    assert [other.value, other.low, other.high] == near([k * one.value, k * one.low, k * one.high])
    one, other = robust_slope(days, x, "m/s"), robust_slope(days, k * x, "other")
    assert [other.value, other.low, other.high] == near([k * one.value, k * one.low, k * one.high])
    assert line(days, k * x).band(90) == near([k * each for each in line(days, x).band(90)])
    assert typical_error(k * x[:6], k * x[6:]).smallest_real == near(
        k * typical_error(x[:6], x[6:]).smallest_real
    )


@given(seeds, factors)
def test_units_move_no_goal_and_no_share_of_the_spread(seed, k):
    x = np.sort(speeds(seed))
    days = np.arange(12) * 7.0
    one, other = when_reached(days, x, 70), when_reached(days, k * x, k * 70)
    assert one.goal is other.goal
    if one.days:
        assert one.days.earliest == near(other.days.earliest)
        assert one.days.likely == near(other.days.likely)
    sessions = x.reshape(4, 3)
    one, other = components(sessions), components(k * sessions)
    assert other.between == near(k * k * one.between)
    assert other.within == near(k * k * one.within)
    middles = sessions.mean(axis=1)
    assert drawn_in(k * middles, [k * k] * 4) == near(
        [k * each for each in drawn_in(middles, [1.0] * 4)]
    )


def card_of(seed, k=1.0):
    random = np.random.default_rng(seed)
    names = [Cell(club, length) for club in ("54", "50") for length in ("hip", "chest", "full")]
    return {
        cell: k * random.normal(40 + 12 * place, 2.5, 6).clip(1) for place, cell in enumerate(names)
    }


def levels_of(card):
    return {cell: level_over_days([balls[:3], balls[3:]], "m") for cell, balls in card.items()}


@given(seeds, factors)
def test_units_of_length_choose_no_other_swing(seed, k):
    card, other = card_of(seed), card_of(seed, k)
    # A card this long never has a carry below one unit, where the common spread is capped.
    if k >= 0.9:
        one, two = best_swings(card, 66), best_swings(other, k * 66)
        assert [each.cell for each in one] == [each.cell for each in two]
        assert [each.expected for each in two] == near([k * each.expected for each in one])
    near_levels, far_levels = levels_of(card), levels_of(other)
    one, two = in_between(near_levels, 66), in_between(far_levels, k * 66)
    assert [(each.shorter, each.longer) for each in one] == [
        (each.shorter, each.longer) for each in two
    ]
    assert [each.part for each in two] == near([each.part for each in one])
    a, b = list(card.values())[:2]
    one, two = level_over_days([a, b], "m"), level_over_days([k * a, k * b], "other")
    assert [two.estimate.low, two.half] == near([k * one.estimate.low, k * one.half])
    assert robust_spread(k * a) == near(k * robust_spread(a))
    (hip, chest, *_), (far_hip, far_chest, *_) = near_levels.values(), far_levels.values()
    assert between(far_hip, far_chest, 0.4).next_ball.high == near(
        k * between(hip, chest, 0.4).next_ball.high
    )
    assert expected_miss(k * 3, k * 2) == near(k * expected_miss(3, 2))
    depth, side = speeds(seed), speeds(seed + 1)
    one, two = next_ball_ellipse(depth, side), next_ball_ellipse(k * depth, k * side)
    assert [two.longer, two.shorter] == near([k * one.longer, k * one.shorter])


@given(seeds, factors)
def test_units_of_mass_and_load_change_no_ratio(seed, k):
    assert relative_strength(k * 100, k * 80) == near(relative_strength(100, 80))
    assert one_rep_maximum(k * 100, 5) == near(k * one_rep_maximum(100, 5))
    days = np.random.default_rng(seed).integers(0, 600, 40).astype(float)
    assert week_load(k * days[:7]).monotony == near(week_load(days[:7]).monotony)
    assert rolling_load(k * days).recent == near(k * rolling_load(days).recent)


@given(seeds)
def test_order_of_observations_changes_no_answer(seed):
    random = np.random.default_rng(seed)
    x, y = speeds(seed), speeds(seed + 1)
    mixed = random.permutation(12)
    days = np.arange(12) * 7.0
    for one, other in (
        (level_over_days([x], "m").estimate, level_over_days([x[mixed]], "m").estimate),
        (spread(x, "m"), spread(x[mixed], "m")),
        (robust_slope(days, x, "m"), robust_slope(days[mixed], x[mixed], "m")),
        (
            between(level_over_days([x], "m"), level_over_days([y + 9], "m"), 0.3).mean,
            between(
                level_over_days([x[mixed]], "m"), level_over_days([y[mixed] + 9], "m"), 0.3
            ).mean,
        ),
    ):
        assert [other.value, other.low, other.high] == near([one.value, one.low, one.high])
    assert robust_spread(x[mixed]) == near(robust_spread(x))
    assert line(days[mixed], x[mixed]).band(80) == near(line(days, x).band(80))
    assert when_reached(days[mixed], x[mixed], 70).goal is when_reached(days, x, 70).goal
    assert typical_error(x[mixed], y[mixed]).value == near(typical_error(x, y).value)
    one, other = next_ball_ellipse(x, y), next_ball_ellipse(x[mixed], y[mixed])
    assert [other.longer, other.shorter, other.depth] == near([one.longer, one.shorter, one.depth])
    sessions = x.reshape(4, 3)
    other = components([random.permutation(each) for each in random.permutation(sessions)])
    assert other.between == near(components(sessions).between)
    assert more_and_more(x[mixed], y[mixed]).rank_correlation == near(
        more_and_more(x, y).rank_correlation
    )


@given(seeds)
def test_order_of_cells_and_steps_changes_no_answer(seed):
    random = np.random.default_rng(seed)
    card = card_of(seed)
    cells = list(card)
    random.shuffle(cells)
    other = {cell: random.permutation(card[cell]) for cell in cells}
    assert [each.cell for each in best_swings(card, 66)] == [
        each.cell for each in best_swings(other, 66)
    ]
    assert steps({cell: float(card[cell].mean()) for cell in card}) == steps(
        {cell: float(card[cell].mean()) for cell in cells}
    )
    efforts, reps = np.array([40.0, 60, 80, 95]), np.array([10, 10, 10, 10])
    clean = np.array([9, 8, random.integers(3, 7), random.integers(0, 4)])
    mixed = random.permutation(4)
    one = clean_curve(efforts, clean, reps)
    two = clean_curve(efforts[mixed], clean[mixed], reps[mixed])
    assert not isinstance(one, TooLittle)
    assert [two.slope, two.intercept] == near([one.slope, one.intercept])
    pairs = [(8, 5, 10), (9, 6, 10), (7, 6, 10)]
    assert self_score_gap(pairs[::-1]) == self_score_gap(pairs)
