"""What is computed without scipy.stats, to keep the processes small, equals scipy.stats."""

import subprocess
import sys
from math import cos, exp

import numpy as np
import pytest
from scipy import stats
from scipy.optimize import brentq

from practice.measures.answers import BadData
from practice.measures.roots import root
from practice.measures.trend import robust_slope
from practice.measures.verdicts import more_and_more
from tests.outside.sources import checks

pytestmark = pytest.mark.outside


@pytest.mark.parametrize("seed", range(40))
@pytest.mark.parametrize("level", [0.5, 0.8, 0.95, 0.99])
def test_robust_slope_with_and_without_ties(seed, level):
    random = np.random.default_rng(seed)
    n = int(random.integers(8, 60))
    days = np.sort(random.integers(0, 40, n)).astype(float)  # Several on one day.
    values = np.round(random.normal(60, 2, n), seed % 3)
    found, reference = (
        robust_slope(days, values, "m/s", level=level),
        stats.theilslopes(values, days, alpha=level),
    )
    assert (found.value, found.low, found.high) == pytest.approx(
        (reference.slope, reference.low_slope, reference.high_slope), rel=1e-12, abs=1e-15
    )


@pytest.mark.parametrize("seed", range(20))
def test_values_typed_in_steps_are_spread_over_them(seed):
    random = np.random.default_rng(seed)
    days = np.arange(30.0)
    values = np.round(random.normal(60, 1, 30))
    found = robust_slope(days, values, "m/s", coarsest=1.0)
    # The multiples of the golden ratio, one after the other by day, over a step of one.
    spread = values + (np.arange(1, 31) * (np.sqrt(5) - 1) / 2) % 1 - 0.5
    reference = stats.theilslopes(spread, days)
    assert (found.value, found.low, found.high) == pytest.approx(
        (reference.slope, reference.low_slope, reference.high_slope), rel=1e-9
    )
    # Where none are alike they stay as they are.
    apart = values + days * 1e-3
    found, reference = robust_slope(days, apart, "m/s", coarsest=1e-3), stats.theilslopes(apart)
    assert found.low == pytest.approx(reference.low_slope, rel=1e-9)


def test_sessions_typed_all_alike_are_not_known_to_have_no_slope_at_all():
    found = robust_slope(range(8), [60.0] * 8, "m/s", coarsest=0.45)
    assert found.low < 0.0 < found.high
    assert abs(7 * found.value) < 0.45


@pytest.mark.parametrize("seed", range(20))
def test_spearmans_rank_correlation_with_ties(seed):
    random = np.random.default_rng(seed)
    minutes = random.integers(1, 9, 14).astype(float)
    changes = random.integers(-4, 5, 14).astype(float)
    reference = stats.spearmanr(minutes, changes).statistic
    assert more_and_more(minutes, changes, shuffles=10).rank_correlation == pytest.approx(
        reference, rel=1e-12
    )


ZEROS = {
    "steep": (lambda x: exp(8 * x) - 30, -1.0, 2.0),
    "flat": (lambda x: (x - 0.3) ** 9, 0.0, 1.0),
    "far": (lambda x: 1 / (1 + x) - 1e-7, 0.0, 1e12),
    "near nothing": (lambda x: x - 1e-13, 0.0, 1.0),
    "falling": (lambda x: 2 - x**3, 1.0, 4.0),
    "wavy": (lambda x: cos(x) - x / 10, 0.0, 3.0),
}


@checks(root, source="scipy.optimize.brentq (Brent 1973)", cases=2 * len(ZEROS))
@pytest.mark.parametrize("name", ZEROS)
@pytest.mark.parametrize("turned", [False, True])
def test_a_zero_is_where_brent_finds_it(name, turned):
    of, low, high = ZEROS[name]
    ends = (high, low) if turned else (low, high)
    reference = brentq(of, low, high, xtol=1e-300, rtol=1e-15, maxiter=1000)
    # A ninth power is below every number a good way about its zero.
    assert root(of, *ends) == pytest.approx(reference, rel=1e-13, abs=1e-2 if name == "flat" else 0)
    assert abs(root(of, *ends, within=1e-3) - reference) <= 2e-3 * (10 if name == "flat" else 1)


@checks(root, source="numpy.roots (eigenvalues of the companion matrix)", cases=30)
@pytest.mark.parametrize("seed", range(30))
def test_a_random_cubic_has_its_zero(seed):
    random = np.random.default_rng(seed)
    a, b, c = random.normal(size=3)

    def cubic(x):
        return x**3 + a * x * x + b * x + c

    reach = 1 + max(abs(a), abs(b), abs(c))  # Cauchy's bound of all its zeros.
    found = root(cubic, -reach, reach)
    assert min(abs(np.roots([1, a, b, c]) - found)) < 1e-9


def test_an_end_may_be_the_zero_and_without_one_it_is_said():
    assert root(lambda x: x, 0.0, 1.0) == 0.0
    assert root(lambda x: x - 1, 0.0, 1.0) == 1.0
    for nowhere in (lambda x: x * x + 1, lambda x: float("nan")):
        with pytest.raises(BadData):
            root(nowhere, -1.0, 2.0)


def test_zeros_are_found_in_few_steps():
    asked = []
    root(lambda x: asked.append(x) or exp(8 * x) - 30, -1.0, 2.0)
    assert len(asked) < 20


def test_no_measure_of_a_page_loads_scipy_stats_or_optimize():
    """They take some 80 MB of every process that asks for one number."""
    use = """
import sys
from practice.measures import claim, rates, several, spread, trend, verdicts
claim.critical(0.05, 4, 20)
spread.components([[60, 61, 62], [63, 64, 66], [61, 62, 60]])
days = [7.0 * n for n in range(12)]
values = [60 + n % 3 for n in range(12)]
trend.robust_slope(days, values, "m/s")
rates.clean_share(6, 8)
verdicts.more_and_more(days, values, shuffles=10)
several.beyond_range(3.0, 4, 20)
assert not {"scipy.stats", "scipy.optimize"} & sys.modules.keys()
"""
    done = subprocess.run([sys.executable, "-c", use], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
