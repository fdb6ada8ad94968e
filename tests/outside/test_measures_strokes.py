"""What ending nearer is worth: beside printed shares, a library's interval and simulated days."""

import numpy as np
import pytest
from scipy import stats

from practice.measures.answers import BadData, TooLittle
from practice.measures.strokes import FOOT, putts_from, saved_by_nearer
from tests.outside.sources import checks


@checks(
    putts_from,
    source="Shares of one, two and three putts as printed (dalewoodsblog, 29 January 2015)",
    cases=5,
)
@pytest.mark.parametrize(
    ("feet", "one", "two", "three"),
    [
        (7.5, 0.50, 0.49, 0.005), (12, 0.30, 0.69, 0.009), (20, 0.14, 0.84, 0.02),
        (32, 0.06, 0.88, 0.06), (40, 0.04, 0.86, 0.10),
    ],
)  # fmt: skip
def test_putts_from_a_distance(feet, one, two, three):
    (putts,) = putts_from([feet * FOOT])
    assert putts == pytest.approx(one + 2 * two + 3 * three, abs=0.04)


@checks(putts_from, source="Shares holed by tour players as printed (myavidgolfer, after Broadie)")
def test_no_fewer_putts_than_the_share_holed_allows():
    for feet, holed in ((2, 99), (3, 96), (4, 88), (5, 77), (10, 40), (15, 23), (30, 7), (60, 2)):
        (putts,) = putts_from([feet * FOOT])
        assert 2 - holed / 100 - 0.01 <= putts <= 2 - holed / 100 + 0.25
    assert putts_from([27.432, 60]).tolist() == [2.4, 2.4]
    with pytest.raises(BadData):
        putts_from([-1])


@checks(saved_by_nearer, source="scipy.stats.ttest_1samp over the means of the days")
def test_saved_beside_a_library():
    days = [[3.0, 4.5, 6.0], [2.0, 2.5], [8.0, 1.0, 4.0, 5.5], [0.4]]
    by_day = [np.mean([putts_from([d])[0] - putts_from([0.8 * d])[0] for d in day]) for day in days]
    found = saved_by_nearer([*days, []])
    beside = stats.ttest_1samp(by_day, 0).confidence_interval(0.95)
    assert [found.saves.value, found.saves.low, found.saves.high] == pytest.approx(
        [np.mean(by_day), *beside]
    )
    assert (found.saves.n, found.ends) == (10, 3.5)
    assert isinstance(saved_by_nearer(days[:2]), TooLittle)


@checks(saved_by_nearer, source="Simulated truth: 400 students whose days differ", cases=2)
@pytest.mark.parametrize("days", [4, 8])
def test_the_interval_holds_where_days_differ(days):
    random = np.random.default_rng(days)

    def played(many):
        far = 6 * np.exp(0.25 * random.normal(size=(many, 1)))
        return far * np.hypot(random.normal(size=(many, 8)), random.normal(size=(many, 8))) / 1.25

    ends = played(40_000).ravel()
    truth = (putts_from(ends) - putts_from(0.8 * ends)).mean()
    found = [saved_by_nearer(list(played(days))).saves for _ in range(400)]
    held = sum(each.low <= truth <= each.high for each in found)
    assert 0.925 * 400 <= held <= 0.98 * 400


@checks(saved_by_nearer, source="By hand: from 10 feet to 8 feet saves 1.61 - 1.50 putts")
def test_saved_by_hand():
    found = saved_by_nearer([[10 * FOOT]] * 3)
    assert found.saves.value == pytest.approx(0.11)
    assert found.strokes == pytest.approx(1.61)
