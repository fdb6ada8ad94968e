"""What is computed without scipy.stats, to keep the processes small, equals scipy.stats."""

import subprocess
import sys

import numpy as np
import pytest
from scipy import stats

from practice.measures.trend import robust_slope
from practice.measures.verdicts import more_and_more

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
def test_spearmans_rank_correlation_with_ties(seed):
    random = np.random.default_rng(seed)
    minutes = random.integers(1, 9, 14).astype(float)
    changes = random.integers(-4, 5, 14).astype(float)
    reference = stats.spearmanr(minutes, changes).statistic
    assert more_and_more(minutes, changes, shuffles=10).rank_correlation == pytest.approx(
        reference, rel=1e-12
    )


def test_no_measure_loads_scipy_stats():
    """It takes 46 MB of every process that asks for one number."""
    use = """
import sys
from practice.measures import rates, several, trend, verdicts
days = [7.0 * n for n in range(12)]
values = [60 + n % 3 for n in range(12)]
trend.robust_slope(days, values, "m/s")
rates.clean_share(6, 8)
verdicts.more_and_more(days, values, shuffles=10)
several.beyond_range(3.0, 4, 20)
assert "scipy.stats" not in sys.modules
"""
    done = subprocess.run([sys.executable, "-c", use], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
