"""Several figures beside each other, against printed tables and worked examples."""

import numpy as np
import pytest
from scipy import stats

from practice.measures.answers import BadData, TooLittle
from practice.measures.several import beyond_range, chance_alike, drawn_in
from tests.outside.sources import checks

# Upper 5 % points of the studentised range: groups, degrees of freedom, q.
TABLE = [(2, 10, 3.15), (3, 10, 3.88), (5, 20, 4.23), (10, 60, 4.65), (3, 120, 3.36), (5, 5, 5.67)]


@checks(beyond_range, source="Pearson & Hartley (1966), table 29 (memory)", cases=6)
@pytest.mark.parametrize(("groups", "freedom", "q"), TABLE)
def test_the_printed_points_of_the_range(groups, freedom, q):
    assert beyond_range(q, groups, freedom) == pytest.approx(0.05, abs=5e-4)


@checks(beyond_range, source="scipy.stats.studentized_range", cases=4)
@pytest.mark.parametrize(("q", "k", "v"), [(3.6, 3, 120), (6, 8, 3.2), (1, 12, 40), (0, 4, 9)])
def test_the_range_against_a_library(q, k, v):
    assert beyond_range(q, k, v) == pytest.approx(stats.studentized_range.sf(q, k, v), abs=1e-6)


@checks(chance_alike, source="scipy.stats.tukey_hsd: Tukey and Kramer where sizes differ")
def test_pairs_of_several_that_differ_in_size():
    groups = [[24.5, 23.5, 26.4, 27.1, 29.9], [28.4, 34.2, 29.5, 32.2], [26.1, 28.3, 24.3]]
    spare = sum(map(len, groups)) - 3
    within = sum(np.var(each) * len(each) for each in groups) / spare
    found = stats.tukey_hsd(*groups)
    for i, j in ((0, 1), (0, 2), (1, 2)):
        errors = tuple((within / len(groups[n])) ** 0.5 for n in (i, j))
        difference = np.mean(groups[i]) - np.mean(groups[j])
        assert chance_alike(difference, errors, 3, spare) == pytest.approx(
            found.pvalue[i, j], abs=1e-6
        )
    with pytest.raises(BadData):
        chance_alike(1.0, (0.0, 1.0), 3, spare)


@checks(drawn_in, source="lme4, ranef of Dyestuff by REML: Davies & Goldsmith 6.4 (memory)")
def test_batches_drawn_in_as_they_are_predicted():
    means = np.array([1505.0, 1528.0, 1564.0, 1498.0, 1600.0, 1470.0])
    found = np.array(drawn_in(means, [2451.25 / 5] * 6)) - means.mean()
    printed = [-17.60685, 0.39126, 28.56223, -23.08454, 56.73319, -44.99529]
    assert found == pytest.approx(printed, abs=1e-3)


def test_what_is_all_chance_comes_back_to_the_mean():
    assert drawn_in([1.0, -1.0, 0.0], [50.0] * 3) == pytest.approx([0.0] * 3)
    assert isinstance(drawn_in([1.0, 2.0], [1.0, 1.0]), TooLittle)


# Fifteen chances of which the procedure calls four at 5 %, where Bonferroni calls three.
