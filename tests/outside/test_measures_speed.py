"""Charts, spread, trend and change against printed and library values."""

from math import asin, pi, sqrt

import numpy as np
import pytest

from practice.measures import trend
from practice.measures.answers import TooLittle
from practice.measures.change import (
    smallest_real_change,
    steadiness,
    typical_error,
    worth_of,
)
from practice.measures.chart import D2, D4, Rule, individuals, signals
from practice.measures.spread import components, spread
from practice.measures.trend import goal_days, line, robust_slope
from tests.outside.sources import checks

NIST_10 = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
NIST_20 = [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, *NIST_10]

# Davies & Goldsmith (1972) 6.4, yield of dyestuff, six batches of five; ships with lme4.
DYESTUFF = [
    [1545, 1440, 1440, 1520, 1580],
    [1540, 1555, 1490, 1560, 1495],
    [1595, 1550, 1605, 1510, 1560],
    [1445, 1440, 1595, 1465, 1545],
    [1595, 1630, 1515, 1635, 1625],
    [1520, 1455, 1450, 1480, 1445],
]
# Box & Tiao (1973) 5.1.2: generated so that the batches differ less than chance.
DYESTUFF_2 = [
    [7.298, 3.846, 2.434, 9.566, 7.99],
    [5.22, 6.556, 0.608, 11.788, -0.892],
    [0.11, 10.386, 13.434, 5.51, 8.166],
    [2.212, 4.852, 7.092, 9.288, 4.98],
    [0.282, 9.014, 4.458, 9.446, 7.198],
    [1.722, 4.782, 8.106, 0.758, 3.758],
]


@checks(individuals, source="NIST/SEMATECH e-Handbook 6.3.2.2 (secondary copy)", cases=3)
def test_individuals_chart():
    chart = individuals(NIST_10)
    # The exact d2 would give 55.8024 and 45.8176.
    assert [chart.centre, chart.mean_range, chart.high, chart.low] == pytest.approx(
        [50.81, 1.8778, 55.8041, 45.8159], abs=5e-5
    )


@checks(individuals, source="ASTM control chart constants: d2 and D4 of a range of two")
def test_chart_constants():
    assert pytest.approx(2 / sqrt(np.pi), abs=5e-4) == D2
    assert pytest.approx(1 + 3 * sqrt(2 - 4 / np.pi) / (2 / sqrt(np.pi)), abs=6e-4) == D4


@checks(signals, source="Western Electric Handbook (1956); Nelson (1984) definitions", cases=6)
@pytest.mark.parametrize(
    ("z", "rule", "at"),
    [
        ([0, 1, 3.1, 0], Rule.BEYOND_3, [2]),
        ([0.5, 2.1, 0.3, 2.2], Rule.TWO_OF_THREE, [3]),
        ([2.1, 0, -2.2], Rule.TWO_OF_THREE, []),
        ([1.1, 1.2, 0.2, 1.3, 1.4], Rule.FOUR_OF_FIVE, [4]),
        ([0.1] * 8, Rule.EIGHT_IN_A_ROW, [7]),
        ([0.1] * 7, Rule.EIGHT_IN_A_ROW, []),
        ([0, 1, 2, 3, 4, 5], Rule.SIX_RISING, [5]),
        ([0, 1, 2, 3, 4, 4], Rule.SIX_RISING, []),
        ([0, 1] * 7, Rule.FOURTEEN_ALTERNATING, [13]),
    ],
)
def test_run_rules(z, rule, at):
    assert list(signals(z, (rule,))[rule]) == at


@checks(signals, source="Champ & Woodall (1987) Technometrics 29, 393: run length 370.4 of rule 1")
def test_false_alarm_rate_of_the_three_sigma_rule():
    # One in 370.4 by the normal tail, and as many in a seeded run of 400,000 sessions.
    z = np.random.default_rng(7).standard_normal(400_000)
    rate = len(signals(z, (Rule.BEYOND_3,))[Rule.BEYOND_3]) / z.size
    error = sqrt(1 / 370.4 / z.size)
    assert rate == pytest.approx(1 / 370.4, abs=3 * error)


@checks(components, source="Davies & Goldsmith (1972) 6.4; lme4: 1764.05 and 2451.25", cases=2)
def test_variance_components_balanced():
    found = components(DYESTUFF)
    assert [found.between, found.within, found.between_anova] == pytest.approx(
        [1764.05, 2451.25, 1764.05], rel=1e-9
    )
    # lme4 1.1 in R: REML criterion.
    assert found.restricted_deviance == pytest.approx(319.654276842, abs=1e-8)


@checks(components, source="Box & Tiao (1973) 5.1.2; lme4 gives variance 0", cases=2)
def test_variance_components_below_zero():
    found = components(DYESTUFF_2)
    assert found.between == 0
    assert not found.distinguishable
    assert [found.within, found.between_anova, found.mean] == pytest.approx(
        [13.80630963, -1.3219, 5.6656], abs=5e-5
    )


@checks(components, source="statsmodels MixedLM (REML), unbalanced data")
def test_variance_components_unbalanced():
    import pandas as pd
    from statsmodels.regression.mixed_linear_model import MixedLM

    sessions = [group[: 2 + i % 4] for i, group in enumerate(DYESTUFF)]
    rows = [(i, value) for i, group in enumerate(sessions) for value in group]
    frame = pd.DataFrame(rows, columns=["session", "y"])
    model = MixedLM(frame["y"], np.ones(len(frame)), groups=frame["session"]).fit(reml=True)
    found = components(sessions)
    assert found.within == pytest.approx(model.scale, rel=1e-3)
    assert found.between == pytest.approx(float(model.cov_re.iloc[0, 0]), rel=1e-3)


@checks(spread, source="Chi-square interval of a variance: factors of 5, 10 and 50 values", cases=3)
@pytest.mark.parametrize(
    ("n", "low", "high"), [(5, 0.60, 2.87), (10, 0.688, 1.826), (50, 0.835, 1.246)]
)
def test_interval_of_a_spread(n, low, high):
    found = spread(np.random.default_rng(n).normal(60, 2, n), "m/s")
    assert [found.low / found.value, found.high / found.value] == pytest.approx(
        [low, high], abs=0.006
    )


@checks(robust_slope, source="Sen (1968) JASA 63, 1379, example (by way of SciPy's tests)")
def test_sen_slope():
    found = robust_slope(
        [1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78], "m", level=0.93, least=5
    )
    assert [found.value, found.low, found.high] == pytest.approx([4.0, 3.71, 4.38], abs=0.006)


@checks(
    robust_slope, source="Hamed & Rao (1998), J. Hydrology 204, eq. 14 by hand (memory)", cases=2
)
def test_sessions_that_are_alike_widen_the_slope():
    # Four sessions: only neighbours enter, 3 x 2 x 1 of 4 x 3 x 2, with the ranks' correlation.
    assert trend._times_variance(4, 0.5) == pytest.approx(1 + 0.5 * 6 / pi * asin(0.25))
    # Five: 4 x 3 x 2 of neighbours and 3 x 2 x 1 of those one apart, of 5 x 4 x 3.
    one, two = (6 / pi * asin(each / 2) for each in (0.5, 0.25))
    assert trend._times_variance(5, 0.5) == pytest.approx(1 + 2 * (24 * one + 6 * two) / 60)
    figures = [60.0, 60.9, 60.2, 61.5, 60.4, 62.0, 61.1, 61.3, 62.5, 61.0]
    plain, wide = (robust_slope(range(10), figures, "m/s", alike=each) for each in (0.0, 0.5))
    assert wide.value == plain.value
    assert wide.low < plain.low < plain.high < wide.high


@checks(robust_slope, source="Hollander, Wolfe & Chicken ch. 9, example 9.1 (memory): slope -.056")
def test_sen_slope_of_a_falling_series():
    found = robust_slope([1, 2, 3, 4, 5], [1.26, 1.27, 1.12, 1.16, 1.03], "m", least=5)
    assert found.value == pytest.approx(-0.05625, abs=5e-5)


# Kutner et al. (2005), Toluca Company: lot size and work hours (data recalled).
TOLUCA_X = [80, 30, 50, 90, 70, 60, 120, 80, 100, 50, 40, 70, 90, 20, 110, 100, 30, 50, 90, 110]
TOLUCA_X += [30, 90, 40, 80, 70]
TOLUCA_Y = [399, 121, 221, 376, 361, 224, 546, 352, 353, 157, 160, 252, 389, 113, 435, 420, 212]
TOLUCA_Y += [268, 377, 421, 273, 468, 244, 342, 323]


@checks(line, source="Kutner, Nachtsheim, Neter & Li (2005), tables 1-2 (memory)", cases=3)
def test_line_and_its_bands():
    fit = line(TOLUCA_X, TOLUCA_Y)
    assert [fit.intercept, fit.slope, fit.residual**2] == pytest.approx(
        [62.37, 3.5702, 2384], rel=2e-4
    )
    assert fit.band(100, level=0.9, one_new=False) == pytest.approx((394.9, 443.9), abs=0.06)
    assert fit.band(100, level=0.9) == pytest.approx((332.2, 506.6), abs=0.06)


def _norris() -> tuple[list[float], list[float]]:
    """NIST StRD Norris as it ships in SciPy's own tests (public domain)."""
    from pathlib import Path

    import scipy.stats.tests as scipy_tests

    text = (Path(scipy_tests.__path__[0]) / "data" / "nist_linregress" / "Norris.dat").read_text()
    rows = [row.split() for row in text.splitlines()[60:96]]
    return [float(row[1]) for row in rows], [float(row[0]) for row in rows]


@checks(line, source="NIST StRD Norris, certified values", cases=3)
def test_line_to_nine_certified_digits():
    fit = line(*_norris())
    assert fit.intercept == pytest.approx(-0.262323073774029, rel=1e-9)
    assert fit.slope == pytest.approx(1.00211681802045, rel=1e-9)
    assert fit.slope_error == pytest.approx(0.000429796848199937, rel=1e-9)
    assert fit.residual == pytest.approx(0.884796396144373, rel=1e-9)


# R datasets::cars (Ezekiel 1930), speed in mph and stopping distance in feet.
SPEED = [4, 4, 7, 7, 8, 9, 10, 10, 10, 11, 11, 12, 12, 12, 12, 13, 13, 13, 13, 14, 14, 14, 14, 15]
SPEED += [15, 15, 16, 16, 17, 17, 17, 18, 18, 18, 18, 19, 19, 19, 20, 20, 20, 20, 20, 22, 23, 24]
SPEED += [24, 24, 24, 25]
STOP = [2, 10, 4, 22, 16, 10, 18, 26, 34, 17, 28, 14, 20, 24, 28, 26, 34, 34, 46, 26, 36, 60, 80]
STOP += [20, 26, 54, 32, 40, 32, 40, 50, 42, 56, 76, 84, 36, 46, 68, 32, 48, 52, 56, 64, 66, 54, 70]
STOP += [92, 93, 120, 85]


@checks(
    line, source="R predict.lm on datasets::cars: 95 % prediction intervals at 10 and 20", cases=2
)
def test_prediction_interval():
    fit = line(SPEED, STOP)
    assert fit.band(10) == pytest.approx((-9.809600788, 53.29958619), abs=1e-7)
    assert fit.band(20) == pytest.approx((29.603088633, 92.53507195), abs=1e-7)


@checks(goal_days, source="Draper & Smith 3.2: the closed-form quadratic of inverse prediction")
def test_when_a_goal_is_reached():
    found = goal_days(line(SPEED, STOP), 60, horizon=60)
    assert [found.earliest, found.likely, found.secure] == pytest.approx(
        [11.748532, 19.728136, 28.116913], abs=5e-6
    )


def test_a_goal_is_not_dated_without_a_trend():
    days = list(range(12))
    assert goal_days(line(days, [60, 61] * 6), 65, horizon=40) is None


WEIR_1 = [146, 148, 170, 90, 157, 156, 176, 205]
WEIR_2 = [140, 152, 152, 99, 145, 153, 167, 218]


@checks(typical_error, source="Weir (2005) JSCR 19, 231, data set A: SEM 7.56 kg (memory)")
def test_typical_error():
    assert typical_error(WEIR_1, WEIR_2).value == pytest.approx(7.56, abs=0.0055)


@checks(smallest_real_change, source="Weir (2005): 1.96 sqrt 2 SEM = 20.946, factor 2.772", cases=2)
def test_smallest_real_change():
    assert smallest_real_change(7.557, 10**9) == pytest.approx(20.946, abs=0.005)
    assert smallest_real_change(1.0, 10**9) == pytest.approx(2.772, abs=5e-4)
    assert smallest_real_change(1.0, 10**9, baseline_tests=10**9) == pytest.approx(1.96, abs=5e-4)


@checks(smallest_real_change, source="Student's t table: 4.303 at 2 degrees, 2.365 at 7", cases=2)
def test_the_retest_rule_takes_t():
    # The error of three pairs is known poorly: 1.96 would hold 80 of 100 and not 95.
    assert smallest_real_change(1.0, 3) == pytest.approx(4.303 * sqrt(2), abs=1e-3)
    found = typical_error(WEIR_1, WEIR_2)
    assert found.smallest_real == pytest.approx(2.365 * sqrt(2) * found.value, abs=0.01)


@checks(worth_of, source="Weir (2005) by hand: t (12) of 13 differences, four tests against three")
def test_what_is_worth_having_is_at_least_real():
    figures = [60, 60.9, 60.2, 61.1, 59.9, 60.8, 60.3, 61.0, 60.1, 60.7, 60.4, 61.2, 60.0, 60.9]
    error = np.std(np.diff(figures), ddof=1) / sqrt(2)
    real = 2.179 * error * sqrt(1 / 4 + 1 / 3)
    assert worth_of(figures, 0.9) == pytest.approx(real, rel=1e-3)
    # Nothing below what is worth having at all, and at most twice that.
    assert worth_of(figures, 1.9) == 1.9
    assert worth_of(figures, 0.5) == 1.0


def test_a_retest_without_change_is_real_one_time_in_twenty():
    random = np.random.default_rng(33)
    for pairs in (3, 5, 10):
        hits = 0
        for _ in range(2000):
            first, second = random.normal(60, 2, (2, pairs))
            real = typical_error(first, second).smallest_real
            old, new = random.normal(60, 2, 2)
            hits += abs(new - old) <= real
        assert hits / 2000 == pytest.approx(0.95, abs=0.02)


INES = [146.2, 148.9, 145.1, 147.6, 147.0, 149.4, 148.8, 150.6, 151.2, 150.1, 152.3, 151.8]
INES += [152.6, 152.0]
PIET = [151.0, 155.8, 149.2, 153.6, 156.4, 150.1, 154.9, 148.8, 157.0, 151.5, 149.9, 155.6]
PIET += [153.4, 150.8]
CALLUM = [158.4, 160.1, 157.2, 159.3, 161.5, 162.8, 163.9, 164.4, 163.6, 164.8, 162.1, 159.8]
CALLUM += [158.0, 156.9]


@checks(steadiness, source="Simulation: unchanged players, days half alike, every tenth wild")
def test_of_unchanged_players_so_many_look_steadier_and_hardly_any_is_surely():
    random = np.random.default_rng(17)
    looks = sure = 0
    for _ in range(800):
        form = [random.normal()]
        for _ in range(17):
            form.append(0.5 * form[-1] + sqrt(0.75) * random.normal())
        wild = (random.random(18) < 0.1) * 2 * random.normal(size=18)
        found = steadiness(np.round(150 + 1.9 * (np.array(form) + wild)), 1.9)
        looks, sure = looks + found.steadier, sure + found.confirmed
    assert looks / 800 <= 0.2 + 0.02
    assert sure / 800 <= 0.05 + 0.01


@checks(steadiness, source="numpy.std and sorting of the worked example (house rule)")
def test_steadiness():
    found = steadiness(INES, 1.9)
    assert [found.everyday, found.floor] == pytest.approx([152.13, 151.2], abs=0.01)
    assert found.spread == pytest.approx(np.std(INES[-6:], ddof=1), rel=1e-12)
    assert found.steadier
    assert not found.confirmed
    assert steadiness(INES[:5], 1.9) == TooLittle("Steadiness needs six test days.", 5, 6)


def test_a_new_best_swing_changes_no_verdict():
    # A day figure is a median, so one wild swing is not in it at all.
    quiet, wild = [60, 61, 60, 62, 61, 60], [60, 61, 60, 75, 61, 60]
    assert np.median(quiet) == pytest.approx(np.median(wild), abs=0.5)
