"""Simulated students whose truth is known: the intervals hold it as often as they say.

Every interval that a page shows, 2,000 students each, at 5, 10, 20 and 60 sessions. At
2,000 the noise of a share near 0.95 is 0.005, so that two points are four of it.
"""

from math import log, sqrt

import numpy as np
import pytest

from practice.measures.answers import TooLittle
from practice.measures.days import level_over_days
from practice.measures.gaps import BEND, between
from practice.measures.ladder import Reach, clean_curve, highest_effort
from practice.measures.rates import Z95, clean_share, score_interval
from practice.measures.spread import spread
from practice.measures.trend import TargetState, line, robust_slope, when_reached
from practice.measures.usual import DaySpread
from practice.measures.wedges import next_ball_ellipse

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


@pytest.mark.parametrize("n", [20, 60])
def test_slope_of_sessions_that_are_alike(n):
    """An autoregression of first order; without `alike` 78 to 80 of 100 hold (own run)."""
    random = np.random.default_rng(350 + n)
    days, hits = 7.0 * np.arange(n), []
    for noise in random.normal(0, 1, (STUDENTS, n)):
        form = [noise[0]]
        for shock in noise[1:]:
            form.append(0.5 * form[-1] + sqrt(1 - 0.5**2) * shock)
        found = robust_slope(days, 60 + 0.02 * days + np.array(form), "m/s", alike=0.5)
        hits.append(within(0.02, found))
    hold(hits)


@pytest.mark.parametrize("n", [10, 20, 60])
@pytest.mark.parametrize("a_week", [0.0, 0.013, 0.03])
def test_slope_of_what_is_typed_in_steps_as_wide_as_a_session_differs(n, a_week):
    """Without `coarsest` 99 to 100 of 100 hold no slope, and 90 to 94 a slight one (own run)."""
    random = np.random.default_rng(370 + n)
    days = 7.0 * np.arange(n)
    hits = []
    for start, noise in zip(
        random.uniform(60, 61, STUDENTS), random.normal(0, 0.8, (STUDENTS, n)), strict=True
    ):
        typed = np.round(start + a_week / 7 * days + noise)
        hits.append(within(a_week / 7, robust_slope(days, typed, "m/s", coarsest=1.0)))
    # Ends are seen slopes: of ten sessions, typed or measured, they lie a little wide.
    assert 0.93 <= np.mean(hits) <= (0.97 if n > 10 else 0.98)


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
        assert found.goal in (TargetState.DATED, TargetState.TOO_FAR, TargetState.REACHED)
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
@pytest.mark.parametrize(("z", "level"), [(1.2815515655446004, 0.80), (Z95, 0.95)])
def test_clean_rate(n, z, level):
    """Ten reps a session; shares of clean reps from hardly to nearly always."""
    random = np.random.default_rng(800 + n)
    shares = random.uniform(0.1, 0.95, STUDENTS)
    clean = random.binomial(10 * n, shares)
    bounds = [score_interval(k / (10 * n), 10 * n, z) for k in clean]
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
@pytest.mark.parametrize(("effort", "slope", "criterion"), [(70, -0.08, 0.8), (65, -0.1, 0.7)])
def test_highest_effort(n, effort, slope, criterion):
    """Three reps at each of four efforts a session."""
    random = np.random.default_rng(1000 + n)
    efforts, reps = np.array([40.0, 60, 80, 95]), np.full(4, 3 * n)
    start = log(criterion / (1 - criterion)) - slope * effort
    chances = 1 / (1 + np.exp(-(start + slope * efforts)))
    # Who has the same reps clean is told the same: each count is computed once.
    counts, whose = np.unique(
        random.binomial(reps, chances, (STUDENTS, 4)), axis=0, return_inverse=True
    )
    told = [highest_effort(clean_curve(efforts, clean, reps), criterion) for clean in counts]
    found = [told[number] for number in whose.ravel()]
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
def test_swing_between_two(n):
    """Days of four balls that differ; the true carry bends between the two by as much as the
    measure allows for. A quarter and half of the way, between the same levels."""
    random = np.random.default_rng(1400 + n)
    usual, parts = DaySpread(0.7), (0.25, 0.5)

    def level(mean, spread):
        days = random.normal(mean, usual.ratio * spread, n)
        return level_over_days(random.normal(days[:, None], spread, (n, 4)), "m", usual)

    means, balls = {part: [] for part in parts}, {part: [] for part in parts}
    for bend in random.normal(0, BEND * 12, STUDENTS):
        shorter, longer = level(60, 3), level(72, 3.5)
        for part in parts:
            truth = 60 + 12 * part + bend * part * (1 - part)
            found = between(shorter, longer, part)
            means[part].append(within(truth, found.mean))
            scatter = sqrt(((1 - part) * 3**2 + part * 3.5**2) * (1 + usual.ratio**2))
            balls[part].append(within(random.normal(truth, scatter), found.next_ball))
    for part in parts:
        hold(means[part])
        hold(balls[part])
