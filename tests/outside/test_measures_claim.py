"""Claims against published values, and against simulated students whose truth is known."""

from datetime import date, timedelta
from math import sqrt

import numpy as np
import pytest
from scipy import stats

from practice.measures.answers import TooLittle
from practice.measures.claim import (
    Answer,
    Days,
    change_of_levels,
    change_of_shares,
    claim_of,
    critical,
    seen_by,
    too_little,
)
from practice.measures.days import alike_days
from practice.measures.lately import change_of_figures
from practice.measures.tried import StepTries, freed_of_steps
from practice.measures.usual import DaySpread
from tests.outside.sources import checks

ALONE = DaySpread(0.3, freedom=1e9)


# The greatest of a Wald statistic over a stretch: roots of 7.93, 8.45, 8.85 and 9.84 at 5 %.
@checks(critical, source="Andrews (1993) Econometrica 61, 821, table I, p = 1 (memory)", cases=4)
@pytest.mark.parametrize(
    ("trimmed", "statistic"), [(0.25, 7.93), (0.20, 8.45), (0.15, 8.85), (0.05, 9.84)]
)
def test_the_multiple_that_holds_at_every_look(trimmed, statistic):
    ratio = ((1 - trimmed) / trimmed) ** 2
    # One look would take 1.96.
    assert critical(0.05, ratio, 1e9) == pytest.approx(sqrt(statistic), rel=0.015)


@checks(critical, source="Simulation: a Brownian motion beside 2.66 roots of its time, from 1 to 4")
def test_the_multiple_is_passed_as_often_as_it_says():
    random = np.random.default_rng(14)
    times = np.exp(np.linspace(0, np.log(4), 400))
    steps = np.sqrt(np.diff(times, prepend=0.0))
    paths = np.cumsum(random.normal(0, steps, (4000, 400)), axis=1) / np.sqrt(times)
    passed = (np.abs(paths) > critical(0.05, 4, 1e9)).any(axis=1).mean()
    assert passed == pytest.approx(0.05, abs=0.012)


@checks(claim_of, source="scipy.stats.ttest_ind: the standard error of a difference, pooled")
def test_a_claim_reaches_so_many_pooled_standard_errors():
    figures = np.array([58.0, 61, 60, 63, 66, 64, 65, 67])
    own = DaySpread(0.3, freedom=1e-9)
    claim = claim_of(Days(figures, np.full(8, 4.0), 0, own, 3), what="", unit="m", worth=1.0)
    test = stats.ttest_ind(figures[3:], figures[:3])
    assert claim.value == pytest.approx(5.3333333)
    assert claim.reach == pytest.approx(critical(0.05, 4, 6) * claim.value / test.statistic)


@checks(alike_days, source="Definition: an autoregression of order 1")
def test_neighbouring_days_are_alike():
    assert alike_days(3, 0.5) == pytest.approx(
        np.array([[1, 0.5, 0.25], [0.5, 1, 0.5], [0.25, 0.5, 1]])
    )


@checks(change_of_shares, source="House rule by hand: p (1 - p) (ratio^2 + 1 / n) a day")
def test_a_share_that_was_counted():
    days = [(4, 10), (5, 10), (4, 10), *[(9, 10)] * 8]
    claim = change_of_shares(days, 0.1, ALONE)
    p = 85.5 / 111
    error = sqrt(p * (1 - p) * (0.09 + 0.1) * (1 / 3 + 1 / 8))
    assert claim.reach == pytest.approx(critical(0.05, 4, 1e9) * error, rel=1e-6)
    assert (claim.answer, claim.better, claim.days, claim.balls) == (Answer.MOVED, True, 11, 110)


@checks(change_of_levels, source="House rule: less is better, so a miss that falls has moved")
def test_misses_that_fall_are_a_gain():
    days = [[9, 8, 10, 9]] * 3 + [[2, 3, 2, 1]] * 9
    claim = change_of_levels(days, "m", 1.0, ALONE)
    assert (claim.answer, claim.better, claim.worse) == (Answer.MOVED, True, False)
    assert isinstance(change_of_levels([[1.0, 1.0]] * 9, "m", 1.0), TooLittle)


@checks(too_little, change_of_figures, source="House rule: a start of four, then one at a time")
def test_three_days_are_too_little():
    assert change_of_figures([150, 151, 150, 152], 1.9, "mph", 1.9, start=4).missing == 1
    assert too_little(2, 3).missing == 2


@checks(freed_of_steps, source="numpy.linalg.lstsq: residuals of a table of steps")
def test_a_day_of_easy_steps_is_no_better_day():
    first = date(2031, 3, 1)
    random = np.random.default_rng(4)
    rows = [
        StepTries(
            first + timedelta(days=day), str(step), int(random.binomial(10, 0.9 - step / 200)), 10
        )
        for day in range(6)
        for step in (40, 60, 90)
        if day % 2 or step < 90
    ]
    design = np.array([[row.step == step for step in ("40", "60", "90")] for row in rows], float)
    shares = np.array([row.clean / row.tries for row in rows])
    left = shares - design @ np.linalg.lstsq(design, shares, rcond=None)[0]
    days = np.array([row.day.toordinal() for row in rows])
    for day, (clean, tries) in zip(np.unique(days), freed_of_steps(rows), strict=True):
        assert clean / tries - shares.mean() == pytest.approx(left[days == day].mean(), abs=1e-9)


@checks(seen_by, source="House rule: the reach of the interval where days differ as expected")
def test_more_days_and_more_balls_see_more():
    seen = [seen_by(8, 10), seen_by(8, 24), seen_by(20, 10)]
    assert seen[0] > seen[1]
    assert seen[0] > seen[2]
    error = sqrt(0.25 * (0.09 + 0.1) * (1 / 3 + 1 / 5))
    assert seen_by(8, 10, ALONE) == pytest.approx(critical(0.05, 4, 1e9) * error, rel=1e-6)


# --- simulated students ---

YEAR = 52


def looks(claims):
    return {claim.answer for claim in claims if not isinstance(claim, TooLittle)}


def alike(random, days, likeness):
    found = [random.normal()]
    for _ in range(days - 1):
        found.append(likeness * found[-1] + sqrt(1 - likeness**2) * random.normal())
    return np.array(found)


@pytest.mark.parametrize("likeness", [0.0, 0.5])
def test_of_flat_players_hardly_any_is_told_that_speed_moved_in_a_year(likeness):
    """The rule before told 25 of 100 within 20 tests."""
    random = np.random.default_rng(20 + int(10 * likeness))
    told = 0
    for _ in range(60):
        figures = np.round(150 + 1.9 * alike(random, YEAR, likeness))
        told += Answer.MOVED in looks(
            change_of_figures(figures[:n], 1.9, "mph", 1.9, start=4) for n in range(5, YEAR, 2)
        )
    assert told / 60 <= 0.10  # Two standard errors above 0.05.


def test_a_drill_that_adds_what_is_worth_having_is_hardly_ever_said_not_to():
    random = np.random.default_rng(22)
    told = 0
    for _ in range(60):
        form = 0.15 * alike(random, 30, 0.5)
        shares = np.clip(0.5 + form + 0.10 * (np.arange(30) >= 3), 0.02, 0.98)
        days = [(int(each), 12) for each in random.binomial(12, shares)]
        told += Answer.DID_NOT_MOVE in looks(
            change_of_shares(days[:n], 0.10) for n in range(4, 31, 2)
        )
    assert told / 60 <= 0.10


def test_a_large_gain_is_told():
    random = np.random.default_rng(23)
    told = 0
    for _ in range(40):
        figures = 150 + 1.9 * alike(random, 20, 0.3) + 8.0 * (np.arange(20) >= 4)
        claim = change_of_figures(figures, 1.9, "mph", 1.9, start=4)
        told += claim.better
    assert told / 40 > 0.6
