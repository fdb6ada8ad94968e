"""Wedges, ladder, rates, load, strength, air and flight against printed and library values."""

from math import log, pi, sqrt

import numpy as np
import pytest
from scipy import stats

from practice.measures.air import moist_air_density, standard_atmosphere
from practice.measures.answers import BadData, Evidence, TooLittle, weakest
from practice.measures.flight import (
    BALL_MASS,
    Launch,
    carry_ratio,
    fly,
    usual_coefficients,
)
from practice.measures.ladder import (
    Holds,
    Reach,
    clean_curve,
    firth,
    highest_effort,
    holds,
    next_effort,
    self_score_gap,
    step_ratio,
    up_down_target,
)
from practice.measures.load import rolling_load, session_load, smoothing, week_load
from practice.measures.rates import (
    chance_of_at_least,
    clean_share,
    count_interval,
    shrunk_rates,
    wilson,
)
from practice.measures.strength import Formula, one_rep_maximum, relative_strength
from practice.measures.verdicts import Link, Practice, done_and_moved, more_and_more
from practice.measures.wedges import (
    Cell,
    balls_needed,
    best_swings,
    expected_miss,
    mean_carry,
    miss,
    next_ball_ellipse,
    odd_clubs,
    robust_spread,
    steps,
)
from tests.outside.sources import checks


@checks(wilson, source="Newcombe (1998) Statistics in Medicine 17, 857, table I method 3", cases=4)
@pytest.mark.parametrize(
    ("k", "n", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_wilson(k, n, low, high):
    assert wilson(k, n) == pytest.approx((low, high), abs=6e-5)


@checks(clean_share, source="DescTools BinomCI (Jeffreys), shipped in statsmodels' tests", cases=1)
def test_jeffreys_share():
    found = clean_share(100, 200)
    assert [found.low, found.high] == pytest.approx([0.4311217, 0.5688783], abs=1e-7)
    assert clean_share(0, 8).low == 0
    assert clean_share(8, 8).high == 1


@checks(count_interval, source="Garwood (1936); Pearson & Hartley table 40 (memory)", cases=3)
@pytest.mark.parametrize(
    ("count", "low", "high"), [(0, 0, 3.689), (1, 0.0253, 5.572), (10, 4.795, 18.39)]
)
def test_garwood(count, low, high):
    # The table prints four figures; 18.39 to two decimals.
    assert count_interval(count) == pytest.approx((low, high), abs=0.006)


@checks(chance_of_at_least, source="Exact beta-binomial fraction 42/55", cases=1)
def test_chance_of_finishing():
    assert chance_of_at_least(2, 3, done=6, missed=2) == pytest.approx(42 / 55, rel=1e-12)


@checks(shrunk_rates, source="Efron & Morris (1977) Scientific American 236, 119: .265, .212, .294")
def test_rates_drawn_together():
    batting = [0.4, 0.378, 0.356, 0.333, 0.311, 0.311, 0.289, 0.267, 0.244, 0.244]
    batting += [0.222, 0.222, 0.222, 0.222, 0.222, 0.2, 0.178, 0.156]
    found = shrunk_rates(batting, 45)
    assert [found.mean, found.factor, found.rates[0]] == pytest.approx(
        [0.265, 0.212, 0.294], abs=0.0011
    )


@checks(mean_carry, source="NIST/SEMATECH e-Handbook 1.3.5.2 (ZARR13): 9.258242 to 9.264679")
def test_mean_with_its_interval():
    # Numbers with exactly the handbook's count, mean and spread.
    x = np.random.default_rng(1).standard_normal(195)
    x = (x - x.mean()) / x.std(ddof=1) * 0.022789 + 9.261460
    found = mean_carry(x)
    assert [found.low, found.high] == pytest.approx([9.258241, 9.264679], abs=2e-6)


@checks(robust_spread, source="statsmodels.robust.mad; Rousseeuw & Croux (1993): 1.4826", cases=2)
def test_robust_spread():
    from statsmodels.robust import mad

    balls = [58.2, 61.0, 60.4, 59.7, 75.0, 60.1, 58.8]
    assert robust_spread(balls) == pytest.approx(float(mad(balls)), rel=1e-9)
    assert robust_spread([58, 59, 60, 61, 62]) == pytest.approx(1.4826, abs=5e-5)


@checks(balls_needed, source="scipy.stats.t: smallest n whose interval is narrow enough")
@pytest.mark.parametrize(("spread", "within", "n"), [(5, 2, 27), (5, 5, 7), (8, 3, 30), (4, 1, 64)])
def test_balls_needed(spread, within, n):
    assert balls_needed(spread, within) == n
    assert stats.t.ppf(0.975, n - 1) * spread / sqrt(n) <= within
    assert stats.t.ppf(0.975, n - 2) * spread / sqrt(n - 1) > within


@checks(expected_miss, source="Leone, Nelson & Nottingham (1961); scipy.stats.foldnorm", cases=4)
@pytest.mark.parametrize(
    ("mean", "value"), [(0, 0.797885), (1, 1.166631), (2, 2.016981), (-1, 1.166631)]
)
def test_expected_miss(mean, value):
    assert expected_miss(mean, 1) == pytest.approx(value, abs=2e-6)
    assert expected_miss(mean, 1) == pytest.approx(stats.foldnorm.mean(abs(mean)), rel=1e-9)


@checks(next_ball_ellipse, source="Johnson & Wichern 5.4: 2(n-1)(n+1)/(n(n-2)) F; 11.04 at n = 10")
def test_ellipse_for_the_next_ball():
    random = np.random.default_rng(3)
    x, y = random.normal(0, 6, 10), random.normal(0, 4, 10)
    found = next_ball_ellipse(x, y)
    assert found.factor == pytest.approx(11.0366, abs=0.002)
    values = np.linalg.eigvalsh(np.cov(x, y)) * found.factor
    assert [found.shorter, found.longer] == pytest.approx(np.sqrt(values).tolist(), rel=1e-9)


def test_the_ellipse_holds_the_next_ball_as_often_as_it_says():
    random = np.random.default_rng(11)
    inside = 0
    for _ in range(2000):
        balls = random.multivariate_normal([0, 0], [[36, 9], [9, 16]], 11)
        e = next_ball_ellipse(balls[:10, 0], balls[:10, 1])
        turn = np.radians(e.angle)
        along, across = balls[10] - [e.depth, e.line], None
        u = along @ [np.cos(turn), np.sin(turn)]
        across = along @ [-np.sin(turn), np.cos(turn)]
        inside += (u / e.longer) ** 2 + (across / e.shorter) ** 2 <= 1
    assert 0.93 <= inside / 2000 <= 0.97


OSKAR = {
    Cell("58", "hip"): 36, Cell("54", "hip"): 48, Cell("50", "hip"): 60, Cell("46", "hip"): 72,
    Cell("58", "chest"): 46, Cell("54", "chest"): 57, Cell("50", "chest"): 71,
    Cell("46", "chest"): 84, Cell("58", "full"): 80, Cell("54", "full"): 94,
    Cell("50", "full"): 107, Cell("46", "full"): 119,
}  # fmt: skip


@checks(steps, odd_clubs, miss, source="House rules worked by hand (common practice, no source)")
def test_holes_odd_entries_and_misses_by_hand():
    assert [(s.from_m, s.to_m) for s in steps(OSKAR) if s.is_hole] == [(60, 71)]
    hip, chest = {"60": 26, "54": 34, "48": 43, "43": 52}, {"60": 33, "54": 42, "48": 52, "43": 73}
    assert odd_clubs(hip, chest) == ["43"]
    long = miss([70, 68.5, 71, 66.5, 69.5, 70.5, 67, 69, 71.5, 68], 65)
    assert (long.word, long.wide) == ("long", False)
    assert long.mean_error == pytest.approx(4.15)
    fifty = miss([48, 51.5, 50.5, 49, 52, 47.5, 50, 51, 49.5, 50.5], 50)
    assert (fifty.word, fifty.wide) == ("centred", False)
    forty = miss([34, 41, 37, 45, 36, 39, 33, 44, 38, 40], 40)
    assert (forty.word, forty.wide) == ("centred", True)
    assert miss([84, 82, 79, 83], 80).missing == 4


@checks(steps, source="numpy.diff of the sorted carries")
def test_steps_are_the_differences_of_the_sorted_card():
    assert [s.gap for s in steps(OSKAR)] == np.diff(sorted(OSKAR.values())).tolist()


@checks(miss, source="scipy.stats.ttest_1samp: mean and standard error of the error")
def test_miss_against_a_t_test():
    balls = [70, 68.5, 71, 66.5, 69.5, 70.5, 67, 69, 71.5, 68]
    test = stats.ttest_1samp(balls, 65)
    found = miss(balls, 65)
    assert found.mean_error / (found.spread / sqrt(found.n)) == pytest.approx(test.statistic)


@checks(odd_clubs, source="statistics.median of the steps")
def test_odd_clubs_against_the_median():
    import statistics

    shorter = {"a": 20.0, "b": 30.0, "c": 40.0, "d": 50.0}
    longer = {"a": 28.0, "b": 39.0, "c": 47.0, "d": 65.0}
    usual = statistics.median(longer[c] - shorter[c] for c in shorter)
    assert odd_clubs(shorter, longer) == [
        c for c in shorter if abs(longer[c] - shorter[c] - usual) > 6
    ]


@checks(best_swings, source="Simulation with known truth: smallest true expected miss")
def test_the_chosen_swing_is_the_best_one():
    """In at least 95 of 100 cards of 10 balls a cell where the best is 2 m better."""
    random = np.random.default_rng(65)
    right = wrong = 0
    while right + wrong < 2000:
        truth = {
            Cell(str(i), "x"): (m, s)
            for i, (m, s) in enumerate(
                zip(random.uniform(35, 120, 9), random.uniform(2, 5, 9), strict=True)
            )
        }
        target = float(random.uniform(40, 110))
        expected = sorted((expected_miss(m - target, s), cell) for cell, (m, s) in truth.items())
        if expected[1][0] - expected[0][0] < 2:
            continue
        card = {cell: np.maximum(0, random.normal(m, s, 10)) for cell, (m, s) in truth.items()}
        chosen = best_swings(card, target)[0].cell
        right, wrong = right + (chosen == expected[0][1]), wrong + (chosen != expected[0][1])
    assert right / 2000 >= 0.95


@checks(holds, source="statsmodels proportion_confint (wilson, 80 %) and the worked table")
@pytest.mark.parametrize(
    ("k", "n", "word"),
    [
        (24, 30, Holds.HOLDS), (14, 20, Holds.NOT_SETTLED), (16, 20, Holds.HOLDS),
        (10, 20, Holds.BREAKS), (21, 30, Holds.NOT_SETTLED), (15, 30, Holds.BREAKS),
        (30, 40, Holds.HOLDS), (9, 11, Holds.TOO_FEW), (28, 34, Holds.HOLDS),
        (13, 28, Holds.BREAKS), (25, 32, Holds.HOLDS), (9, 14, Holds.NOT_SETTLED),
        (20, 48, Holds.BREAKS), (26, 32, Holds.HOLDS),
    ],
)  # fmt: skip
def test_holds_and_breaks(k, n, word):
    from statsmodels.stats.proportion import proportion_confint

    assert holds(k, n, 3) is word
    low, high = proportion_confint(k, n, alpha=0.2, method="wilson")
    if word is Holds.HOLDS:
        assert low >= 0.6
    if word is Holds.BREAKS:
        assert high < 0.7
    assert holds(k, n, 1) is Holds.TOO_FEW


@checks(self_score_gap, source="Plain arithmetic of 24 less 17 of 30 (house rule)")
def test_self_score_gap():
    assert self_score_gap([(8, 5, 10), (9, 6, 10), (7, 6, 10)]) == round(100 * 7 / 30)
    assert isinstance(self_score_gap([(8, 5, 10)]), TooLittle)


BEETLE_X = [1.6907, 1.7242, 1.7552, 1.7842, 1.8113, 1.8369, 1.861, 1.8839]
BEETLE_N = [59, 60, 62, 56, 63, 59, 62, 60]
BEETLE_K = [6, 13, 18, 28, 52, 53, 61, 60]


@checks(
    firth, clean_curve, source="Bliss (1935) by Dobson & Barnett tables 7.2, 7.4 (memory)", cases=2
)
def test_penalised_curve_is_near_the_printed_one():
    # On 481 beetles the penalty moves the printed ML coefficients (-60.72, 34.27) little.
    design = np.column_stack([np.ones(8), BEETLE_X])
    beta, inverse = firth(design - [0, 1.8], np.array(BEETLE_K, float), np.array(BEETLE_N, float))
    assert beta[1] == pytest.approx(34.27, rel=0.01)
    assert sqrt(inverse[1, 1]) == pytest.approx(2.91, rel=0.02)
    # And the effort-style reading of the same: the dose at which half respond, 1.7717.
    assert 1.8 - beta[0] / beta[1] == pytest.approx(60.72 / 34.27, abs=5e-4)


@checks(firth, source="Identity: Firth with a constant only is (k + 1/2) / (n + 1)")
def test_penalty_of_a_constant():
    beta, _ = firth(np.ones((1, 1)), np.array([0.0]), np.array([8.0]))
    assert 1 / (1 + np.exp(-beta[0])) == pytest.approx(0.5 / 9, abs=1e-10)


@checks(clean_curve, source="scipy.optimize on the penalised likelihood, written out", cases=1)
def test_curve_against_a_general_optimiser():
    from scipy.optimize import minimize

    efforts, clean, reps = [40, 60, 80, 95], [38, 33, 25, 9], [40, 40, 32, 14]
    x = np.array(efforts, float)

    def penalised(beta):
        p = 1 / (1 + np.exp(-(beta[0] + beta[1] * (x - 68))))
        w = np.array(reps) * p * (1 - p)
        d = np.column_stack([np.ones(4), x - 68])
        likelihood = (np.array(clean) * np.log(p) + (np.array(reps) - clean) * np.log1p(-p)).sum()
        return -likelihood - 0.5 * np.linalg.slogdet(d.T @ (d * w[:, None]))[1]

    best = minimize(
        penalised,
        [1.0, -0.05],
        method="Nelder-Mead",
        options={"xatol": 1e-10, "fatol": 1e-13, "maxiter": 5000},
    ).x
    curve = clean_curve(efforts, clean, reps)
    assert curve.slope == pytest.approx(best[1], rel=1e-5)
    assert curve.intercept + 68 * curve.slope == pytest.approx(best[0], rel=1e-5)


def test_separated_reps_stay_finite():
    curve = clean_curve([40, 60, 80, 95], [10, 10, 0, 0], [10, 10, 10, 10])
    assert -1 < curve.slope < 0
    assert highest_effort(curve).reach in (Reach.FOUND, Reach.NO_SLOPE)


@checks(highest_effort, source="Delta method by numerical differentiation")
def test_interval_of_the_highest_effort():
    curve = clean_curve([40, 60, 80, 95], [38, 33, 20, 4], [40, 40, 32, 14])
    found = highest_effort(curve, 0.7)
    target = log(0.7 / 0.3)

    def effort(b0, b1):
        return (target - b0) / b1

    h = 1e-6
    g = np.array(
        [
            (effort(curve.intercept + h, curve.slope) - effort(curve.intercept - h, curve.slope))
            / (2 * h),
            (effort(curve.intercept, curve.slope + h) - effort(curve.intercept, curve.slope - h))
            / (2 * h),
        ]
    )
    reach = 1.959964 * sqrt(g @ np.array(curve.covariance) @ g)
    assert found.reach is Reach.FOUND
    assert curve.chance(found.effort) == pytest.approx(0.7, abs=1e-9)
    assert found.high - found.effort == pytest.approx(reach, rel=1e-4)


@checks(up_down_target, source="Levitt (1971) JASA 49, 467, table: .5, .707, .794, .841", cases=4)
@pytest.mark.parametrize(("n", "target"), [(1, 0.5), (2, 0.707), (3, 0.794), (4, 0.841)])
def test_up_down_targets(n, target):
    assert up_down_target(n) == pytest.approx(target, abs=6e-4)


@checks(
    step_ratio,
    source="Kaernbach (1991) Perception & Psychophysics 49, 227: 3 to 1 for 75 %",
    cases=3,
)
@pytest.mark.parametrize(("target", "ratio"), [(0.5, 1), (0.75, 3), (0.8, 4)])
def test_step_ratios(target, ratio):
    assert step_ratio(target) == pytest.approx(ratio, rel=1e-12)


@checks(next_effort, source="Kaernbach (1991): no drift at the target share")
def test_the_next_effort_stays_at_the_target_share():
    assert next_effort(60, 8, 10, target=0.8) == 60
    assert next_effort(60, 10, 10) == 65
    assert next_effort(80, 4, 10) == 75
    assert next_effort(100, 10, 10) == 100
    assert next_effort(60, 0, 0) == 60


@checks(session_load, source="Foster (2001) JSCR 15, 109: 5 x 60 = 300")
def test_session_load():
    assert session_load(5, 60) == 300


@checks(week_load, source="Foster (1998) MSSE 30, 1164 (definitions), worked by hand", cases=1)
def test_week_load():
    week = week_load([300, 0, 450, 200, 0, 600, 0])
    assert [week.total, week.daily_mean, week.monotony, week.strain] == pytest.approx(
        [1550, 221.4286, 0.917738, 1422.4944], abs=0.001
    )
    assert week_load([50] * 7).monotony is None


@checks(smoothing, source="Williams et al. (2017) BJSM 51, 209: 2/(N+1) (memory)")
def test_smoothing():
    assert [smoothing(7), smoothing(28)] == pytest.approx([0.25, 2 / 29], rel=1e-12)


@checks(rolling_load, source="Arithmetic of the definitions: 100 a day, then one day of 200")
def test_rolling_load():
    found = rolling_load([100] * 28 + [200])
    assert [found.recent, found.longer] == pytest.approx([125, 106.8966], abs=1e-4)


@checks(one_rep_maximum, source="Epley (1985), Brzycki (1993), Lombardi (1989): 100 x 10", cases=3)
@pytest.mark.parametrize(
    ("formula", "value"),
    [(Formula.EPLEY, 133.3333), (Formula.BRZYCKI, 133.3333), (Formula.LOMBARDI, 125.8925)],
)
def test_one_rep_maximum(formula, value):
    assert one_rep_maximum(100, 10, formula) == pytest.approx(value, abs=1e-4)
    assert one_rep_maximum(100, 1, formula) == 100


@checks(one_rep_maximum, source="Published Epley percentages for 2 to 10 reps", cases=1)
def test_epley_percentages():
    table = [94, 91, 88, 86, 83, 81, 79, 77, 75]
    ours = [100 / one_rep_maximum(1, reps) for reps in range(2, 11)]
    assert ours == pytest.approx(table, abs=0.55)


@checks(relative_strength, source="Definition: unit free (NIST SP 811: 1 lb = 0.45359237 kg)")
def test_relative_strength():
    assert relative_strength(100, 80) == 1.25
    assert relative_strength(100 / 0.45359237, 80 / 0.45359237) == pytest.approx(1.25)


@checks(done_and_moved, source="House table worked by hand (common practice, no source)")
@pytest.mark.parametrize(
    ("done", "tests", "moved", "word"),
    [
        (0.85, 2, True, Practice.KEEP_GOING), (0.87, 3, False, Practice.CHANGE_THE_DRILL),
        (0.4, 2, True, Practice.ASK_FOR_LESS), (0.31, 3, False, Practice.DO_IT_FIRST),
        (0.7, 1, False, Practice.TEST_DUE), (0.69, 1, True, Practice.DO_IT_FIRST),
        (None, 3, True, Practice.TOO_SOON),
    ],
)  # fmt: skip
def test_done_and_moved(done, tests, moved, word):
    assert done_and_moved(done, open_weeks=3, tests=tests, moved=moved) is word
    assert done_and_moved(done, open_weeks=2, tests=tests, moved=moved) is Practice.TOO_SOON


RAVINDU = [30, 45, 20, 50, 60, 35, 25, 55, 40, 65, 15, 50], [2, 3, -1, 1, 6, 3, -2, 2, 4, 3, 0, 5]


@checks(more_and_more, source="scipy.stats.spearmanr, ties included", cases=2)
def test_more_and_more():
    found = more_and_more(*RAVINDU)
    assert found.rank_correlation == pytest.approx(stats.spearmanr(*RAVINDU).statistic, rel=1e-9)
    assert found.link is Link.MORE_WITH_MORE
    piet = [60, 20, 45, 80, 30, 70, 50, 25, 65, 40, 75, 35]
    change = [-1.2, 0.8, 0.3, -0.6, 1.5, -0.9, 0.6, -0.4, -0.2, 1.1, 0.4, -0.7]
    none = more_and_more(piet, change)
    assert none.link is Link.NONE_SEEN
    assert none.p == pytest.approx(
        stats.permutation_test(
            (piet,),
            lambda x: stats.spearmanr(x, change).statistic,
            permutation_type="pairings",
            n_resamples=2000,
            rng=np.random.default_rng(1),
        ).pvalue,
        abs=0.04,
    )


@checks(
    standard_atmosphere, source="U.S. Standard Atmosphere 1976 tables, geometric altitude", cases=9
)
@pytest.mark.parametrize(
    ("altitude", "temperature", "pressure", "density"),
    [(0, 288.15, 101320, 1.225), (2000, 275.15, 79501, 1.0066), (4000, 262.17, 61660, 0.81935)],
)
def test_standard_atmosphere(altitude, temperature, pressure, density):
    t, p, rho = standard_atmosphere(altitude)
    assert t == pytest.approx(temperature, abs=0.006)
    assert [p, rho] == pytest.approx([pressure, density], rel=6e-5)


@checks(
    moist_air_density, source="CIPM-2007; independent implementation masscor (CRAN) in R", cases=5
)
@pytest.mark.parametrize(
    ("celsius", "pressure", "humidity", "density"),
    [
        (20, 101325, 0.5, 1.19931389547), (23.4, 612.3 * 133.322387415, 0.23, 0.956304593978),
        (5, 101325, 0.8, 1.26642776514), (30, 84500, 0.2, 0.96758547887),
        (15, 101325, 0, 1.22552134473),
    ],
)  # fmt: skip
def test_moist_air(celsius, pressure, humidity, density):
    assert moist_air_density(celsius, pressure, humidity) == pytest.approx(density, rel=2e-7)


@checks(fly, source="Closed form of flight in a vacuum, g = 9.80665", cases=4)
def test_flight_in_a_vacuum():
    found = fly(Launch(50, 45, 0), 0)
    assert [found.carry, found.apex, found.time] == pytest.approx(
        [254.929, 63.732, 7.2105], abs=6e-4
    )
    assert fly(Launch(30, 40, 0), 0, start_height=1).carry == pytest.approx(91.557, abs=6e-4)


@checks(
    fly, source="Closed form of vertical flight with quadratic drag (any mechanics text)", cases=2
)
def test_flight_straight_up_with_drag():
    found = fly(Launch(30, 90, 0), 1.225, coefficients=lambda s: (0.25, 0))
    k = 1.225 * 0.25 * pi * (0.04267 / 2) ** 2 / (2 * BALL_MASS)
    height = log(1 + k * 30**2 / 9.80665) / (2 * k)
    assert found.apex == pytest.approx(height, abs=6e-5)
    assert [found.apex, found.landing_speed] == pytest.approx([38.063, 25.0215], abs=6e-4)


@checks(fly, source="Bernoulli's hodograph for quadratic drag: carry 172.6011 m")
def test_flight_with_drag_only():
    found = fly(Launch(60, 40, 0), 1.225, coefficients=lambda s: (0.25, 0))
    assert found.carry == pytest.approx(172.6011, rel=1e-6)


@checks(fly, source="Lift does no work: the ball lands as fast as it left")
def test_flight_with_lift_only():
    found = fly(Launch(40, 30, 0), 1.225, coefficients=lambda s: (0, 0.2))
    assert found.landing_speed == pytest.approx(40, abs=1e-6)


@checks(usual_coefficients, source="Smits & Smith (1994) closed forms (memory)")
def test_usual_coefficients():
    assert usual_coefficients(0.1) == pytest.approx((0.258, 0.54 * 0.1**0.4))


@checks(carry_ratio, source="Physics: thinner air, longer carry; more for a high-spin wedge")
def test_carry_one_mile_up():
    thin = standard_atmosphere(1609.344)[2]
    drive, low, high = carry_ratio(Launch(70, 10, 2600), thin, 1.225)
    wedge, *_ = carry_ratio(Launch(40, 30, 6000), thin, 1.225)
    assert 1.02 < drive < wedge < 1.09
    assert low < drive < high


@checks(weakest, source="House rule: the order of evidence")
def test_a_conclusion_says_the_weakest_kind():
    assert weakest(Evidence.MEASURED, Evidence.COUNTED).words == "counted"
    assert Evidence.COACH_CHECKED.words == "coach-checked"
    with pytest.raises(BadData):
        weakest()
