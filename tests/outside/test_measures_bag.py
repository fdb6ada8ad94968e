"""Fewer balls by neighbouring swings, and the best bag: beside libraries and simulated truths."""

from itertools import pairwise, product
from math import sqrt

import numpy as np
import pytest

from practice.measures.answers import BadData, TooLittle
from practice.measures.bag import SwingKnown, at_loft, best_bags, nearer, nearest_of
from practice.measures.days import level_over_days
from practice.measures.neighbours import leaned
from practice.measures.usual import DaySpread
from practice.measures.wedges import Cell
from tests.outside.sources import checks

CLUBS, LENGTHS = ("58", "54", "50", "46"), ("hip", "chest", "full")
USUAL = DaySpread(0.7)


def card_of(random, *, days=3, balls=4, apart=1.5, spread=3.0):
    """Truths that add up, give or take `apart`, and levels over days of few balls."""
    truths = {
        Cell(club, length): 40 + 12.0 * n + (0.0, 11.0, 46.0)[m] + apart * random.normal()
        for (n, club), (m, length) in product(enumerate(CLUBS), enumerate(LENGTHS))
    }
    levels = {
        cell: level_over_days(
            [
                random.normal(truth + 0.7 * spread * random.normal(), spread, balls)
                for _ in range(days)
            ],
            "m",
            USUAL,
        )
        for cell, truth in truths.items()
    }
    return truths, levels


@checks(leaned, source="statsmodels WLS at the moment estimate of Fay and Herriot (1979)")
def test_a_swing_leans_on_clubs_and_lengths_as_fay_and_herriot_have_it():
    import statsmodels.api as sm

    _, levels = card_of(np.random.default_rng(3), apart=4.0)
    found = leaned(levels)
    cells = sorted(levels)
    y = np.array([levels[cell].estimate.value for cell in cells])
    own = np.array([levels[cell].error ** 2 for cell in cells])
    design = np.array(
        [
            [
                1.0,
                *(cell.club == each for each in CLUBS[1:]),
                *(cell.length == each for each in LENGTHS[1:]),
            ]
            for cell in cells
        ]
    )
    weights = 1 / (found.apart**2 + own)
    fit = sm.WLS(y, design, weights=weights).fit()
    # Their equation: as many weighted squares as swings beyond the coefficients.
    assert float(weights @ fit.resid**2) == pytest.approx(len(cells) - 6, rel=1e-6)
    for n, cell in enumerate(cells):
        alone = found.apart**2 * weights[n]
        assert found.swings[cell].alone == pytest.approx(alone)
        middle = alone * y[n] + (1 - alone) * fit.fittedvalues[n]
        assert found.swings[cell].carry.value == pytest.approx(middle)


@checks(leaned, source="Simulation: cards that add up more or less", cases=3)
@pytest.mark.parametrize("apart", [0.0, 1.5, 5.0])
def test_what_neighbours_tell_holds_as_often_as_it_says(apart):
    random = np.random.default_rng(int(10 * apart))
    held, narrower, miss, alone = [], [], [], []
    for _ in range(120):
        truths, levels = card_of(random, apart=apart)
        for cell, found in leaned(levels).swings.items():
            truth, own = truths[cell], levels[cell]
            held.append(found.carry.low <= truth <= found.carry.high)
            narrower.append((found.carry.high - found.carry.low) / 2 / own.half)
            miss.append((found.carry.value - truth) ** 2)
            alone.append((own.estimate.value - truth) ** 2)
    assert 0.93 <= np.mean(held) <= 0.985
    assert max(narrower) <= 1 + 1e-9
    assert sqrt(np.mean(miss)) < sqrt(np.mean(alone))
    print(
        f"{apart:g} m: {np.mean(narrower):.2f} as wide, {sqrt(np.mean(miss) / np.mean(alone)):.2f} off"
    )
    if apart <= 1.5:
        assert np.mean(narrower) < 0.95


def test_swings_that_share_nothing_lean_on_nothing():
    _, levels = card_of(np.random.default_rng(4))
    few = {cell: levels[cell] for cell in (Cell("58", "hip"), Cell("54", "chest"))}
    assert isinstance(leaned(few), TooLittle)
    assert isinstance(leaned({}), TooLittle)
    # The only swing of its club keeps its own figure.
    lone = {cell: known for cell, known in levels.items() if cell.club != "46"}
    lone[Cell("46", "hip")] = levels[Cell("46", "hip")]
    found = leaned(lone).swings[Cell("46", "hip")]
    assert found.carry.value == pytest.approx(lone[Cell("46", "hip")].estimate.value)
    assert (found.carry.high - found.carry.low) / 2 == pytest.approx(
        lone[Cell("46", "hip")].half, rel=1e-6
    )


def by_integer_program(table, weights, held):
    """The p-median as a mixed-integer program: serve each distance by one club that is held."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    clubs, distances = table.shape
    costs = np.concatenate([(table * weights).ravel(), np.zeros(clubs)])
    rows, low, high = [], [], []
    for k in range(distances):
        row = np.zeros(costs.size)
        row[k : clubs * distances : distances] = 1
        rows, low, high = [*rows, row], [*low, 1], [*high, 1]
    for n, k in product(range(clubs), range(distances)):
        row = np.zeros(costs.size)
        row[n * distances + k], row[clubs * distances + n] = 1, -1
        rows, low, high = [*rows, row], [*low, -np.inf], [*high, 0]
    row = np.zeros(costs.size)
    row[clubs * distances :] = 1
    rows, low, high = [*rows, row], [*low, held], [*high, held]
    found = milp(
        costs,
        constraints=LinearConstraint(np.array(rows), low, high),
        bounds=Bounds(0, 1),
        integrality=np.ones(costs.size),
    )
    return found.fun / weights.sum()


@checks(best_bags, source="scipy.optimize.milp: the p-median as an integer program", cases=3)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_best_bag_is_that_of_an_integer_program(seed):
    random = np.random.default_rng(seed)
    table, weights = random.uniform(1, 20, (6, 9)), random.integers(1, 9, 9).astype(float)
    bags = best_bags({str(n): row for n, row in enumerate(table)}, weights)
    assert [len(bag.clubs) for bag in bags] == [1, 2, 3, 4, 5, 6]
    for bag in bags:
        best = by_integer_program(table, weights, len(bag.clubs))
        assert bag.expected == pytest.approx(best, rel=1e-7)
        chosen = table[[int(club) for club in bag.clubs]].min(axis=0)
        assert bag.expected == pytest.approx(float(weights @ chosen / weights.sum()))


def test_one_club_is_no_choice_and_too_many_are_refused():
    assert isinstance(best_bags({"58": [1.0]}, [1]), TooLittle)
    with pytest.raises(BadData):
        best_bags({str(n): [1.0] for n in range(13)}, [1])
    with pytest.raises(BadData):
        best_bags({"58": [1.0], "54": [2.0]}, [0])


@checks(nearest_of, source="Simulation: the mean distance of normal balls from a target")
def test_the_nearest_swing_is_the_one_that_ends_nearest():
    random = np.random.default_rng(6)
    swings, spreads = [60.0, 66.0], [4.0, 2.0]
    found = nearest_of(swings, spreads, [60.0, 63.0, 66.0])
    for at, miss in zip([60.0, 63.0, 66.0], found, strict=True):
        ends = [
            np.abs(random.normal(carry, spread, 60_000) - at).mean()
            for carry, spread in zip(swings, spreads, strict=True)
        ]
        assert miss == pytest.approx(min(ends), abs=0.03)


@checks(at_loft, source="numpy.interp by hand: carry changes evenly from loft to loft")
def test_a_loft_between_two_that_were_hit():
    card = {
        Cell("58", "hip"): SwingKnown(36.0, 2.0),
        Cell("50", "hip"): SwingKnown(60.0, 4.0),
        Cell("58", "full"): SwingKnown(80.0, 3.0),
    }
    lofts = {"58": 58.0, "50": 50.0}
    assert at_loft(card, lofts, 52.0) == {"hip": SwingKnown(54.0, 3.5)}
    assert at_loft(card, lofts, 62.0) == {}


def swings_of(random, apart, *, days=3, balls=6):
    """A card of the truth, and the same as few balls of few days tell it."""
    truths, found = {}, {}
    for (n, club), (m, length) in product(enumerate(CLUBS), enumerate(LENGTHS)):
        cell = Cell(club, length)
        carry = 40 + apart * n + (0.0, 11.0, 40.0)[m] + 1.5 * random.normal()
        rows = [random.normal(carry + 0.7 * 3 * random.normal(), 3.0, balls) for _ in range(days)]
        level, each = level_over_days(rows, "m", USUAL), np.concatenate(rows)
        spread, freedom = float(each.std(ddof=1)), each.size - 1
        truths[cell] = SwingKnown(carry, 3.0 * sqrt(1 + 0.7**2))
        found[cell] = SwingKnown(
            float(each.mean()), spread, level.half / 1.96, spread / sqrt(2 * freedom)
        )
    return truths, found


def bags_of(swings, met):
    table = {
        club: nearest_of(
            [s.carry for cell, s in swings.items() if cell.club == club],
            [s.spread for cell, s in swings.items() if cell.club == club],
            list(met),
        )
        for club in CLUBS
    }
    return best_bags(table, list(met.values()))


MET = {float(at): 1.0 for at in range(45, 110, 5)}


@checks(nearer, source="Oehlert (1992): the delta method, its slopes by scipy.optimize", cases=3)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_where_clubs_lie_apart_the_interval_is_that_of_the_delta_method(seed):
    from scipy.optimize import approx_fprime

    _, swings = swings_of(np.random.default_rng(seed), 12.0, days=12)
    cells, (fewer, bag) = list(swings), (("58", "46"), CLUBS)

    def gain(figures):
        carries, spreads = figures[: len(cells)], figures[len(cells) :]
        card = {
            c: SwingKnown(*each)
            for c, each in zip(cells, zip(carries, spreads, strict=True), strict=True)
        }
        return nearer(card, MET, [(bag, fewer)])[0].value

    known = list(swings.values())
    at = np.array([*(s.carry for s in known), *(s.spread for s in known)])
    errors = np.array([*(s.carry_error for s in known), *(s.spread_error for s in known)])
    (found,) = nearer(swings, MET, [(bag, fewer)])
    expected = sqrt(float(((approx_fprime(at, gain, 1e-5) * errors) ** 2).sum()))
    assert (found.high - found.low) / 2 / 1.96 == pytest.approx(expected, rel=0.12)


@checks(nearer, source="Simulation: cards whose truth is known, clubs far apart and alike", cases=3)
@pytest.mark.parametrize("apart", [8.0, 3.0, 0.0])
def test_what_a_club_more_brings_is_held_as_often_as_it_says(apart):
    random = np.random.default_rng(int(apart) + 1)
    held, wrongly, rivals = [], 0, 0
    for _ in range(50):
        truths, swings = swings_of(random, apart)
        bags = bags_of(swings, MET)
        for fewer, bag in pairwise(bags):
            (found,), (truth,) = (
                nearer(card, MET, [(bag.clubs, fewer.clubs)]) for card in (swings, truths)
            )
            held.append(found.low <= truth.value <= found.high)
        for bag in bags[:-1]:
            (found,), (truth,) = (
                nearer(card, MET, [(bag.clubs, bag.rival)]) for card in (swings, truths)
            )
            rivals += 1
            wrongly += found.is_told and truth.value <= 0
    assert 0.90 <= np.mean(held) <= 0.99
    assert wrongly <= 0.05 * rivals


def test_a_bag_has_a_swing_and_a_distance_to_go():
    swings = {Cell("58", "hip"): SwingKnown(40.0, 2.0, 1.0)}
    with pytest.raises(BadData):
        nearer(swings, {40.0: 1}, [(("58",), ("54",))])
    with pytest.raises(BadData):
        nearer(swings, {40.0: 0}, [(("58",), ("58",))])
    (alike,) = nearer(swings, {40.0: 1}, [(("58",), ("58",))])
    assert (alike.value, alike.low, alike.high) == (0.0, 0.0, 0.0)
