"""Does a drill work? Proof by drawing: what came of a draw, beside every other draw.

Only what was drawn may be judged so. The draw itself is the whole argument: neither a trend
nor days that are alike can make a difference that chance would not make as often.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations, product
from math import factorial, prod
from random import Random
from statistics import fmean

from practice.measures.answers import BadData, TooLittle
from practice.measures.arrays import finite, numbers

PROVED_AT = 0.05
LEAST_DAYS = 2  # Test days before the first possible start, and after the last (house rule).
LEAST_PAIRS = 2
MOST_LISTED = 5000  # More draws than these are sampled.
_HARDLY = 1e-9
Draw = tuple[int, ...]
Windows = Sequence[tuple[int, int]]


@dataclass(frozen=True, slots=True)
class Proof:
    """What the draw shows.

    `value`: the gain, in the unit of the test; above 0 is better. Of the draws that could have
    been made `looked_at` were looked at, and `as_good` show as much, the one made among them.
    `ways`: how many draws there are in all; `least`: the smallest p that they allow. `before`
    and `since` count figures.
    """

    value: float
    as_good: int
    looked_at: int
    ways: int
    least: float
    before: int
    since: int

    @property
    def p(self) -> float:
        return self.as_good / self.looked_at

    @property
    def is_proved(self) -> bool:
        return self.p <= PROVED_AT + _HARDLY

    @property
    def is_hint(self) -> bool:
        """The best of all draws, where even that is no proof."""
        return self.least > PROVED_AT + _HARDLY and self.p <= self.least + _HARDLY


def ways_to_start(windows: Windows) -> int:
    """How many draws of starts there are: the smallest chance is one in so many.

    Parameters
    ----------
    windows : sequence of (first week, possible starts)
        One for each person. Who gets which window is drawn, and a start within it.

    Raises
    ------
    BadData
        No window, or one without a start.

    Notes
    -----
    One person: the start is drawn among the weeks of one window (Edgington). Several: N! ways
    to share out the windows, times the starts in each (Koehler and Levin); with one start in
    each window the ways of Wampold and Worsham.

    References
    ----------
    Edgington, E. S. (1975). Journal of Psychology 90, 57-68; Wampold, B. E. & Worsham, N. L.
    (1986). Behavioral Assessment 8, 135-143; Koehler, M. J. & Levin, J. R. (1998).
    Psychological Methods 3, 206-217.

    Examples
    --------
    >>> ways_to_start([(0, 4)]), ways_to_start([(0, 1), (1, 1), (2, 1), (3, 1)])
    (4, 24)
    """
    _check(windows)
    return factorial(len(windows)) * prod(starts for _, starts in windows)


def draw_starts(windows: Windows, seed: int) -> list[tuple[int, int]]:
    """The window (its place in the list) and the starting week of each person.

    Each way is as likely as any other. The same seed draws the same.

    Raises
    ------
    BadData
        As `ways_to_start`, or a seed below 0.

    References
    ----------
    As `ways_to_start`.
    """
    _check(windows)
    random = Random(int(finite(seed, "seed", least=0)))  # noqa: S311 (a draw that can be shown)
    order = random.sample(range(len(windows)), len(windows))
    return [(place, windows[place][0] + random.randrange(windows[place][1])) for place in order]


def since_drawn_starts(
    series: Sequence[Sequence[tuple[float, float]]],
    windows: Windows,
    starts: Sequence[int],
    *,
    gain: int = 1,
    seed: int = 1,
) -> Proof | TooLittle:
    """Are the tests after the drawn starts better than after any other start it could have been?

    Parameters
    ----------
    series : sequence of sequences of (week, figure)
        The test days of each person: weeks (and parts of weeks) from one common day. A test
        counts as since a start if it came later than that.
    windows : sequence of (first week, possible starts)
        Those that were shared out, in any order.
    starts : sequence of int
        The week drawn for each person.
    gain : int
        -1 where less is better.
    seed : int
        Of the sample, where there are more than 5000 draws.

    Returns
    -------
    Proof, or TooLittle unless everybody has two test days before the first possible start
    and two after the last.

    Raises
    ------
    BadData
        Lists that differ in length, a figure not finite, a start that no draw gives.

    Notes
    -----
    The mean over persons of the mean since the start less that before it; p is the share of
    all draws in which that is as large, the one made among them. Of more than 5000 a sample
    of 4999 and the one made. One-sided: only a gain counts.

    References
    ----------
    As `ways_to_start`; Edgington, E. & Onghena, P. (2007). Randomization Tests, 4th ed.,
    chapter 11; for the sample Phipson, B. & Smyth, G. K. (2010). Statistical Applications in
    Genetics and Molecular Biology 9 (1), article 39.

    Examples
    --------
    >>> tests = [(week + 0.5, float(week >= 5)) for week in range(9)]
    >>> found = since_drawn_starts([tests], [(3, 4)], [5])
    >>> found.value, found.p, found.is_proved, found.is_hint
    (1.0, 0.25, False, True)
    """
    _check(windows)
    if not len(series) == len(windows) == len(starts):
        raise BadData("Each person has a window, a start and test days.")
    for tests in series:
        numbers((week for week, _ in tests), "weeks")
        numbers((figure for _, figure in tests), "figures")
    drawn = tuple(int(finite(start, "start")) for start in starts)
    if not _could_be(drawn, windows):
        raise BadData("These starts are none that could have been drawn.")
    first, last = min(week for week, _ in windows), max(week + n - 1 for week, n in windows)
    fewest = min(
        count
        for tests in series
        for count in (
            sum(week <= first for week, _ in tests),
            sum(week > last for week, _ in tests),
        )
    )
    if fewest < LEAST_DAYS:
        return TooLittle(
            "Two test days before the first possible start, and two after the last.",
            fewest,
            LEAST_DAYS,
        )
    gains = {
        (person, start): _gain(tests, start) * gain
        for person, tests in enumerate(series)
        for start in {week + n for week, count in windows for n in range(count)}
    }

    def value(draw: Draw) -> float:
        return fmean(gains[each] for each in enumerate(draw))

    ways = ways_to_start(windows)
    reference = _Reference(ways, lambda: _all_starts(windows), lambda r: _one(windows, r))
    as_good, looked_at = _as_good(value, drawn, reference, seed)
    since = sum(
        week > start for tests, start in zip(series, drawn, strict=True) for week, _ in tests
    )
    before = sum(len(tests) for tests in series) - since
    return Proof(value(drawn), as_good, looked_at, ways, 1 / ways, before, since)


def ways_to_turn(pairs: int) -> int:
    """How many draws of turns there are: in each pair either may come first.

    Raises
    ------
    BadData
        No pair.

    References
    ----------
    Edgington, E. & Onghena, P. (2007), as `since_drawn_starts`, chapter 11 (alternating
    treatments in randomised blocks of two).

    Examples
    --------
    >>> ways_to_turn(6)
    64
    """
    return 1 << int(finite(pairs, "pairs", least=1))


def draw_turns(pairs: int, seed: int) -> list[int]:
    """0 or 1 for each turn: in each pair of turns both come, and which is first is drawn.

    Raises
    ------
    BadData
        No pair, or a seed below 0.

    References
    ----------
    As `ways_to_turn`.
    """
    count = int(finite(pairs, "pairs", least=1))
    random = Random(int(finite(seed, "seed", least=0)))  # noqa: S311 (a draw that can be shown)
    firsts = [random.randrange(2) for _ in range(count)]
    return [turn for first in firsts for turn in (first, 1 - first)]


def between_turns(
    figures: Sequence[float | None], turns: Sequence[int], *, gain: int = 1, seed: int = 1
) -> Proof | TooLittle:
    """Do the turns of one kind do better than those of the other?

    Parameters
    ----------
    figures : sequence of float or None
        One for each turn in time order; None where there is none. A pair with one missing is
        left out whole.
    turns : sequence of int
        0 or 1 for each turn, as drawn.
    gain : int
        -1 where less is better.
    seed : int
        Of the sample, where there are more than 5000 draws.

    Returns
    -------
    Proof, or TooLittle below two whole pairs. `value` is the second kind (1) less the first;
    `before` counts turns of the first kind, `since` those of the second.

    Raises
    ------
    BadData
        Lists that differ in length, a figure not finite, or a pair without one of each.

    Notes
    -----
    The difference of the means; p is the share of all draws in which it is as large, either
    way. Two-sided: either kind may do better, so the least p is 2 in all the draws.

    References
    ----------
    As `ways_to_turn`.

    Examples
    --------
    >>> found = between_turns([1, 5, 6, 2] * 3, [0, 1, 1, 0] * 3)
    >>> found.value, found.as_good, found.looked_at, found.is_proved
    (4.0, 2, 64, True)
    """
    if len(figures) != len(turns) or len(turns) % 2:
        raise BadData("Each turn has a figure or none, and turns come in pairs.")
    numbers((each for each in figures if each is not None), "figures")
    order = tuple(int(finite(turn, "turn", least=0)) for turn in turns)
    firsts, gaps = [], []
    for place in range(0, len(order), 2):
        if sorted(order[place : place + 2]) != [0, 1]:
            raise BadData("Each pair of turns has one of each kind.")
        one, other = figures[place], figures[place + 1]
        if one is not None and other is not None:
            firsts.append(order[place])
            gaps.append((other - one) * gain)
    if len(gaps) < LEAST_PAIRS:
        return TooLittle("Two pairs of turns with a test in each.", len(gaps), LEAST_PAIRS)

    def value(draw: Draw) -> float:
        return fmean(gap if first == 0 else -gap for first, gap in zip(draw, gaps, strict=True))

    drawn, ways = tuple(firsts), ways_to_turn(len(gaps))
    reference = _Reference(
        ways,
        lambda: product((0, 1), repeat=len(gaps)),
        lambda random: tuple(random.randrange(2) for _ in gaps),
    )
    as_good, looked_at = _as_good(lambda draw: abs(value(draw)), drawn, reference, seed)
    return Proof(value(drawn), as_good, looked_at, ways, 2 / ways, len(gaps), len(gaps))


def _check(windows: Windows) -> None:
    if not windows:
        raise BadData("Nobody is there to start.")
    for week, starts in windows:
        finite(week, "first week")
        finite(starts, "possible starts", least=1)


def _could_be(starts: Draw, windows: Windows) -> bool:
    def fits(order: Windows) -> bool:
        pairs = zip(starts, order, strict=True)
        return all(week <= start < week + count for start, (week, count) in pairs)

    return any(fits(order) for order in permutations(windows))


def _gain(tests: Sequence[tuple[float, float]], start: int) -> float:
    since = fmean(figure for week, figure in tests if week > start)
    return since - fmean(figure for week, figure in tests if week <= start)


def _all_starts(windows: Windows) -> Iterator[Draw]:
    for order in permutations(windows):
        yield from product(*(range(week, week + count) for week, count in order))


def _one(windows: Windows, random: Random) -> Draw:
    order = random.sample(list(windows), len(windows))
    return tuple(week + random.randrange(count) for week, count in order)


@dataclass(frozen=True, slots=True)
class _Reference:
    """The draws that could have been made: how many, each of them, and one at random."""

    ways: int
    every: Callable[[], Iterator[Draw]]
    one: Callable[[Random], Draw]


def _as_good(
    value: Callable[[Draw], float], drawn: Draw, reference: _Reference, seed: int
) -> tuple[int, int]:
    """How many draws have at least the value of the one made, and of how many.

    A sample of the draws has the one made in it.
    """
    least = value(drawn) - _HARDLY
    random = Random(int(finite(seed, "seed", least=0)))  # noqa: S311 (a sample that can be shown)
    if reference.ways <= MOST_LISTED:
        return sum(value(draw) >= least for draw in reference.every()), reference.ways
    sample = (reference.one(random) for _ in range(MOST_LISTED - 1))
    return 1 + sum(value(draw) >= least for draw in sample), MOST_LISTED
