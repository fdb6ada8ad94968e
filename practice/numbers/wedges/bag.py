"""What a card tells beyond each swing: by its neighbours, and of the bag as a whole. Metres.

House rules: distances are those that were called, or where they are few every five metres
of the card; a new loft is looked for in whole degrees, two off every club there is.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor, sqrt
from operator import itemgetter
from typing import TYPE_CHECKING

from practice.measures.answers import TooLittle
from practice.numbers.wedges.card import Swing
from practice.numbers.wedges.facts import WedgeFacts

if TYPE_CHECKING:
    from practice.measures.bag import BagOfClubs, Nearer, SwingKnown
    from practice.measures.wedges import Cell

LEAST_MET, APART = 3, 5
NEW_FROM, WORTH = 2.0, 0.3
NEW = ""  # The club that is not there has no name.


@dataclass(frozen=True, slots=True)
class LeanedSwing:
    """A swing alone and with its neighbours, each with the half width of its 95 % interval;
    `days`: how many more days of its own would tell as much, None for more than sixty."""

    swing: Swing
    carry: float
    known_to: float
    leaned: float
    leaned_to: float
    days: int | None


@dataclass(frozen=True, slots=True)
class LeanedSwings:
    """`apart`: how far clubs and lengths do not add up (standard deviation)."""

    swings: tuple[LeanedSwing, ...]
    apart: float


def leaned_of(facts: WedgeFacts) -> LeanedSwings | None:
    """None where too few swings share a club and a length."""
    from practice.measures.neighbours import LeanedCard, leaned

    levels = facts.levels
    found = leaned(levels)
    if not isinstance(found, LeanedCard):
        return None
    rows = tuple(
        LeanedSwing(
            Swing(cell.club, cell.length),
            known.estimate.value,
            known.half,
            found.swings[cell].carry.value,
            (found.swings[cell].carry.high - found.swings[cell].carry.low) / 2,
            found.swings[cell].days,
        )
        for cell, known in levels.items()
    )
    return LeanedSwings(rows, found.apart)


@dataclass(frozen=True, slots=True)
class BestBag:
    """The best clubs of so many, and how far a ball ends from its target on average.

    `gain`: by how much nearer than with the best of one club fewer, None for the first;
    `rival`: the next best clubs of as many, where the balls do not tell the two bags apart.
    """

    clubs: tuple[str, ...]
    expected: float
    gain: "Nearer | None"
    rival: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NewLoft:
    """A club that is not there, instead of one that is, and what is gained on average."""

    loft: int
    instead: str
    gain: "Nearer"


@dataclass(frozen=True, slots=True)
class BagAnswer:
    """Bags from one club on. `distances` were called by `balls`; 0 balls: they are the card's."""

    bags: tuple[BestBag, ...]
    distances: int
    balls: int
    new: NewLoft | None


def bag_of(facts: WedgeFacts) -> BagAnswer | None:
    """None below two clubs with balls enough, and above twelve."""
    from practice.measures.bag import MOST_CLUBS, best_bags

    swings = _swings(facts)
    clubs = sorted({cell.club for cell in swings})
    if not 2 <= len(clubs) <= MOST_CLUBS:
        return None
    met, balls = _met(facts, swings)
    table = {
        club: _misses([swing for cell, swing in swings.items() if cell.club == club], met)
        for club in clubs
    }
    found = best_bags(table, met.values())
    if isinstance(found, TooLittle):
        return None
    bags = _beside(found, swings, met)
    new = _new_loft(facts, swings, table, met) if len(clubs) < MOST_CLUBS else None
    return BagAnswer(bags, len(met), balls, new)


def _beside(
    bags: Sequence["BagOfClubs"], swings: Mapping["Cell", "SwingKnown"], met: Mapping[float, int]
) -> tuple[BestBag, ...]:
    """Each beside the one of a club fewer, and beside the next best of as many."""
    from practice.measures.bag import nearer

    fewer = [(bag.clubs, less.clubs) for less, bag in pairwise(bags)]
    rivals = [(bag.clubs, bag.rival) for bag in bags if bag.rival]
    found = nearer(swings, met, [*fewer, *rivals])
    gains = (None, *found[: len(fewer)])
    untold = {
        pair for pair, each in zip(rivals, found[len(fewer) :], strict=True) if not each.is_told
    }
    return tuple(
        BestBag(
            bag.clubs, bag.expected, gain, bag.rival if (bag.clubs, bag.rival) in untold else ()
        )
        for bag, gain in zip(bags, gains, strict=True)
    )


def _misses(swings: Iterable["SwingKnown"], met: Mapping[float, int]) -> tuple[float, ...]:
    from practice.measures.bag import nearest_of

    known = list(swings)
    return nearest_of([s.carry for s in known], [s.spread for s in known], met)


def _met(facts: WedgeFacts, swings: Mapping["Cell", "SwingKnown"]) -> tuple[dict[float, int], int]:
    """How often each distance is met, and by how many balls that is known."""
    called = Counter(float(round(ball.target)) for ball in facts.balls if ball.target)
    if len(called) >= LEAST_MET:
        return dict(sorted(called.items())), called.total()
    carries = [swing.carry for swing in swings.values()]
    every = range(APART * ceil(min(carries) / APART), floor(max(carries)) + 1, APART)
    return {float(metres): 1 for metres in every}, 0


def _new_loft(
    facts: WedgeFacts,
    swings: Mapping["Cell", "SwingKnown"],
    table: Mapping[str, tuple[float, ...]],
    met: Mapping[float, int],
) -> NewLoft | None:
    """The loft that gains most where it stands instead of a club that is there."""
    from practice.measures.bag import at_loft, best_bags, nearer
    from practice.measures.wedges import Cell

    lofts = {club.name: club.loft for club in facts.clubs if club.loft and club.name in table}
    now = best_bags(table, met.values())
    if len(lofts) < len(table) or isinstance(now, TooLittle):
        return None
    found = []
    for loft in range(ceil(min(lofts.values())), floor(max(lofts.values())) + 1):
        known = at_loft(swings, lofts, loft)
        if not known or min(abs(loft - each) for each in lofts.values()) < NEW_FROM:
            continue
        bags = best_bags({**table, NEW: _misses(known.values(), met)}, met.values())
        if isinstance(bags, TooLittle) or NEW not in bags[len(table) - 1].clubs:
            continue
        best = bags[len(table) - 1]
        (instead,) = set(table) - set(best.clubs)
        found.append((now[-1].expected - best.expected, loft, instead, best.clubs, known))
    if not found:
        return None
    _, loft, instead, clubs, known = max(found, key=itemgetter(0))
    with_it = {**swings, **{Cell(NEW, length): swing for length, swing in known.items()}}
    (gain,) = nearer(with_it, met, [(clubs, table)])
    return NewLoft(loft, instead, gain) if gain.is_told and gain.value >= WORTH else None


def _swings(facts: WedgeFacts) -> dict["Cell", "SwingKnown"]:
    """Mean and spread of each swing, as what to hit from a distance reckons them; the mean is
    known as closely as its days and balls tell."""
    from practice.measures.bag import SwingKnown
    from practice.measures.rates import Z95
    from practice.measures.wedges import PRIOR_BALLS, best_swings

    carries, levels = facts.carries, facts.levels
    found = best_swings(carries, 1.0, most=len(carries))
    if isinstance(found, TooLittle):
        return {}
    swings = {}
    for each in found:
        level = levels.get(each.cell)
        # Student's t stands in the half width of few days.
        carry_error = level.half / Z95 if level else each.spread
        spread_error = each.spread / sqrt(2 * (each.n - 1 + PRIOR_BALLS))
        swings[each.cell] = SwingKnown(1.0 + each.off, each.spread, carry_error, spread_error)
    return swings
