"""A diary's weight: ratios of said to checked, pooled as published reviews pool theirs."""

from math import exp, log, sqrt

import numpy as np
import pytest
from scipy import stats

from practice.measures.answers import BadData, TooLittle
from practice.measures.diary import USUAL_SPREAD, Overcount, by_the_clock, overcount
from practice.measures.several import random_effects
from tests.outside.sources import checks

# Tuberculosis after vaccination: ill and well, with and without, in thirteen trials.
TRIALS = [
    (4, 119, 11, 128), (6, 300, 29, 274), (3, 228, 11, 209), (62, 13536, 248, 12619),
    (33, 5036, 47, 5761), (180, 1361, 372, 1079), (8, 2537, 10, 619), (505, 87886, 499, 87892),
    (29, 7470, 45, 7232), (17, 1699, 65, 1600), (186, 50448, 141, 27197), (5, 2493, 3, 2338),
    (27, 16886, 29, 17825),
]  # fmt: skip


def log_risk_ratios():
    a, b, c, d = np.array(TRIALS, float).T
    return np.log(a / (a + b) * (c + d) / c), 1 / a - 1 / (a + b) + 1 / c - 1 / (c + d)


@checks(random_effects, source="Colditz et al. (1994) JAMA 271, 698, by moments (memory)", cases=2)
def test_trials_are_pooled_as_printed():
    found = random_effects(*log_risk_ratios())
    assert found.mean == pytest.approx(-0.7141, abs=5e-5)
    assert found.between == pytest.approx(0.3088, abs=5e-5)


@checks(random_effects, source="statsmodels combine_effects, method of DerSimonian and Laird")
def test_trials_are_pooled_as_by_a_library():
    from statsmodels.stats.meta_analysis import combine_effects

    found, theirs = random_effects(*log_risk_ratios()), combine_effects(*log_risk_ratios(), "dl")
    assert found.between == pytest.approx(theirs.tau2, rel=1e-9)
    assert found.mean == pytest.approx(theirs.mean_effect_re, rel=1e-9)


OWN = [(20, 16), (30, 25), (15, 12), (20, 18)]
OTHERS = [[(20, 20), (10, 9), (30, 33)], [(40, 25), (20, 15)], [(30, 28)], []]


@checks(overcount, source="Definition, with the house's six checks in the spread")
def test_a_student_alone_is_his_own_mean():
    found = overcount(OWN)
    logs = np.log([said / checked for said, checked in OWN])
    assert found.mean == pytest.approx(logs.mean())
    spread = sqrt((3 * logs.var(ddof=1) + 6 * USUAL_SPREAD**2) / 9)
    assert (found.spread, found.error) == pytest.approx((spread, spread / 2))
    assert (found.checks, found.students, found.freedom) == (4, 1, 9)


@checks(overcount, source="statsmodels combine_effects and Robinson (1991), written out")
def test_students_lend_each_other():
    from statsmodels.stats.meta_analysis import combine_effects

    found = overcount(OWN, OTHERS)
    logs = [np.log([s / c for s, c in each]) for each in (OWN, *OTHERS) if each]
    spare = sum(each.size - 1 for each in logs)
    squares = sum(((each - each.mean()) ** 2).sum() for each in logs)
    variance = (squares + 6 * USUAL_SPREAD**2) / (spare + 6)
    means, own = np.array([e.mean() for e in logs]), np.array([variance / e.size for e in logs])
    seen = combine_effects(means, own, "dl").tau2
    between = (3 * seen + 4 * USUAL_SPREAD**2) / 7
    # The mean of all and each student's departure at once: Henderson's equations.
    design = np.column_stack([np.ones(4), np.eye(4)])
    left = design.T @ (design / own[:, None]) + np.diag([0, *[1 / between] * 4])
    both = np.linalg.solve(left, design.T @ (means / own))
    reach = np.array([1.0, 1.0, 0, 0, 0])
    assert found.mean == pytest.approx(both[0] + both[1])
    assert found.error**2 == pytest.approx(reach @ np.linalg.inv(left) @ reach)
    assert found.students == 4
    # He is drawn towards the others.
    assert means.min() < found.mean < means[0]


def test_too_few_checks_are_no_answer():
    found = overcount(OWN[:2], OTHERS)
    assert isinstance(found, TooLittle)
    assert found.missing == 1
    assert isinstance(overcount([]), TooLittle)
    with pytest.raises(BadData):
        overcount([*OWN, (0, 5)])
    assert isinstance(by_the_clock([], overcount(OWN)), TooLittle)


@checks(by_the_clock, source="scipy.stats.t, and the variance of a weighted sum")
def test_minutes_by_the_clock():
    known = Overcount(log(1.2), 0.06, 0.2, 20.0, 6, 4)
    found = by_the_clock([10, 20, 30], known, timed=15)
    assert found.value == pytest.approx(15 + 60 / 1.2)
    parts = (1 / 6) ** 2 + (1 / 3) ** 2 + (1 / 2) ** 2
    reach = stats.t.ppf(0.975, 20) * sqrt(0.06**2 + 0.04 * parts)
    assert found.low == pytest.approx(15 + 50 * exp(-reach))
    assert found.high == pytest.approx(15 + 50 * exp(reach))
    assert found.n == 6


@checks(by_the_clock, overcount, source="Simulation: figures rounded to five, students apart")
@pytest.mark.parametrize(("checks_told", "students"), [(3, 1), (6, 2), (6, 8), (12, 8)])
def test_the_band_holds_the_true_minutes(checks_told, students):
    random = np.random.default_rng(100 * checks_told + students)

    def pairs(n):
        true = random.uniform(8, 40, n)
        said = true * np.exp(random.normal(0.15, 0.15) + random.normal(0, 0.22, n))
        return true, np.maximum(5, 5 * np.round(said / 5))

    held = []
    for _ in range(400):
        true, said = pairs(checks_told + 4)
        others = []
        for _ in range(students - 1):
            theirs, told = pairs(random.integers(1, 8))
            others.append(list(zip(told, theirs, strict=True)))
        own = list(zip(said[:checks_told], true[:checks_told], strict=True))
        found = by_the_clock(said[checks_told:], overcount(own, others))
        held.append(found.low <= true[checks_told:].sum() <= found.high)
    assert 0.92 <= np.mean(held) <= 0.99
