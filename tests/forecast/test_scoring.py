"""Scores against published examples and other libraries.

Sources are named beside each check.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coaching.forecast import scoring
from coaching.forecast.scoring import Course, days_of_warning


def test_brier_of_a_documented_example():
    """scikit-learn, brier_score_loss: 0.0375."""
    assert scoring.brier([0.1, 0.9, 0.8, 0.3], [False, True, True, False]) == pytest.approx(0.0375)


def test_roc_area_of_documented_examples():
    """scikit-learn, roc_auc_score: 0.75; with ties, half credit: 0.75."""
    assert scoring.roc_area([0.1, 0.4, 0.35, 0.8], [False, False, True, True]) == 0.75
    assert scoring.roc_area([0.5, 0.5, 0.5, 0.2], [True, True, False, False]) == 0.75


# Hanley & McNeil 1982, Radiology 143:29, table 1: 109 images rated 1 (definitely
# normal) to 5; area 0.893 (table and area from memory).
NORMAL, DISEASED = (33, 6, 6, 11, 2), (3, 2, 2, 11, 33)


def rated() -> tuple[list[float], list[bool]]:
    scores = [
        (float(rating), is_diseased)
        for counts, is_diseased in ((NORMAL, False), (DISEASED, True))
        for rating, count in enumerate(counts, start=1)
        for _ in range(count)
    ]
    return [s for s, _ in scores], [y for _, y in scores]


def test_roc_area_of_hanley_and_mcneil():
    assert scoring.roc_area(*rated()) == pytest.approx(0.893, abs=0.0005)


def test_roc_area_is_the_share_of_mann_and_whitney():
    from scipy.stats import mannwhitneyu

    scores, came = rated()
    yes = [s for s, y in zip(scores, came, strict=True) if y]
    no = [s for s, y in zip(scores, came, strict=True) if not y]
    statistic = mannwhitneyu(yes, no).statistic
    assert scoring.roc_area(scores, came) == pytest.approx(statistic / len(yes) / len(no))


few_values = st.lists(
    st.tuples(st.sampled_from([0.05, 0.15, 0.35, 0.55, 0.85, 1.0]), st.booleans()), min_size=1
)


@given(few_values)
def test_brier_is_reliability_less_resolution_plus_uncertainty(pairs):
    """Murphy 1973, J. Appl. Meteorol. 12:595; exact where each bin holds one value."""
    chances, came = [p for p, _ in pairs], [y for _, y in pairs]
    bins, share = scoring.calibration(chances, came), sum(came) / len(came)
    reliability = sum(each.count * (each.said - each.came) ** 2 for each in bins) / len(came)
    resolution = sum(each.count * (each.came - share) ** 2 for each in bins) / len(came)
    assert reliability - resolution + share * (1 - share) == pytest.approx(
        scoring.brier(chances, came)
    )


def test_skill_is_against_the_overall_share():
    came = [True, True, False, False]
    assert scoring.skill([0.5] * 4, came) == 0
    assert scoring.skill([1, 1, 0, 0], came) == 1
    assert scoring.skill([1, 1], [True, True]) is None
    assert scoring.roc_area([1, 1], [True, True]) is None


def test_calibration_counts_each_bin():
    bins = scoring.calibration([0.0, 0.05, 0.95, 1.0], [False, True, True, True])
    assert [(b.count, b.said, b.came) for b in bins] == [(2, 0.025, 0.5), (2, 0.975, 1.0)]
    assert scoring.calibration_error(bins) == pytest.approx((0.475 + 0.025) / 2)


def test_bets_are_fair_where_the_one_is_not_nearer():
    """Ville 1939: over all outcomes of three weeks the bets are worth 1 on average.

    Of chances 0.7 and 0.5 the true one is 0.6: there both have the same squared error on
    average (exact; every outcome with its probability).
    """
    from itertools import product

    mean = 0.0
    for came in product((True, False), repeat=3):
        fits = 0.6 ** sum(came) * 0.4 ** (3 - sum(came))
        mean += fits * scoring.evidence([0.7] * 3, [0.5] * 3, came)
    assert mean == pytest.approx(1)


def test_bets_grow_with_each_case_by_the_difference_of_the_errors():
    """By hand: 0.25 - 0.04 = 0.21 nearer, twice; the mean of (1 + part x 0.21) squared."""
    found = scoring.evidence([0.8, 0.8], [0.5, 0.5], [True, True])
    by_hand = [(1 + part * 0.21) ** 2 for part in (0.125, 0.25, 0.5, 1.0)]
    assert found == pytest.approx(sum(by_hand) / 4)
    assert scoring.evidence([0.5, 0.5], [0.8, 0.8], [True, True]) < 1


def test_looking_every_week_convinces_by_chance_at_most_one_studio_in_20():
    """400 studios of 150 Wednesdays, looked at after each: two standard errors would convince
    far more often than that."""
    import numpy as np

    random = np.random.default_rng(8)
    ever = late = 0
    for _ in range(400):
        came = random.random(150) < 0.6
        nearer = (0.5 - came) ** 2 - (0.7 - came) ** 2
        worth = np.mean([np.cumprod(1 + part * nearer) for part in scoring.BETS], axis=0)
        ever += worth.max() >= 20
        n = np.arange(10, 151)
        mean = np.cumsum(nearer)[9:] / n
        late += (mean > 2 * nearer.std() / np.sqrt(n)).any()
    assert ever <= 0.05 * 400
    assert late > 0.08 * 400
    told = scoring.evidence([0.7] * 150, [0.5] * 150, list(came))
    assert told == pytest.approx(worth[-1])


@pytest.mark.parametrize(("chances", "came"), [([], []), ([0.5], [True, False]), ([1.5], [True])])
def test_what_cannot_be_scored_is_refused(chances, came):
    with pytest.raises(ValueError, match=r"outcomes|chance"):
        scoring.brier(chances, came)


# --- days of warning ---------------------------------------------------------------


def test_days_of_warning_by_hand():
    """Two good weeks with worries up to 1 and 3; one of them may be warned of.

    So warnings begin above 1: the first bad week is warned of at its third look of four,
    two days before the end; the second never.
    """
    courses = [
        Course((0, 0, 1, 1), True),
        Course((0, 3, 3, 3), True),
        Course((0, 1, 2, 5), False),
        Course((0, 0, 0, 1), False),
    ]
    assert days_of_warning(courses, 0.5) == pytest.approx((2 + 0) / 2)


def test_between_two_lines_the_right_part_of_each():
    """All worries alike in the good weeks: half the alarms are half of all or none."""
    courses = [Course((1, 1), True)] * 4 + [Course((1, 1), False)]
    assert days_of_warning(courses, 0.5) == pytest.approx(1.0)


def test_no_warning_without_both_outcomes():
    assert days_of_warning([Course((1, 1), True)], 0.1) is None


def test_a_week_never_warned_of_counts_as_known_at_its_end():
    """Two rules that warn the one bad week they see on the same evening: the one that misses
    the other bad week is not as early."""
    good = [Course((0, 0), True)] * 9 + [Course((0, 5), True)]
    sees_both = [*good, Course((9, 9), False), Course((0, 9), False)]
    sees_one = [*good, Course((9, 9), False), Course((0, 0), False)]
    assert days_of_warning(sees_both, 0.1) == pytest.approx(1.5)
    assert days_of_warning(sees_one, 0.1) == pytest.approx(1.0)


def test_the_interval_of_a_mean_is_that_of_scipys_bootstrap():
    import numpy as np
    from scipy.stats import bootstrap

    values = np.random.default_rng(2).gamma(2, 1, 150)
    low, high = scoring.interval(list(values), lambda drawn: sum(drawn) / len(drawn))
    theirs = bootstrap((values,), np.mean, method="percentile", rng=3).confidence_interval
    assert (low, high) == pytest.approx((theirs.low, theirs.high), abs=0.08)
    assert low < values.mean() < high


def test_no_interval_where_there_is_no_figure():
    assert scoring.interval([1, 2], lambda drawn: None) is None
