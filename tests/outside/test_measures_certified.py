"""Certified values to nine digits, and published run lengths of the chart."""

from itertools import product
from math import sqrt
from pathlib import Path

import numpy as np
import pytest

from practice.measures.answers import TooLittle
from practice.measures.chart import Rule, signals
from practice.measures.spread import components, spread
from practice.measures.trend import line, robust_slope
from tests.outside.sources import checks

NINE = 1e-9

# NIST StRD Michelso: speed of light by Michelson (1879), millions of m/s, 100 values.
# Written as hundredths of thousandths above 299 (data from memory; mean and deviation agree
# with the certified ones to fourteen digits, which no other numbers would do).
MICHELSON = """
850 740 900 1070 930 850 950 980 980 880 1000 980 930 650 760 810 1000 1000 960 960
960 940 960 940 880 800 850 880 900 840 830 790 810 880 880 830 800 790 760 800
880 880 880 860 720 720 620 860 970 950 880 910 850 870 840 840 850 840 840 840
890 810 810 820 800 770 760 740 750 760 910 920 890 860 880 720 840 850 850 780
890 840 780 810 760 810 790 810 820 850 870 870 810 740 810 940 950 800 810 870
"""


def alternating(first: float, low: float, high: float, pairs: int) -> list[float]:
    """How NIST made its NumAcc sets: a first value, then low and high by turns."""
    return [first, *[low, high] * pairs]


SETS = {
    "Michelso": (
        [299 + int(each) / 1000 for each in MICHELSON.split()],
        299.852400000000,
        0.0790105478190518,
    ),
    "NumAcc1": ([10000001.0, 10000003.0, 10000002.0], 10000002.0, 1.0),
    "NumAcc2": (alternating(1.2, 1.1, 1.3, 500), 1.2, 0.1),
    "NumAcc3": (alternating(1000000.2, 1000000.1, 1000000.3, 500), 1000000.2, 0.1),
}


@checks(spread, source="NIST StRD univariate, certified mean and deviation", cases=4)
@pytest.mark.parametrize("name", sorted(SETS))
def test_mean_and_deviation_to_nine_certified_digits(name):
    values, mean, deviation = SETS[name]
    assert np.mean(values) == pytest.approx(mean, rel=NINE)
    assert spread(values, "m").value == pytest.approx(deviation, rel=NINE)


@checks(spread, source="NIST StRD NumAcc4, certified; 8 digits are what doubles hold")
def test_the_hardest_deviation_to_the_digits_that_doubles_hold():
    # 10000000.1 itself is off by 1e-9 in a double, so a deviation of 0.1 has eight digits.
    values = alternating(10000000.2, 10000000.1, 10000000.3, 500)
    assert spread(values, "m").value == pytest.approx(0.1, rel=1e-8)


def anova_set(name: str) -> list[list[float]]:
    """A one-way set of NIST StRD as it ships in SciPy's own tests (public domain)."""
    import scipy.stats.tests as scipy_tests

    text = (Path(scipy_tests.__path__[0]) / "data" / "nist_anova" / f"{name}.dat").read_text()
    groups: dict[str, list[float]] = {}
    for row in text.splitlines()[60:]:
        group, value = row.split()
        groups.setdefault(group, []).append(float(value))
    return list(groups.values())


# SmLs04 to 09 have 7 and 13 equal leading digits: of such data a double keeps fewer than
# nine digits of an F, so they are left out.
@checks(components, source="NIST StRD one-way ANOVA, certified F (SiRstv, SmLs01 to 03)", cases=4)
@pytest.mark.parametrize(
    ("name", "certified"),
    [("SiRstv", 1.18046237440255), ("SmLs01", 21.0), ("SmLs02", 201.0), ("SmLs03", 2001.0)],
)
def test_ratio_of_the_variances_to_nine_certified_digits(name, certified):
    groups = anova_set(name)
    found = components(groups)
    # With equal sizes and a between-variance above zero, REML is the analysis of variance.
    assert 1 + len(groups[0]) * found.between / found.within == pytest.approx(certified, rel=NINE)
    assert 1 + len(groups[0]) * found.between_anova / found.within == pytest.approx(
        certified, rel=NINE
    )


@checks(components, source="NIST StRD one-way ANOVA SiRstv: certified residual deviation", cases=1)
def test_deviation_within_to_nine_certified_digits():
    assert sqrt(components(anova_set("SiRstv")).within) == pytest.approx(
        0.104076068334656, rel=NINE
    )


def test_two_sessions_alone_have_no_spread_between():
    assert isinstance(components(anova_set("AtmWtAg")), TooLittle)


def run_length(rules: tuple[Rule, ...]) -> float:
    """Mean number of sessions to the first signal of an unchanged student, exactly.

    A Markov chain on the zones of the last four sessions and the length of the run on
    one side; whether a session signals is asked of `signals` itself.
    """
    from scipy.stats import norm

    edges = [-np.inf, -3, -2, -1, 0, 1, 2, 3, np.inf]
    zones = (-3.5, -2.5, -1.5, -0.5, 0.5, 1.5, 2.5, 3.5)
    chances = np.diff(norm.cdf(edges))
    start = ((), 0)
    known, moves = {start: 0}, []
    todo = [start]
    while todo:
        last, run = todo.pop()
        for zone, chance in zip(zones, chances, strict=True):
            # The same run of sessions, those before the last four close to the centre.
            before = [0.5 * np.sign(last[-1])] * max(0, run - len(last)) if last else []
            series = [*before, *last, zone]
            if any(at and at[-1] == len(series) - 1 for at in signals(series, rules).values()):
                continue
            same = bool(last) and np.sign(last[-1]) == np.sign(zone)
            after = ((*last, zone)[-4:], min(7, run + 1) if same else 1)
            if after not in known:
                known[after] = len(known)
                todo.append(after)
            moves.append((known[last, run], known[after], chance))
    stay = np.zeros((len(known), len(known)))
    for here, there, chance in moves:
        stay[here, there] += chance
    return float(np.linalg.solve(np.eye(len(known)) - stay, np.ones(len(known)))[0])


WESTERN = (Rule.BEYOND_3, Rule.TWO_OF_THREE, Rule.FOUR_OF_FIVE, Rule.EIGHT_IN_A_ROW)


@checks(
    signals, source="Champ & Woodall (1987) Technometrics 29, 393, table 1: run lengths", cases=5
)
@pytest.mark.parametrize(
    ("rules", "published"),
    [
        (WESTERN[:1], 370.40),
        (WESTERN[:2], 225.44),
        (WESTERN[:3], 132.89),
        ((WESTERN[0], WESTERN[3]), 152.73),
        (WESTERN, 91.75),
    ],
    ids=["1", "1 2", "1 2 3", "1 4", "1 2 3 4"],
)
def test_run_length_of_an_unchanged_student_is_the_published_one(rules, published):
    assert run_length(rules) == pytest.approx(published, abs=0.005)


@checks(signals, source="Champ & Woodall (1987): 91.75, by simulation with a fixed seed")
def test_simulated_false_alarms_come_as_often_as_published():
    random = np.random.default_rng(8)
    sessions = alarms = 0
    for series in random.standard_normal((4000, 600)):
        first = [at[0] for at in signals(series, WESTERN).values() if at]
        alarms += bool(first)
        sessions += min(first) + 1 if first else series.size
    # Run lengths are close to geometric: their deviation is their mean.
    assert sessions / alarms == pytest.approx(91.75, abs=3 * 91.75 / sqrt(alarms))


@checks(robust_slope, source="NIST StRD Norris: a straight line to which any slope agrees to 1e-3")
def test_robust_slope_agrees_with_a_certified_line():
    from tests.outside.test_measures_speed import _norris

    days, values = _norris()
    found = robust_slope(days, values, "m")
    assert found.low < 1.00211681802045 < found.high
    assert found.value == pytest.approx(line(days, values).slope, abs=1e-3)


def test_every_pattern_needs_its_whole_length():
    for z in product((-1.5, 1.5), repeat=3):
        assert signals(z, (Rule.FOUR_OF_FIVE,))[Rule.FOUR_OF_FIVE] == ()
