"""Proof by drawing: the reference set, the chance, and how often it is wrong."""

from itertools import permutations, product

import numpy as np
import pytest
from scipy.stats import permutation_test

from practice.measures.answers import BadData, TooLittle
from practice.measures.claim import change_of_shares
from practice.measures.drawn import (
    between_turns,
    draw_starts,
    draw_turns,
    since_drawn_starts,
    ways_to_start,
    ways_to_turn,
)
from practice.measures.verdicts import Kept, kept_of
from tests.outside.sources import checks

FOUR = [(0, 1), (1, 1), (2, 1), (3, 1)]


def weekly(figures, first=-4):
    """A test in the middle of each week."""
    return [(first + n + 0.5, float(figure)) for n, figure in enumerate(figures)]


@checks(
    ways_to_start,
    source="Wampold & Worsham 1986, Behavioral Assessment 8:135 (4 persons: 24 orders; memory)",
)
@checks(
    ways_to_start,
    source="Koehler & Levin 1998, Psychological Methods 3:206 (N! times the starts; memory)",
)
@checks(
    ways_to_start, source="Edgington 1975, J. Psychology 90:57 (one of k possible starts; memory)"
)
@pytest.mark.parametrize(
    ("windows", "ways"),
    [
        ([(3, 20)], 20),
        (FOUR, 24),
        ([(0, 3), (3, 3), (6, 3), (9, 3)], 1944),
        ([(0, 2), (2, 2), (4, 2)], 48),
    ],
)
def test_the_draws_that_could_have_been(windows, ways):
    assert ways_to_start(windows) == ways


@checks(draw_starts, source="Definition: each draw as likely as any other", cases=1)
def test_each_draw_is_as_likely_as_any_other():
    windows = [(0, 2), (2, 3)]
    found = {}
    for seed in range(6000):
        drawn = tuple(draw_starts(windows, seed))
        assert sorted(place for place, _ in drawn) == [0, 1]
        assert all(windows[place][0] <= week < sum(windows[place]) for place, week in drawn)
        found[drawn] = found.get(drawn, 0) + 1
    assert len(found) == ways_to_start(windows) == 12
    # 500 each: five standard deviations of a count are about 107.
    assert max(abs(each - 500) for each in found.values()) < 107
    assert draw_starts(windows, 7) == draw_starts(windows, 7)


@checks(
    since_drawn_starts,
    source="scipy.stats.permutation_test (pairings): the orders of Wampold and Worsham",
)
@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("gain", [1, -1])
def test_four_persons_as_scipy_pairs_them(seed, gain):
    random = np.random.default_rng(seed)
    starts = random.permutation(4)
    series = [
        weekly(gain * (random.normal(0, 1, 14) + 0.6 * (np.arange(14) - 4 >= start)))
        for start in starts
    ]

    def since(order):
        means = []
        for tests, start in zip(series, order, strict=True):
            weeks, figures = (np.array(each) for each in zip(*tests, strict=True))
            means.append(figures[weeks > start].mean() - figures[weeks <= start].mean())
        return gain * float(np.mean(means))

    theirs = permutation_test(
        (starts,), since, permutation_type="pairings", alternative="greater", vectorized=False
    )
    ours = since_drawn_starts(series, FOUR, [int(start) for start in starts], gain=gain)
    assert ours.looked_at == ours.ways == 24
    assert ours.p == pytest.approx(theirs.pvalue)
    assert ours.value == pytest.approx(theirs.statistic)
    assert ours.before + ours.since == 4 * 14


@checks(since_drawn_starts, source="Exact: one start, by sums that run along the series")
@pytest.mark.parametrize("seed", range(5))
def test_one_person_by_running_sums(seed):
    random = np.random.default_rng(seed)
    figures = random.normal(0, 1, 20)
    places = range(4, 14)  # After the fourth test, and so on: weeks 0 to 9.
    drawn = int(random.choice(10))
    sums = np.cumsum(figures)
    gains = [(sums[-1] - sums[n - 1]) / (20 - n) - sums[n - 1] / n for n in places]
    found = since_drawn_starts([weekly(figures)], [(0, 10)], [drawn])
    assert found.value == pytest.approx(gains[drawn])
    assert found.as_good == sum(each >= gains[drawn] - 1e-12 for each in gains)
    assert (found.looked_at, found.least) == (10, 0.1)


@checks(since_drawn_starts, source="Exact: three persons, windows of two weeks, every draw by hand")
def test_several_with_windows_as_every_draw_by_hand():
    random = np.random.default_rng(3)
    windows = [(0, 2), (2, 2), (4, 2)]
    series = [random.normal(0, 1, 16) for _ in range(3)]
    drawn = (3, 0, 5)

    def value(starts):
        return np.mean(
            [
                each[4 + start :].mean() - each[: 4 + start].mean()
                for each, start in zip(series, starts, strict=True)
            ]
        )

    every = [
        value([week + off for (week, _), off in zip(order, offs, strict=True)])
        for order in permutations(windows)
        for offs in product(range(2), repeat=3)
    ]
    found = since_drawn_starts([weekly(each) for each in series], windows, drawn)
    assert len(every) == found.looked_at == 48
    assert found.as_good == sum(each >= value(drawn) - 1e-12 for each in every)


def test_what_it_cannot_see_is_no_proof():
    """With four possible starts chance alone gives 1 in 4, however great the help."""
    figures = [0] * 6 + [10] * 8
    found = since_drawn_starts([weekly(figures)], [(0, 4)], [2])
    assert (found.as_good, found.looked_at) == (1, 4)
    assert found.is_hint
    assert not found.is_proved


def test_worse_is_no_help():
    worse = [10] * 12 + [0] * 18
    found = since_drawn_starts([weekly(worse)], [(0, 20)], [8])
    assert found.p == 1
    better = since_drawn_starts([weekly(worse)], [(0, 20)], [8], gain=-1)
    assert better.is_proved
    assert better.value == 10


@pytest.mark.parametrize(
    ("figures", "first", "windows"),
    [([1, 2, 3, 4, 5, 6], -1, [(0, 3)]), ([1, 2, 3, 4, 5, 6], -4, [(0, 3)])],
    ids=["one before the first possible start", "none after the last"],
)
def test_too_few_tests_on_either_side_are_too_little(figures, first, windows):
    assert isinstance(since_drawn_starts([weekly(figures, first)], windows, [1]), TooLittle)


def test_a_start_that_could_not_be_drawn_is_refused():
    tests = [weekly(range(14)), weekly(range(14))]
    with pytest.raises(BadData):
        since_drawn_starts(tests, [(0, 2), (2, 2)], [0, 1])
    with pytest.raises(BadData):
        since_drawn_starts(tests[:1], [(0, 2), (2, 2)], [0, 2])


def test_of_many_draws_a_sample_is_near_the_whole(monkeypatch):
    random = np.random.default_rng(11)
    windows = [(2 * n, 2) for n in range(4)]  # 384 draws.
    starts = [week for _, week in draw_starts(windows, 5)]
    series = [
        weekly(random.normal(0, 1, 20) + 0.8 * (np.arange(20) - 4 >= start)) for start in starts
    ]
    whole = since_drawn_starts(series, windows, starts)
    monkeypatch.setattr("practice.measures.drawn.MOST_LISTED", 300)
    sample = since_drawn_starts(series, windows, starts, seed=4)
    assert sample.looked_at == 300
    assert sample.ways == 384
    assert abs(sample.p - whole.p) < 4 * np.sqrt(whole.p * (1 - whole.p) / 300) + 1 / 300
    assert sample.as_good >= 1


def drifting(random, n, alike, trend):
    """Days that are alike, a line, a wave of a season, typed coarsely; nothing helps."""
    noise = np.zeros(n)
    noise[0] = random.normal()
    for place in range(1, n):
        noise[place] = alike * noise[place - 1] + np.sqrt(1 - alike**2) * random.standard_t(3)
    season = np.sin(np.arange(n) / 4 + random.uniform(0, 6))
    return np.round(noise + trend * np.arange(n) + season, 1)


@checks(
    since_drawn_starts, source="Simulation: nothing helps; days alike, trend, season, heavy tails"
)
@pytest.mark.parametrize("windows", [[(0, 20)], FOUR, [(0, 2), (2, 2), (4, 2)]], ids=str)
def test_what_does_not_help_is_proved_to_at_most_one_in_twenty(windows):
    studies, proved = 600, 0
    length = max(week + count for week, count in windows) + 8
    for seed in range(studies):
        random = np.random.default_rng(seed)
        series = [weekly(drifting(random, length, 0.5, random.normal(0, 0.2))) for _ in windows]
        starts = [week for _, week in draw_starts(windows, seed)]
        proved += since_drawn_starts(series, windows, starts).is_proved
    # Three standard errors of a share of 0.05 among 600 are 0.027.
    assert proved / studies <= 0.05 + 0.027


def test_what_helps_by_two_spreads_is_proved_to_about_seven_in_ten():
    windows = [(0, 2), (2, 2), (4, 2)]
    proved = 0
    for seed in range(100):
        random = np.random.default_rng(seed)
        starts = [week for _, week in draw_starts(windows, seed)]
        series = [
            weekly(random.normal(0, 1, 16) + 2 * (np.arange(16) - 4 >= start)) for start in starts
        ]
        proved += since_drawn_starts(series, windows, starts).is_proved
    assert 60 <= proved <= 85


@checks(kept_of, source="House rule: the claim's own interval, whose ends are checked elsewhere")
@pytest.mark.parametrize(
    ("later", "answer"),
    [
        ([(300, 3000)] * 4, Kept.FADES),
        ([(2705, 3000)] * 40, Kept.STAYS),
        ([(2995, 3000)] * 4, Kept.CANNOT_TELL),
        ([(7, 10)] * 2, Kept.CANNOT_TELL),
    ],
)
def test_what_stays_and_what_fades_is_the_claims_own_answer(later, answer):
    claim = change_of_shares([(2700, 3000)] * 4 + later, 0.2, start=4)
    assert kept_of(claim) is answer
    if answer is Kept.STAYS:
        assert -0.2 < claim.low < claim.high < 0.2
    if answer is Kept.FADES:
        assert claim.high < 0
    assert kept_of(None) is Kept.CANNOT_TELL


# Differences in height of pairs of maize plants, crossed less self-fertilised, in eighths of
# an inch (Darwin's; data, 314, 863 and 1726 of 32768 recalled, the arithmetic confirms them).
MAIZE = [49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48]


@checks(between_turns, source="Fisher 1935, The Design of Experiments, section 21 (memory)")
def test_the_pairs_that_fisher_turned_about(monkeypatch):
    monkeypatch.setattr("practice.measures.drawn.MOST_LISTED", 2**15)
    figures = [value for gap in MAIZE for value in (0.0, float(gap))]
    found = between_turns(figures, [0, 1] * len(MAIZE))
    assert found.value * len(MAIZE) == pytest.approx(314)
    assert (found.as_good, found.looked_at) == (1726, 32768)
    assert not found.is_proved


@checks(between_turns, source="scipy.stats.permutation_test (samples)")
@pytest.mark.parametrize("seed", range(5))
def test_turns_as_scipy_turns_them(seed):
    random = np.random.default_rng(seed)
    turns = draw_turns(6, seed)
    figures = random.normal(0, 1, 12) + 0.8 * np.array(turns)
    first = np.array([value for value, turn in zip(figures, turns, strict=True) if turn == 0])
    second = np.array([value for value, turn in zip(figures, turns, strict=True) if turn == 1])
    theirs = permutation_test(
        (second, first),
        lambda a, b, axis: np.mean(a, axis=axis) - np.mean(b, axis=axis),
        permutation_type="samples",
        vectorized=True,
    )
    ours = between_turns(list(figures), turns)
    assert ours.looked_at == 64
    assert ours.p == pytest.approx(theirs.pvalue)
    assert ours.value == pytest.approx(theirs.statistic)
    assert between_turns(list(figures), turns, gain=-1).value == pytest.approx(-ours.value)


@checks(ways_to_turn, source="Exact: every order of pairs written down")
@checks(draw_turns, source="Definition: each draw as likely as any other")
def test_the_turns_that_could_have_been_drawn():
    found = {}
    for seed in range(4000):
        drawn = tuple(draw_turns(3, seed))
        found[drawn] = found.get(drawn, 0) + 1
    orders = product(((0, 1), (1, 0)), repeat=3)
    assert set(found) == {tuple(turn for pair in order for turn in pair) for order in orders}
    assert len(found) == ways_to_turn(3) == 8
    assert max(abs(each - 500) for each in found.values()) < 105  # Five standard deviations.


def test_a_pair_with_a_gap_is_left_out_whole():
    figures, turns = [1.0, 4, 2, 6, None, 9, 3, 5], [0, 1, 0, 1, 0, 1, 1, 0]
    found = between_turns(figures, turns)
    without = between_turns(figures[:4] + figures[6:], turns[:4] + turns[6:])
    assert found == without
    assert found.before == 3
    assert isinstance(between_turns(figures[4:], turns[4:]), TooLittle)
    with pytest.raises(BadData):
        between_turns(figures[:4], [0, 0, 0, 1])


@checks(between_turns, source="Simulation: no difference; days alike, trend, season, heavy tails")
def test_turns_that_do_not_differ_are_called_so_to_at_most_one_in_twenty():
    proved = 0
    for seed in range(600):
        random = np.random.default_rng(seed)
        figures = drifting(random, 16, 0.5, random.normal(0, 0.2))
        proved += between_turns(list(figures), draw_turns(8, seed)).is_proved
    assert proved / 600 <= 0.05 + 0.027
