"""Differences of shares and of means against printed values and a second library."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from practice.measures.answers import BadData, TooLittle
from practice.measures.difference import mean_difference, share_difference
from tests.outside.sources import checks

# Student (1908), extra hours of sleep under two drugs; R's data set `sleep`.
DRUG_1 = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0]
DRUG_2 = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4]


@checks(share_difference, source="Newcombe 1998 Stat Med 17:873 Table II, method 10 (from memory)")
@pytest.mark.parametrize(
    ("new", "old", "low", "high"),
    [
        # The simple interval would give 0.0575 and 0.3425 in the first.
        ((56, 70), (48, 80), 0.0524, 0.3339),
        ((9, 10), (3, 10), 0.1705, 0.8090),
        ((5, 56), (0, 29), -0.0381, 0.1926),
        ((0, 10), (0, 10), -0.2775, 0.2775),
        ((10, 10), (0, 10), 0.6075, 1.0),
    ],
)
def test_share_difference(new, old, low, high):
    found = share_difference(old, new)
    assert [found.low, found.high] == pytest.approx([low, high], abs=6e-5)


@checks(share_difference, source="statsmodels confint_proportions_2indep, newcomb")
@given(st.integers(1, 60), st.integers(1, 60), st.data())
def test_share_difference_by_another_library(tries, more, data):
    from statsmodels.stats.proportion import confint_proportions_2indep

    k, j = data.draw(st.integers(0, tries)), data.draw(st.integers(0, more))
    found = share_difference((j, more), (k, tries))
    theirs = confint_proportions_2indep(k, tries, j, more, method="newcomb", compare="diff")
    assert [found.low, found.high] == pytest.approx(theirs, abs=1e-9)


@checks(mean_difference, source="R's documentation of t.test, data sleep (Student 1908)")
def test_mean_difference():
    found = mean_difference(DRUG_2, DRUG_1, "h")
    assert [found.low, found.high] == pytest.approx([-3.3654832, 0.2054832], abs=5e-8)
    assert found.value == pytest.approx(0.75 - 2.33)


@checks(mean_difference, source="statsmodels CompareMeans.tconfint_diff, unequal variances")
@given(
    st.lists(st.integers(-500, 500), min_size=2, max_size=20),
    st.lists(st.integers(-500, 500), min_size=2, max_size=20),
)
def test_mean_difference_by_another_library(before, now):
    from statsmodels.stats.weightstats import CompareMeans, DescrStatsW

    if np.std(before) == 0 and np.std(now) == 0:
        with pytest.raises(BadData):
            mean_difference(before, now, "m")
        return
    found = mean_difference(before, now, "m")
    compare = CompareMeans(DescrStatsW(np.array(now)), DescrStatsW(np.array(before)))
    theirs = compare.tconfint_diff(usevar="unequal")
    assert [found.low, found.high] == pytest.approx(theirs, rel=1e-9, abs=1e-9)


def test_too_little_and_bad_data():
    assert isinstance(share_difference((0, 0), (1, 2)), TooLittle)
    assert mean_difference([1.0], [1.0, 2.0], "m") == TooLittle(
        "Both stretches need two figures.", 1, 2
    )
    for bad in ((3, 2), (-1, 2), (0.5, 2)):
        with pytest.raises(BadData):
            share_difference(bad, (1, 2))
    with pytest.raises(BadData):
        mean_difference([1.0, float("nan")], [1.0, 2.0], "m")


@given(st.lists(st.integers(0, 1000), min_size=3, max_size=10), st.floats(0.1, 10))
def test_a_change_of_unit_changes_only_the_unit(figures, factor):
    now = [*figures[1:], figures[0] + 7, 3]
    plain = mean_difference(figures, now, "m")
    scaled = mean_difference([factor * x for x in figures], [factor * x for x in now], "yd")
    wanted = [factor * x for x in (plain.value, plain.low, plain.high)]
    assert [scaled.value, scaled.low, scaled.high] == pytest.approx(wanted, rel=1e-9, abs=1e-9)
