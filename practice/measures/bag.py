"""Which clubs a bag should hold: the least expected miss over the distances that are met.

All distances in metres.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from heapq import nsmallest
from itertools import combinations
from math import pi, sqrt
from typing import NamedTuple

import numpy as np

from practice.measures.answers import BadData, TooLittle
from practice.measures.arrays import Array, Numbers, numbers, same_length, some_numbers
from practice.measures.rates import Z95
from practice.measures.wedges import Cell, expected_miss

MOST_CLUBS = 12  # Of more the bags are too many to look at each.
LEAST_LENGTH = 2  # Clubs that know a length, for one between them.


@dataclass(frozen=True, slots=True)
class BagOfClubs:
    """The best clubs of so many, and how far a ball ends from its target on average.

    `rival`: the next best clubs of as many, none where there are all.
    """

    clubs: tuple[str, ...]
    expected: float
    rival: tuple[str, ...] = ()


def best_bags(misses: Mapping[str, Numbers], met: Numbers) -> tuple[BagOfClubs, ...] | TooLittle:
    """For each number of clubs the bag with the least expected miss.

    Parameters
    ----------
    misses : mapping of club to sequence of float, length k
        How far a ball ends from each distance with the best swing of the club, metres.
    met : sequence of float, length k
        How often each distance is met.

    Returns
    -------
    tuple of BagOfClubs, of one club first; or TooLittle below two clubs.

    Raises
    ------
    BadData
        Lengths differ, a value negative or not finite, nothing met, or over MOST_CLUBS clubs.

    Notes
    -----
    Each distance is played with whichever club of the bag ends nearest: the p-median problem.
    Every bag is looked at, so that each is the best there is.

    References
    ----------
    Hakimi, S. L. (1964). Operations Research 12, 450-459 (the p-median).

    Examples
    --------
    >>> bags = best_bags({"58": [1, 9, 9], "54": [9, 2, 3], "50": [9, 4, 2]}, [1, 1, 1])
    >>> [(bag.clubs, round(bag.expected, 2)) for bag in bags][1]
    (('54', '58'), 2.0)
    """
    weights = numbers(met, "times met", least=0)
    clubs = sorted(misses)
    rows = [numbers(misses[club], "misses", least=0) for club in clubs]
    same_length(weights, *rows)
    if len(clubs) > MOST_CLUBS:
        raise BadData(f"A bag is chosen from at most {MOST_CLUBS} clubs.")
    if len(clubs) < LEAST_LENGTH:
        return TooLittle("A choice takes two clubs.", len(clubs), LEAST_LENGTH)
    if not weights.sum() > 0:
        raise BadData("No distance is met.")
    table = np.array(rows)

    def expected(chosen: tuple[int, ...]) -> float:
        nearest: Array = table[list(chosen)].min(axis=0)
        return float(weights @ nearest / weights.sum())

    found = []
    for held in range(1, len(clubs) + 1):
        best, *others = nsmallest(2, combinations(range(len(clubs)), held), key=expected)
        rival = tuple(clubs[n] for each in others for n in each)
        found.append(BagOfClubs(tuple(clubs[n] for n in best), expected(best), rival))
    return tuple(found)


class SwingKnown(NamedTuple):
    """A swing's mean carry and the spread of its balls; and the standard error of each."""

    carry: float
    spread: float
    carry_error: float = 0.0
    spread_error: float = 0.0


@dataclass(frozen=True, slots=True)
class Nearer:
    """By how much nearer balls end with one bag than with another, with its 95 % interval."""

    value: float
    low: float
    high: float

    @property
    def is_told(self) -> bool:
        return self.low > 0


def nearer(
    swings: Mapping[Cell, SwingKnown],
    met: Mapping[float, float],
    pairs: Sequence[tuple[Collection[str], Collection[str]]],
) -> tuple[Nearer, ...]:
    """By how much nearer balls end with the clubs of one bag than with those of another.

    Parameters
    ----------
    swings : mapping of Cell to SwingKnown
        Metres.
    met : mapping of distance to float
        How often each is met.
    pairs : sequence of (clubs, other clubs)
        Each bag with a swing.

    Raises
    ------
    BadData
        No pair, a bag without a swing, nothing met, or a value negative or not finite.

    Notes
    -----
    Parametric bootstrap: cards are drawn as far about this one as it is not known, the same
    each time, and each distance is played with what is best by the draw. Where one bag is the best
    and the other the next best by these same balls, the interval of two bags is enough for "is
    the best one really better", however many there were to choose from (Gutmann and Maymin).
    By simulation (450 bags each of four clubs 0 to 8 m apart, 10 to 24 balls a swing over two
    to four days) 93 to 98 of 100 hold what one club more brings.

    References
    ----------
    Efron, B. & Tibshirani, R. J. (1993). An Introduction to the Bootstrap, 6.5;
    Gutmann, S. & Maymin, Z. (1987). Annals of Statistics 15, 456-461 (both from memory).

    Examples
    --------
    >>> card = {Cell("58", "full"): SwingKnown(80, 2, 1), Cell("54", "full"): SwingKnown(90, 2, 1)}
    >>> found = nearer(card, {80: 1, 90: 1}, [(("58", "54"), ("58",))])[0]
    >>> round(found.value, 2), found.is_told
    (4.2, True)
    """
    weights = some_numbers(met.values(), "times met", least=0)
    if not weights.sum() > 0:
        raise BadData("No distance is met.")
    if not pairs:
        raise BadData("Two bags are compared.")
    holding = tuple(tuple(_held(swings, clubs) for clubs in pair) for pair in pairs)
    columns = [some_numbers(each, "swings", least=0) for each in zip(*swings.values(), strict=True)]
    at = some_numbers(met, "distances", least=0)
    known = tuple(tuple(each.tolist()) for each in columns)
    return _nearer(known, tuple(at.tolist()), tuple(weights.tolist()), holding)


# The same card is looked at again and again, and drawn the same each time.
@lru_cache(256)
def _nearer(
    swings: tuple[tuple[float, ...], ...],
    distances: tuple[float, ...],
    times: tuple[float, ...],
    holding: tuple[tuple[tuple[int, ...], ...], ...],
) -> tuple[Nearer, ...]:
    """Of each bag the places of its swings; of the swings what is known, a column each."""
    carry, spread, carry_error, spread_error = map(np.array, swings)
    noise = np.random.default_rng(DRAWS).normal(size=(2, DRAWS, len(carry)))
    at, weights = np.array(distances)[:, None, None], np.array(times)
    here = _expected_misses(carry - at, spread)
    drawn = _expected_misses(
        carry + noise[0] * carry_error - at, np.abs(spread + noise[1] * spread_error)
    )
    shares, found = weights / weights.sum(), []
    for bag, other in holding:
        value, gains = (
            shares @ misses[..., other].min(axis=2) - shares @ misses[..., bag].min(axis=2)
            for misses in (here, drawn)
        )
        reach = Z95 * float(gains.std(ddof=1))
        found.append(Nearer(float(value[0]), float(value[0]) - reach, float(value[0]) + reach))
    return tuple(found)


def _held(swings: Iterable[Cell], clubs: Collection[str]) -> tuple[int, ...]:
    found = tuple(n for n, cell in enumerate(swings) if cell.club in clubs)
    if not found:
        raise BadData("A bag has a swing.")
    return found


DRAWS = 400


def _expected_misses(off: Array, spread: Array) -> Array:
    """`expected_miss` of many at once."""
    from scipy.special import erf

    wide = np.maximum(spread, NARROWEST)
    ratio = off / wide
    found: Array = wide * sqrt(2 / pi) * np.exp(-(ratio**2) / 2) + off * erf(ratio / sqrt(2))
    return found


NARROWEST = 1e-9  # Metres: a spread of nothing is no divisor.


def nearest_of(swings: Numbers, spreads: Numbers, distances: Numbers) -> tuple[float, ...]:
    """How far a ball ends from each distance with the best of these swings.

    Parameters
    ----------
    swings, spreads : sequence of float, length n
        Mean carry and spread of each swing, metres.
    distances : sequence of float

    Raises
    ------
    BadData
        Lengths differ, no swing, no distance, or a value negative or not finite.

    References
    ----------
    As `expected_miss`.

    Examples
    --------
    >>> [round(each, 2) for each in nearest_of([60.0, 72.0], [2.0, 2.0], [60.0, 70.0])]
    [1.6, 2.33]
    """
    carries, wide = numbers(swings, "carries", least=0), numbers(spreads, "spreads", least=0)
    same_length(carries, wide)
    if not carries.size:
        raise BadData("A club has a swing.")
    pairs = list(zip(carries.tolist(), wide.tolist(), strict=True))
    return tuple(
        min(expected_miss(carry - at, spread) for carry, spread in pairs)
        for at in some_numbers(distances, "distances", least=0).tolist()
    )


def at_loft(
    card: Mapping[Cell, SwingKnown], lofts: Mapping[str, float], loft: float
) -> dict[str, SwingKnown]:
    """The swings of a club of this loft as it lies between those of the card, by length.

    Parameters
    ----------
    card : mapping of Cell to SwingKnown
    lofts : mapping of club to loft, degrees
    loft : float
        Degrees.

    Returns
    -------
    dict of length to SwingKnown
        Only of lengths of which a club with more loft and one with less is known.

    Raises
    ------
    BadData
        A loft, a carry, a spread or what is not known of one is negative or not finite.

    Notes
    -----
    House rule: carry, spread and what is not known of them change evenly from one loft to the
    next; nothing is said beyond the lofts that were hit.
    """
    numbers([loft, *lofts.values()], "lofts", least=0)
    numbers([each for swing in card.values() for each in swing], "swings", least=0)
    found = {}
    for length in sorted({cell.length for cell in card}):
        known = sorted(
            (lofts[cell.club], *swing)
            for cell, swing in card.items()
            if cell.length == length and cell.club in lofts
        )
        if len(known) < LEAST_LENGTH or not known[0][0] <= loft <= known[-1][0]:
            continue
        at, *columns = (np.array(each) for each in zip(*known, strict=True))
        found[length] = SwingKnown(*(float(np.interp(loft, at, column)) for column in columns))
    return found
