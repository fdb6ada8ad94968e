"""Which clubs a bag should hold: the least expected miss over the distances that are met.

All distances in metres.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from practice.measures.answers import BadData, TooLittle
from practice.measures.arrays import Array, Numbers, numbers, same_length, some_numbers
from practice.measures.wedges import Cell, expected_miss

MOST_CLUBS = 12  # Of more the bags are too many to look at each.
LEAST_LENGTH = 2  # Clubs that know a length, for one between them.


@dataclass(frozen=True, slots=True)
class Bag:
    """The best clubs of so many, and how far a ball ends from its target on average."""

    clubs: tuple[str, ...]
    expected: float


def best_bags(misses: Mapping[str, Numbers], met: Numbers) -> tuple[Bag, ...] | TooLittle:
    """For each number of clubs the bag with the least expected miss.

    Parameters
    ----------
    misses : mapping of club to sequence of float, length k
        How far a ball ends from each distance with the best swing of the club, metres.
    met : sequence of float, length k
        How often each distance is met.

    Returns
    -------
    tuple of Bag, of one club first; or TooLittle below two clubs.

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
        best = min(combinations(range(len(clubs)), held), key=expected)
        found.append(Bag(tuple(clubs[n] for n in best), expected(best)))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class SwingKnown:
    """A swing's mean carry and the spread of its balls."""

    carry: float
    spread: float


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
        A loft is negative or not finite.

    Notes
    -----
    House rule: carry and spread change evenly from one loft to the next; nothing is said
    beyond the lofts that were hit.
    """
    numbers([loft, *lofts.values()], "lofts", least=0)
    found = {}
    for length in sorted({cell.length for cell in card}):
        known = sorted(
            (lofts[cell.club], swing.carry, swing.spread)
            for cell, swing in card.items()
            if cell.length == length and cell.club in lofts
        )
        if len(known) < LEAST_LENGTH or not known[0][0] <= loft <= known[-1][0]:
            continue
        at, carries, spreads = (np.array(each) for each in zip(*known, strict=True))
        found[length] = SwingKnown(
            float(np.interp(loft, at, carries)), float(np.interp(loft, at, spreads))
        )
    return found
