"""Drawing a student's log-odds in: against SciPy's and NumPy's way to the same posterior."""

from dataclasses import replace
from math import log

import numpy as np
import pytest

from coaching.forecast import rhythm_fit
from coaching.forecast.own_odds import (
    between_students,
    flattening,
    odds_after,
    one_way,
    start_of,
    trace,
)
from coaching.forecast.rhythm import HOUSE, chance_of

DIFFERENT = replace(
    HOUSE, level=-0.8, weekdays=(0, 0.1, -0.1, 0.2, -0.4, 0.9, 1.1), weekends_differ=0.9
)
DAYS = (4.0, 3.5, 4.0, 3.0, 4.0, 2.0, 0.0)
DONE = (1.0, 0.0, 3.0, 1.0, 0.5, 2.0, 0.0)


def test_the_mode_and_the_spread_around_it_are_those_of_the_posterior():
    """SciPy's minimizer on the log-posterior; NumPy's inverse of its bend at the mode."""
    from scipy.optimize import minimize

    start, common = np.array(start_of(DIFFERENT).odds), np.array(between_students(DIFFERENT))
    precise, days, done = np.linalg.inv(common), np.array(DAYS), np.array(DONE)

    def cost(odds):
        away = odds - start
        return away @ precise @ away / 2 - done @ odds + days @ np.logaddexp(0, odds)

    mode = minimize(cost, start, method="BFGS", options={"gtol": 1e-8}).x
    p = 1 / (1 + np.exp(-mode))
    spread = np.linalg.inv(precise + np.diag(days * p * (1 - p)))
    odds, doubt = odds_after(DAYS, DONE, list(start), between_students(DIFFERENT))
    assert odds == pytest.approx(list(mode), abs=1e-3)
    assert np.array(doubt) == pytest.approx(spread, abs=2e-3)


def test_without_days_nothing_moves():
    start = list(start_of(DIFFERENT).odds)
    odds, doubt = odds_after((0.0,) * 7, (0.0,) * 7, start, between_students(DIFFERENT))
    assert odds == pytest.approx(start)
    assert doubt == between_students(DIFFERENT)


def test_every_student_at_once_is_each_alone():
    random = np.random.default_rng(4)
    days = random.uniform(0, 20, (30, 7))
    done = days * random.uniform(0, 1, (30, 7))
    begin = start_of(DIFFERENT)
    start = np.array(begin.odds) + random.normal(0, 0.5, (30, 1))
    odds, doubt = rhythm_fit._odds_after(days, done, start, np.array(begin.spread))
    both = rhythm_fit._one_way(replace(DIFFERENT, asking_tells=3.0), days, done, days[:, 0] / 20)
    told = start_of(replace(DIFFERENT, asking_tells=3.0))
    for row in range(30):
        mine = odds_after(days[row], done[row], told.after_asking(days[row, 0] / 20), told.spread)
        for one, many in zip(one_way(*mine, DIFFERENT.weeks_differ**2), both, strict=True):
            assert one == pytest.approx(list(many[row]), abs=5e-3)
        one, left = odds_after(days[row], done[row], list(start[row]), begin.spread)
        assert one == pytest.approx(list(odds[row]), abs=5e-3)
        assert np.array(left) == pytest.approx(doubt[row], abs=5e-3)


@pytest.mark.parametrize("odds", [-3.0, -1.0, 0.5, 2.5])
@pytest.mark.parametrize("variance", [0.1, 0.5, 1.5])
def test_flattened_odds_give_the_mean_chance(odds, variance):
    """NumPy's Gauss-Hermite rule of 60 nodes; the flattening is known to be within a hundredth."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(60)
    chances = 1 / (1 + np.exp(-(odds + variance**0.5 * nodes)))
    mean = chances @ weights / weights.sum()
    assert chance_of(odds / flattening(variance)) == pytest.approx(mean, abs=0.01)


def test_what_is_asked_moves_the_start_like_any_measure():
    """A normal given a linear measure of it with noise: NumPy's conditional of the joint one."""
    rhythm = replace(DIFFERENT, asking_tells=4.0)
    begin, silent = start_of(rhythm), start_of(DIFFERENT)
    odds = np.array(silent.odds)
    p = 1 / (1 + np.exp(-odds))
    steep = p * (1 - p) * np.array(rhythm.amounts) / (p @ np.array(rhythm.amounts))
    common = np.array(silent.spread)
    gain = common @ steep / (steep @ common @ steep + 1 / 4.0)
    assert begin.after_asking(log(2)) == pytest.approx(list(odds + gain * log(2)))
    assert np.array(begin.spread) == pytest.approx(common - np.outer(gain, steep @ common))


def test_where_asking_tells_nothing_the_spread_is_that_between_students():
    assert start_of(DIFFERENT).asking == (0.0,) * 7
    assert start_of(DIFFERENT).spread == between_students(DIFFERENT)
    assert trace(between_students(DIFFERENT)) == pytest.approx(
        7 * (DIFFERENT.levels_differ**2 + DIFFERENT.weekdays_differ**2) + 2 * 0.9**2
    )


def test_a_doubt_that_all_days_share_is_all_common():
    """Nothing is left for a day alone, and the mean over weeks stays what it was."""
    odds, moves = one_way([-1.0] * 7, [[0.3] * 7 for _ in range(7)], 0.5)
    assert moves == pytest.approx(((0.3 + 0.5) ** 0.5,) * 7)
    assert odds == pytest.approx((-1.0 * flattening(0.5),) * 7)


def test_a_doubt_of_each_day_alone_only_flattens():
    apart = [[0.4 if a == b else 0.0 for b in range(7)] for a in range(7)]
    odds, moves = one_way([1.0] * 7, apart, 0.0)
    alone = 0.4 - 0.4 / 7
    assert odds == pytest.approx((1 / flattening(alone),) * 7)
    assert moves == pytest.approx(((0.4 / 7) ** 0.5 / flattening(alone),) * 7)
