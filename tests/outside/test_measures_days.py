"""Levels and shares over days against printed formulas, libraries and simulated students."""

from math import sqrt

import numpy as np
import pytest
from scipy import stats

from practice.measures.days import (
    alike_variance,
    between_days,
    effective_tries,
    level_over_days,
    of_median,
    share_over_days,
    weighted_mean,
)
from practice.measures.rates import score_interval
from practice.measures.usual import USUAL_BALLS, USUAL_REPS, DaySpread
from tests.outside.sources import checks

# Thirteen trials of BCG vaccine: log relative risk and its variance (Colditz et al. 1994, as
# in metafor's dat.bcg, computed from the counts).
BCG = [
    (4, 119, 11, 128), (6, 300, 29, 274), (3, 228, 11, 209), (62, 13536, 248, 12619),
    (33, 5036, 47, 5761), (180, 1361, 372, 1079), (8, 2537, 10, 619), (505, 87886, 499, 87892),
    (29, 7470, 45, 7232), (17, 1699, 65, 1600), (186, 50448, 141, 27197), (5, 2493, 3, 2338),
    (27, 16886, 29, 17825),
]  # fmt: skip
NOTHING_KNOWN = DaySpread(0.5, freedom=1e-12)


def bcg():
    a, b, c, d = (np.array(each, float) for each in zip(*BCG, strict=True))
    return np.log(a / (a + b) / (c / (c + d))), 1 / a - 1 / (a + b) + 1 / c - 1 / (c + d)


@checks(weighted_mean, source="Hartung & Knapp (2001) by metafor's rma(dat.bcg, knha) (memory)")
def test_the_mean_of_days_is_hartung_and_knapp_s():
    effects, variances = bcg()
    mean, error, freedom = weighted_mean(effects, variances + 0.3132, NOTHING_KNOWN)
    # The normal theory would give an error of 0.1798.
    assert (round(mean, 4), round(error, 4), round(freedom)) == (-0.7145, 0.1808, 12)


@checks(weighted_mean, source="statsmodels.stats.meta_analysis.combine_effects (HKSJ)", cases=2)
def test_the_mean_of_days_against_a_library():
    from statsmodels.stats.meta_analysis import combine_effects

    effects, variances = bcg()
    found = combine_effects(effects, variances, method_re="dl")
    mean, error, _ = weighted_mean(effects, variances + found.tau2, NOTHING_KNOWN)
    assert mean == pytest.approx(found.mean_effect_re, rel=1e-9)
    assert error == pytest.approx(found.sd_eff_w_re_hksj, rel=1e-9)


@checks(between_days, source="Definition: the one-way moment estimate, balanced")
def test_the_spread_between_days_by_moments():
    middles, own = np.array([58.0, 61.0, 63.0, 60.0]), np.full(4, 1.5)
    found = between_days(middles, own, NOTHING_KNOWN, 9.0)
    assert found**2 == pytest.approx(np.var(middles, ddof=1) - 1.5, rel=1e-9)
    assert between_days(middles[:1], own[:1], USUAL_BALLS, 1.75) == 1.75


@checks(of_median, source="Exact: variances of normal medians, 1, 0.4487, 0.2868, 0.2104", cases=4)
@pytest.mark.parametrize(("n", "variance"), [(1, 1.0), (3, 0.4487), (5, 0.2868), (7, 0.2104)])
def test_the_variance_of_a_median(n, variance):
    """Order statistics of the normal (David & Nagaraja, Order Statistics; memory)."""
    assert of_median(np.array([n]))[0] == pytest.approx(variance, rel=0.025)


@checks(alike_variance, source="Definition: variance of a mean of an autoregression of order 1")
def test_days_that_are_alike_tell_less():
    # n=4, correlation 1/2: (4 + 2 (3/2 + 2/4 + 1/8)) / 16.
    assert alike_variance(np.full(4, 0.25), 0.5) == pytest.approx((4 + 4.25) / 16)
    assert alike_variance(np.full(4, 0.25), 0.0) == pytest.approx(0.25)


@checks(effective_tries, source="Kish (1965) Survey Sampling: design effect 1 + (b - 1) rho")
def test_tries_of_a_day_are_worth_fewer():
    known = DaySpread(0.25, freedom=1e12)
    clean, tries = np.array([6.0, 7, 5, 6]), np.full(4, 10.0)
    rho = 0.25**2 / (1 + 0.25**2)
    assert effective_tries(clean, tries, known) == pytest.approx(40 / (1 + 9 * rho), rel=1e-9)


@checks(share_over_days, source="Newcombe (1998) 81 of 263, where days are all alike")
def test_days_that_do_not_differ_give_wilson_s_interval():
    found = share_over_days([(1, 1)] * 81 + [(0, 1)] * 182, DaySpread(0.0, freedom=1e9))
    assert found.worth == pytest.approx(263)
    low, high = score_interval(81 / 263, 263)
    assert (found.estimate.low, found.estimate.high) == pytest.approx((low, high), abs=1e-6)


@checks(level_over_days, source="House rule on Hartung & Knapp (2001), one day by hand")
def test_one_day_leans_on_what_is_known_of_days():
    balls = [58.0, 60, 61, 59, 62, 60, 57, 61, 60, 59]
    found = level_over_days([balls], "m")
    variance = found.within**2 * (0.7**2 + np.pi / 2 / (10 + np.pi / 2 - 1))
    freedom = 1 / (1 / 6 + 1 / 9)  # What is known counts for six days, the balls tell nine.
    assert found.half == pytest.approx(stats.t.ppf(0.975, freedom) * sqrt(variance))
    # Another day tells more than ten more balls.
    assert found.with_days(1) < found.with_balls(10) < found.half
    assert found.days_until(found.half) == 0
    assert (
        found.with_days(found.days_until(1.5)) <= 1.5 < found.with_days(found.days_until(1.5) - 1)
    )
    assert found.days_until(0.001) is None


@checks(level_over_days, source="Student (1908): a mean of n, its spread told by those n alone")
def test_one_day_is_known_as_well_as_its_balls_tell_their_spread():
    """Where days are known for sure to be alike, the freedom is that of the balls: n - 1."""
    alike = DaySpread(0.0, freedom=1e12)
    assert level_over_days([[58.0, 60, 61, 59, 62]], "m", alike).freedom == pytest.approx(4)
    many = level_over_days([[58.0, 60, 61, 59, 62]] * 40, "m", USUAL_BALLS)
    assert many.freedom == pytest.approx(39 + USUAL_BALLS.freedom, rel=0.01)


@checks(level_over_days, source="Rousseeuw & Croux (1993): the MAD's efficiency of 37 %")
def test_a_spread_told_by_the_median_of_distances_tells_as_much_as_fewer_balls():
    """One mishit of five: the spread is that of the others, and known as by 0.37 of as many."""
    alike = DaySpread(0.0, freedom=1e12)
    found = level_over_days([[58.0, 60, 61, 59, 40]], "m", alike)
    assert found.within < 3
    assert found.freedom == pytest.approx(0.37 * 4)
    assert level_over_days([[58.0, 60, 40]], "m", alike).freedom == pytest.approx(1)


@pytest.mark.parametrize("balls", [3, 5, 8, 10])
@pytest.mark.parametrize("wild", [1, 3])
def test_one_day_in_a_studio_that_knows_its_days_holds_the_carry_too(balls, wild):
    """With the freedom of the studio alone it was held in 71 to 91 of 100, and in 87 to 94 as
    if the median of their distances told as much as the balls themselves. One ball in ten
    may be three times as wild."""
    random = np.random.default_rng(8)
    spread = 2.5 * sqrt(0.9 + 0.1 * wild**2)
    known, hits = DaySpread(0.7, freedom=200), 0
    for day in random.normal(60, 0.7 * spread, 2000):
        sizes = np.where(random.random(balls) < 0.1, wild, 1) * 2.5
        found = level_over_days([day + sizes * random.normal(size=balls)], "m", known).estimate
        hits += found.low <= 60 <= found.high
    assert (0.93 if wild == 1 else 0.91) <= hits / 2000 < 0.975


def test_ten_balls_of_one_day_hold_the_carry_as_often_as_they_say():
    """The textbook interval of the balls holds it in 66 of 100 here."""
    random = np.random.default_rng(8)
    hits = 0
    for day in random.normal(60, 0.68 * 2.5, 2000):
        found = level_over_days([random.normal(day, 2.5, 10)], "m").estimate
        hits += found.low <= 60 <= found.high
    assert hits / 2000 > 0.92


@pytest.mark.parametrize("days", [2, 4, 8])
def test_an_eighty_percent_interval_of_a_share_holds_it_in_eighty(days):
    """Plain Wilson intervals hold it in 53 to 70 of 100 here."""
    random = np.random.default_rng(days)
    hits = 0
    for _ in range(1500):
        shares = np.clip(random.normal(0.7, 0.3 * sqrt(0.21), days), 0.01, 0.99)
        counts = [(int(random.binomial(12, each)), 12) for each in shares]
        found = share_over_days(counts, USUAL_REPS, level=0.8).estimate
        hits += found.low <= 0.7 <= found.high
    assert 0.76 <= hits / 1500 <= 0.93
