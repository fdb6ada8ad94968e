"""Between the stock swings, and the card in other air, against outside values."""

from dataclasses import replace
from math import radians, sin, sqrt

import numpy as np
import pytest
from scipy import stats

from practice.measures.air import moist_air_density, standard_atmosphere
from practice.measures.answers import BadData, Estimate, TooLittle
from practice.measures.days import DayLevel
from practice.measures.flight import Launch, Wind, carry_ratio, fly
from practice.measures.gaps import BEND, between, in_between
from practice.measures.trend import TargetState, when_reached
from practice.measures.weather import card_in_air, density_at, launch_that_carries
from practice.measures.wedges import Cell
from tests.outside.sources import checks


def with_figures(seed, n, mean, deviation):
    x = np.random.default_rng(seed).standard_normal(n)
    return (x - x.mean()) / x.std(ddof=1) * deviation + mean


# Tukey's example: NIST/SEMATECH e-Handbook 7.4.7.1, four groups of five.
TUKEY = [
    [6.9, 5.4, 5.8, 4.6, 4.0],
    [8.3, 6.8, 7.8, 9.2, 6.5],
    [8.0, 10.5, 8.1, 6.9, 9.3],
    [5.8, 3.8, 6.1, 5.6, 6.2],
]


def of_one_day(balls):
    """A level of days that do not differ: the plain mean and its standard error."""
    mean, spread, n = float(np.mean(balls)), float(np.std(balls, ddof=1)), len(balls)
    low, high = stats.t.interval(0.95, n - 1, mean, spread / sqrt(n))
    return DayLevel(Estimate(mean, "m", low, high, n), (n,), 0.0, spread, n - 1)


@checks(between, source="JCGM 100:2008 G.4.1, Welch-Satterthwaite by hand", cases=2)
def test_swing_between_two_by_hand():
    a, b = with_figures(3, 5, 50, 2), with_figures(4, 10, 62, 3)
    found = between(of_one_day(a), of_one_day(b), 0.25)
    bend = (BEND * 12 * 0.25 * 0.75) ** 2
    one, two = 0.75**2 * 4 / 5, 0.25**2 * 9 / 10
    known = one + two + bend
    freedom = known**2 / (one**2 / 4 + two**2 / 9)
    assert found.mean.value == pytest.approx(53)
    assert found.mean.high - 53 == pytest.approx(stats.t.ppf(0.975, freedom) * sqrt(known))
    ball_one, ball_two = one + 0.75 * 4, two + 0.25 * 9
    ball = ball_one + ball_two + bend
    freedom = ball**2 / (ball_one**2 / 4 + ball_two**2 / 9)
    assert found.next_ball.high - 53 == pytest.approx(stats.t.ppf(0.975, freedom) * sqrt(ball))


@checks(between, source="scipy.stats.t: at either end it is the plain interval of that swing")
def test_at_the_ends_it_is_the_swing_itself():
    a, b = with_figures(3, 5, 50, 2), with_figures(4, 10, 62, 3)
    for part, balls in ((0, a), (1, b)):
        low, high = stats.t.interval(0.95, balls.size - 1, balls.mean(), stats.sem(balls))
        found = between(of_one_day(a), of_one_day(b), part)
        assert [found.mean.low, found.mean.high] == pytest.approx([low, high])


@checks(between, source="JCGM 100:2008 5.1.2: a day that all balls share adds its own variance")
def test_days_that_differ_widen_both_by_hand():
    one, two = (replace(of_one_day(with_figures(3, 8, m, 2)), between=1.5) for m in (50, 62))
    found = between(one, two, 0.5)
    apart = (found.spread**2 - between(of_one_day(with_figures(3, 8, 50, 2)), of_one_day(
        with_figures(3, 8, 62, 2)), 0.5).spread**2)  # fmt: skip
    assert apart == pytest.approx(1.5**2)


@checks(in_between, source="House rule by hand: linear interpolation between two lengths")
def test_between_two_lengths_of_a_club():
    card = {
        Cell("54", "hip"): [47, 48, 49],
        Cell("54", "chest"): [56, 57, 58],
        Cell("50", "hip"): [59, 60, 61],
        Cell("50", "chest"): [70.0, 71, 72],
    }
    card = {cell: of_one_day(balls) for cell, balls in card.items()}
    (found,) = in_between(card, 64.4)
    assert (found.shorter, found.longer) == (Cell("50", "hip"), Cell("50", "chest"))
    assert found.part == pytest.approx(0.4)
    assert found.carry.next_ball.value == pytest.approx(64.4)
    assert found.expected == pytest.approx(stats.norm(0, found.carry.spread).expect(abs), rel=1e-6)
    assert in_between(card, 90) == []
    assert isinstance(in_between({Cell("54", "hip"): of_one_day([1, 2, 3])}, 50), TooLittle)


@checks(
    density_at, source="U.S. Standard Atmosphere 1976 with CIPM-2007: 0 % at 15 degrees, 1.2255"
)
def test_density_at_a_place():
    # Dry air at 15 degrees at the sea: CIPM-2007 by an independent implementation (masscor).
    assert density_at(0, 15, 0) == pytest.approx(1.22552134473, rel=2e-7)
    # 2,000 m: the standard's own temperature and pressure give its own density to 1e-3.
    celsius, pressure, density = 275.154 - 273.15, 79501, 1.0066
    assert density_at(2000, celsius, 0) == pytest.approx(density, rel=1e-3)
    assert density_at(2000, celsius, 0.5) == pytest.approx(
        moist_air_density(celsius, pressure, 0.5), rel=6e-5
    )
    assert standard_atmosphere(2000)[1] == pytest.approx(pressure, rel=6e-5)


@checks(launch_that_carries, source="Range in a vacuum, v^2 sin(2a) / g (any mechanics text)")
def test_launch_found_from_the_carry():
    found = launch_that_carries(60, 0.0, angle=30)
    assert found.speed == pytest.approx(sqrt(60 * 9.80665 / sin(radians(60))), rel=1e-5)
    there = launch_that_carries(80, 1.2)
    assert fly(there, 1.2).carry == pytest.approx(80, abs=0.01)
    with pytest.raises(BadData):
        launch_that_carries(400, 1.2)


@checks(
    card_in_air,
    source="Bearman & Harvey (1976) table, one mile up: a wedge gains 7.2 %, a drive 4.3 % (own run)",
    cases=2,
)
def test_a_card_a_mile_up():
    """Another set of coefficients than ours: they agree within the band that is shown."""
    drive, wedge = Cell("driver", "full"), Cell("54", "full")
    launches = {drive: Launch(70, 10, 2600), wedge: Launch(40, 30, 6000)}
    thin, sea = standard_atmosphere(1609.344)[2], standard_atmosphere(0)[2]
    found = card_in_air({drive: 218.149, wedge: 102.311}, thin, sea, launches=launches)
    for cell, published in ((drive, 218.149 * 1.04333), (wedge, 102.311 * 1.07216)):
        assert found[cell].low <= published <= found[cell].high
        assert not found[cell].assumed
    # A rule of one percentage for all clubs is wrong.
    gains = [found[drive].carry / 218.149, found[wedge].carry / 102.311]
    assert gains[1] - gains[0] > 0.005


@checks(card_in_air, source="Definition: the same air shifts nothing, and so does no air at all")
def test_the_same_air_shifts_nothing():
    cell = Cell("54", "hip")
    found = card_in_air({cell: 45.0}, 1.2, 1.2)[cell]
    assert found.carry == pytest.approx(45, rel=1e-6)
    assert found.assumed
    launch = launch_that_carries(45, 1.2)
    wind = Wind(-3, 4)
    ratio = carry_ratio(launch, 1.0, 1.2, wind=wind)
    other = card_in_air({cell: 45.0}, 1.0, 1.2, wind=wind)[cell]
    assert [other.carry, other.low, other.high, other.side] == pytest.approx(
        [45 * ratio.carry, 45 * ratio.low, 45 * ratio.high, 45 * ratio.side], rel=1e-5
    )


@checks(
    when_reached, source="R datasets::cars: the three roots of inverse prediction (own figures)"
)
def test_when_a_target_is_reached():
    from tests.outside.test_measures_speed import SPEED, STOP

    # Speeds read as days, so that the span is 21 once stretched.
    days = [each * 2 for each in SPEED]
    found = when_reached(days, STOP, 90)
    assert found.goal is TargetState.DATED
    slope, intercept = 3.932408759 / 2, -17.579094891
    assert found.days.likely == pytest.approx((90 - intercept) / slope, rel=1e-8)
    at = found.days.earliest
    n, mean, squares = 50, np.mean(days), np.var(days) * 50
    reach = stats.t.ppf(0.975, 48) * 15.3795867 * sqrt(1 + 1 / n + (at - mean) ** 2 / squares)
    assert intercept + slope * at + reach == pytest.approx(90, abs=1e-5)
    assert found.days.secure is None or found.days.secure <= max(days) + np.ptp(days)


def test_what_a_target_may_also_be():
    days = [7.0 * i for i in range(10)]
    rising = [60 + 0.1 * day + (0.3 if day % 2 else -0.3) for day in days]
    assert when_reached(days, rising, 62).goal is TargetState.REACHED
    assert when_reached(days, rising, 90).goal is TargetState.TOO_FAR
    assert when_reached(days, rising[::-1], 70).goal is TargetState.NOT_ON_TREND
    assert when_reached(days, [60.0, 61.0] * 5, 70).goal is TargetState.NOT_ON_TREND
    assert when_reached(days[:5], rising[:5], 70).missing == 3
    assert when_reached(range(10), rising, 70).need == 21
