"""What the days of a studio tell beforehand, against published moments and known truths."""

from math import exp, pi, sqrt

import numpy as np
import pytest
from scipy import special, stats

from practice.measures.answers import BadData
from practice.measures.studio import (
    LEAST_STUDENTS,
    DaySeries,
    prior_of,
    series_of_balls,
    series_of_figures,
    series_of_shares,
    spread_of_days,
    trigamma_at,
)
from practice.measures.usual import USUAL_REPS, DaySpread
from tests.outside.sources import checks

HOUSE = DaySpread(0.85, freedom=6, alike=0.5)


# Trigamma at 1, 1/2, 2: pi^2/6, pi^2/2, pi^2/6 - 1.
@checks(trigamma_at, source="Abramowitz & Stegun (1964), 6.4.2 and 6.4.4 (memory)", cases=3)
@pytest.mark.parametrize(
    ("value", "at"), [(pi**2 / 6, 1.0), (pi**2 / 2, 0.5), (pi**2 / 6 - 1, 2.0)]
)
def test_where_the_trigamma_has_a_value(value, at):
    assert trigamma_at(value) == pytest.approx(at, rel=1e-8)
    assert special.polygamma(1, trigamma_at(value)) == pytest.approx(value, rel=1e-8)


@checks(prior_of, source="Smyth (2004), section 6.2: moments of log F, by scipy.stats.f", cases=2)
@pytest.mark.parametrize("freedom", [4.0, 20.0])
def test_the_prior_of_a_variance_from_many(freedom):
    """Variances that are F of 9 and so many degrees, at evenly spaced chances."""
    chances = (np.arange(4000) + 0.5) / 4000
    variances = 2.5 * stats.f(9, freedom).ppf(chances)
    scale, found = prior_of(variances, np.full(4000, 9.0))
    assert scale == pytest.approx(2.5, rel=0.01)
    assert found == pytest.approx(freedom, rel=0.03)


@checks(prior_of, source="Smyth (2004): no spread beyond chance is an infinite freedom")
def test_variances_that_are_alike_have_a_sure_prior():
    assert prior_of([2.0, 2.0, 2.0], [9, 9, 9]) == (pytest.approx(2.0), float("inf"))
    with pytest.raises(BadData):
        prior_of([1.0, 0.0], [9, 9])


def students(random, number, alike, spread=0.6, differ=0.0):
    for _ in range(number):
        days = int(random.integers(6, 20))
        own = spread * exp(differ * random.normal())
        form = [random.normal()]
        for _ in range(days - 1):
            form.append(alike * form[-1] + sqrt(1 - alike**2) * random.normal())
        yield 65 + own * np.array(form) + 0.05 * np.arange(days)


@checks(
    spread_of_days,
    series_of_figures,
    source="Marriott & Pope (1954) Biometrika 41, 390: the bias that is to be avoided",
    cases=2,
)
@pytest.mark.parametrize("alike", [0.0, 0.5])
def test_spread_and_likeness_of_short_series_come_out_as_they_are(alike):
    """Plainly reckoned, a series of twelve looks (1 + 3 alike) / 12 less alike: 0.21 at 0.5."""
    random = np.random.default_rng(7)
    found = [
        spread_of_days([series_of_figures(s) for s in students(random, 40, alike)], HOUSE)
        for _ in range(12)
    ]
    assert np.mean([each.ratio for each in found]) == pytest.approx(0.6, abs=0.04)
    assert np.mean([each.alike for each in found]) == pytest.approx(alike, abs=0.06)
    assert min(each.students for each in found) == 40


def test_students_who_differ_make_the_prior_worth_less():
    random = np.random.default_rng(8)
    same, other = (
        spread_of_days(
            [series_of_figures(s) for s in students(random, 40, 0.0, differ=d)], HOUSE
        ).freedom
        for d in (0.0, 0.6)
    )
    assert other < 6
    assert same > 20


@checks(
    spread_of_days,
    source="Definition: binomial shares of days of this spread and likeness, drawn by numpy",
)
@pytest.mark.parametrize(
    ("spread", "alike", "at_least", "at_most"), [(0.13, 0.0, 0.0, 0.23), (0.3, 0.5, 0.45, 0.65)]
)
def test_few_tries_a_day_are_not_taken_for_likeness(spread, alike, at_least, at_most):
    """Twelve tries hide days that hardly differ: what they seem to show of neighbours is noise.

    Taken at its word it had come to 0.32 on average where days are not alike at all.
    """
    random, found = np.random.default_rng(12), []
    for _ in range(60):
        series = []
        for _ in range(12):
            form = [random.normal()]
            for _ in range(11):
                form.append(alike * form[-1] + sqrt(1 - alike**2) * random.normal())
            share = np.clip(0.5 + 0.5 * spread * np.array(form), 0.02, 0.98)
            series.append(series_of_shares([(int(n), 12) for n in random.binomial(12, share)]))
        found.append(spread_of_days(series, USUAL_REPS, of_tries=True).alike)
    assert at_least < np.mean(found) < at_most


def test_a_few_students_tell_nothing():
    random = np.random.default_rng(9)
    few = [series_of_figures(s) for s in students(random, LEAST_STUDENTS - 1, 0.0)]
    assert spread_of_days(few, HOUSE) is HOUSE
    assert spread_of_days([], HOUSE) is HOUSE
    assert series_of_figures([60.0] * 4) is None


@checks(DaySeries, source="numpy.polyfit: what a line leaves")
def test_a_straight_line_is_taken_off():
    random = np.random.default_rng(3)
    figures = random.normal(60, 2, 9)
    line = np.polyval(np.polyfit(np.arange(9), figures, 1), np.arange(9))
    assert series_of_figures(figures).left == pytest.approx(figures - line)


@checks(series_of_balls, source="Definition: a one-way model, days of spread 0.7 of a ball's")
@pytest.mark.parametrize("of_medians", [True, False])
def test_balls_within_days_are_taken_off(of_medians):
    random = np.random.default_rng(10)
    series = [
        series_of_balls(
            [70 + 3 * (0.7 * random.normal() + random.normal(size=8)) for _ in range(12)],
            of_medians=of_medians,
        )
        for _ in range(80)
    ]
    found = spread_of_days(series, DaySpread(0.3))
    assert found.ratio == pytest.approx(0.7, abs=0.06)
    assert series_of_balls([[1.0]] * 9, of_medians=of_medians) is None


@checks(series_of_shares, source="Definition: shares whose days differ by 0.3 of one try's spread")
def test_tries_within_days_are_taken_off():
    random = np.random.default_rng(11)
    series = [
        series_of_shares(
            [
                (int(random.binomial(12, np.clip(0.5 + 0.15 * random.normal(), 0, 1))), 12)
                for _ in range(14)
            ]
        )
        for _ in range(80)
    ]
    assert spread_of_days(series, DaySpread(0.6)).ratio == pytest.approx(0.3, abs=0.05)
    assert series_of_shares([(0, 10)] * 9) is None


def test_days_that_are_all_the_same_do_no_harm():
    flat = [series_of_figures([60.0] * 8) for _ in range(5)]
    assert 0 < spread_of_days(flat, HOUSE).ratio < HOUSE.ratio
