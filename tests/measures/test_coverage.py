"""Simulated students whose truth is known: the intervals hold it as often as they say.

Every interval that a page shows, 2,000 students each, at 5, 10, 20 and 60 sessions. At
2,000 the noise of a share near 0.95 is 0.005, so that two points are four of it.
"""

from math import log, sqrt

import numpy as np
import pytest

from practice.measures.answers import TooLittle
from practice.measures.change import USUAL_BALL_SPREAD, against_before, against_start
from practice.measures.gaps import BEND, between, difference
from practice.measures.ladder import Reach, clean_curve, highest_effort
from practice.measures.rates import Z80, Z95, clean_share, count_interval, wilson
from practice.measures.spread import spread
from practice.measures.trend import Goal, line, robust_slope, when_reached
from practice.measures.wedges import mean_carry, next_ball_ellipse

STUDENTS = 2000
SESSIONS = (5, 10, 20, 60)
all_sessions = pytest.mark.parametrize("n", SESSIONS)


def hold(hits, level=0.95, of=STUDENTS):
    assert len(hits) == of
    # Two points, or four times the noise of so many students where that is more (at 80 %).
    margin = max(0.02, 4 * sqrt(level * (1 - level) / of))
    assert level - margin <= np.mean(hits) <= level + margin


def within(truth, estimate):
    return estimate.low <= truth <= estimate.high


@all_sessions
@pytest.mark.parametrize("level", [0.8, 0.95])
def test_mean(n, level):
    random = np.random.default_rng(n)
    carries = random.normal(90, 5, (STUDENTS, n))
    hold([within(90, mean_carry(x, level=level)) for x in carries], level)


@all_sessions
def test_spread(n):
    random = np.random.default_rng(100 + n)
    hold([within(2, spread(x, "m/s")) for x in random.normal(65, 2, (STUDENTS, n))])


@all_sessions
def test_slope(n):
    random = np.random.default_rng(200 + n)
    days = 7.0 * np.arange(n) + random.integers(0, 4, n)
    slopes = random.normal(0.02, 0.02, STUDENTS)
    found = [
        robust_slope(days, 60 + slope * days + noise, "m/s")
        for slope, noise in zip(slopes, random.normal(0, 1, (STUDENTS, n)), strict=True)
    ]
    if n < 8:
        assert all(isinstance(each, TooLittle) for each in found)
    else:
        hold([within(slope, each) for slope, each in zip(slopes, found, strict=True)])


@pytest.mark.parametrize("n", SESSIONS[1:])
def test_slope_with_wild_sessions(n):
    """Student's t with three degrees of freedom: one session in thirty beyond three sigma."""
    random = np.random.default_rng(300 + n)
    days = 7.0 * np.arange(n)
    noise = random.standard_t(3, (STUDENTS, n))
    hold([within(0.1, robust_slope(days, 60 + 0.1 * days + each, "m/s")) for each in noise])


@all_sessions
@pytest.mark.parametrize("level", [0.8, 0.95])
def test_next_session_on_the_line(n, level):
    random = np.random.default_rng(400 + n)
    days = 7.0 * np.arange(n + 4)
    hits = []
    for noise in random.normal(0, 1, (STUDENTS, n + 4)):
        figures = 60 + 0.05 * days + noise
        low, high = line(days[:n], figures[:n]).band(days[-1], level=level)
        hits.append(low <= figures[-1] <= high)
    hold(hits, level)


@all_sessions
def test_slope_and_height_of_the_line(n):
    random = np.random.default_rng(500 + n)
    days = 7.0 * np.arange(n)
    slopes, heights = [], []
    for noise in random.normal(0, 1, (STUDENTS, n)):
        fit = line(days, 60 + 0.05 * days + noise)
        low, high = fit.slope_interval()
        slopes.append(low <= 0.05 <= high)
        low, high = fit.band(days[-1], one_new=False)
        heights.append(low <= 60 + 0.05 * days[-1] <= high)
    hold(slopes)
    hold(heights)


@all_sessions
def test_days_on_which_a_goal_is_reached(n):
    """A later session is played, and its figure made the target: its day lies in the range."""
    random = np.random.default_rng(600 + n)
    days = 7.0 * np.arange(n)
    # A trend that every student can tell from none, so that the dated are not a choice of them.
    slope = 20 / sqrt(((days - days.mean()) ** 2).sum())
    day = days[-1] + 0.45 * np.ptp(days)
    hits = []
    for noise in random.normal(0, 1, (STUDENTS, n + 1)):
        figures = 60 + slope * days + noise[:n]
        found = when_reached(days, figures, 60 + slope * day + noise[n])
        if n < 8:
            assert isinstance(found, TooLittle)
            continue
        assert found.goal in (Goal.DATED, Goal.TOO_FAR, Goal.REACHED)
        reached = found.days
        hits.append(
            reached is not None
            and reached.earliest is not None
            and reached.earliest <= day
            and (reached.secure is None or day <= reached.secure)
        )
    if n >= 8:
        hold(hits)


@all_sessions
@pytest.mark.parametrize(
    "compare",
    [against_start, against_before],
)
def test_change(n, compare):
    """Students differ in how steady they are, the usual spread being the usual one."""
    random = np.random.default_rng(700 + n)
    own = USUAL_BALL_SPREAD * np.sqrt(6 / random.chisquare(6, STUDENTS))
    # All the change lies between the two stretches.
    figures = 65 + own[:, None] * random.normal(0, 1, (STUDENTS, n))
    figures[:, -3:] += 1.5
    hits = []
    for x in figures:
        found = compare(x, USUAL_BALL_SPREAD)
        if isinstance(found, TooLittle):
            assert n < 7
            continue
        low, high = found.interval()
        hits.append(low <= 1.5 <= high)
    if n >= 7:
        hold(hits)


@pytest.mark.parametrize("steadiness", [0.7, 1.0])
def test_change_of_students_of_one_steadiness(steadiness):
    random = np.random.default_rng(77)
    hits = []
    for x in random.normal(65, steadiness * USUAL_BALL_SPREAD, (STUDENTS, 10)):
        low, high = against_start(x, USUAL_BALL_SPREAD).interval()
        hits.append(low <= 0 <= high)
    # The steadier ones are held more often than said, never less.
    assert np.mean(hits) >= 0.93


@all_sessions
@pytest.mark.parametrize(("z", "level"), [(Z80, 0.80), (Z95, 0.95)])
def test_clean_rate(n, z, level):
    """Ten reps a session; shares of clean reps from hardly to nearly always."""
    random = np.random.default_rng(800 + n)
    shares = random.uniform(0.1, 0.95, STUDENTS)
    clean = random.binomial(10 * n, shares)
    bounds = [wilson(int(k), 10 * n, z=z) for k in clean]
    hold([low <= p <= high for p, (low, high) in zip(shares, bounds, strict=True)], level)


@all_sessions
def test_clean_share(n):
    random = np.random.default_rng(900 + n)
    shares = random.uniform(0.1, 0.95, STUDENTS)
    clean = random.binomial(10 * n, shares)
    hold(
        [within(p, clean_share(int(k), 10 * n)) for p, k in zip(shares, clean, strict=True)],
    )


@all_sessions
def test_counts_are_held_at_least_so_often(n):
    """Exact for every mean, so more often than said for some."""
    random = np.random.default_rng(950 + n)
    bounds = [count_interval(int(k)) for k in random.poisson(0.7 * n, STUDENTS)]
    hits = [low <= 0.7 * n <= high for low, high in bounds]
    assert np.mean(hits) >= 0.95 - 3 * sqrt(0.95 * 0.05 / STUDENTS)


@all_sessions
@pytest.mark.parametrize(("effort", "slope", "criterion"), [(70, -0.08, 0.8), (65, -0.1, 0.7)])
def test_highest_effort(n, effort, slope, criterion):
    """Three reps at each of four efforts a session."""
    random = np.random.default_rng(1000 + n)
    efforts, reps = np.array([40.0, 60, 80, 95]), np.full(4, 3 * n)
    start = log(criterion / (1 - criterion)) - slope * effort
    chances = 1 / (1 + np.exp(-(start + slope * efforts)))
    found = [
        highest_effort(clean_curve(efforts, clean, reps), criterion)
        for clean in random.binomial(reps, chances, (STUDENTS, 4))
    ]
    given = [each for each in found if each.reach is Reach.FOUND]
    # Nearly all are given a figure, so that those who are, are no choice.
    assert len(given) > 0.97 * STUDENTS
    hold([each.low <= effort <= each.high for each in given], of=len(given))


@all_sessions
@pytest.mark.parametrize("level", [0.8, 0.95])
def test_ellipse_of_the_next_ball(n, level):
    random = np.random.default_rng(1100 + n)
    hits = []
    for balls in random.multivariate_normal([1, -2], [[36, 9], [9, 16]], (STUDENTS, n + 1)):
        found = next_ball_ellipse(balls[:n, 0], balls[:n, 1], level=level)
        if isinstance(found, TooLittle):
            assert n < 10
            continue
        turn = np.radians(found.angle)
        away = balls[n] - [found.depth, found.line]
        along = away @ [np.cos(turn), np.sin(turn)]
        across = away @ [-np.sin(turn), np.cos(turn)]
        hits.append((along / found.longer) ** 2 + (across / found.shorter) ** 2 <= 1)
    if n >= 10:
        hold(hits, level)


@all_sessions
@pytest.mark.parametrize("level", [0.8, 0.95])
def test_difference_of_two_swings(n, level):
    random = np.random.default_rng(1200 + n)
    shorter = random.normal(60, 2, (STUDENTS, n))
    longer = random.normal(66, 5, (STUDENTS, max(4, n // 2)))
    hold(
        [
            within(6, difference(a, b, level=level).gap)
            for a, b in zip(shorter, longer, strict=True)
        ],
        level,
    )


@all_sessions
def test_chance_that_two_swings_differ_comes_true_as_often_as_it_says(n):
    random = np.random.default_rng(1300 + n)
    gaps = random.uniform(-25, 25, 4 * STUDENTS)
    chances = np.array(
        [
            difference(random.normal(60, 3, n), random.normal(60 + gap, 4, n), least=3).chance
            for gap in gaps
        ]
    )
    for low in (0.05, 0.3, 0.6, 0.8):
        said = (chances >= low) & (chances < low + 0.2)
        expected, came = chances[said].mean(), (gaps[said] > 3).mean()
        assert came == pytest.approx(expected, abs=4 * sqrt(expected * (1 - expected) / said.sum()))


@all_sessions
@pytest.mark.parametrize("part", [0.25, 0.5])
def test_swing_between_two(n, part):
    """The true carry bends between the two by as much as the measure allows for."""
    random = np.random.default_rng(1400 + n)
    bends = random.normal(0, BEND * 12 * part * (1 - part), STUDENTS)
    means, balls = [], []
    for bend in bends:
        truth = 60 + 12 * part + bend
        found = between(random.normal(60, 3, n), random.normal(72, 3.5, n), part)
        means.append(within(truth, found.mean))
        scatter = sqrt((1 - part) * 3**2 + part * 3.5**2)
        balls.append(within(random.normal(truth, scatter), found.next_ball))
    hold(means)
    hold(balls)
