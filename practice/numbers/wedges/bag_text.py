"""What a card tells beyond each swing, in words and rows."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from practice.numbers.kit import text as said
from practice.numbers.wedges.bag import BagAnswer, LeanedSwings, NewLoft
from shared.kit.units import DISTANCE

if TYPE_CHECKING:
    from practice.measures.bag import Nearer


@dataclass(frozen=True, slots=True)
class LeanedView:
    """Rows of swing, carry alone, carry with its neighbours, and what that is worth."""

    rows: tuple[tuple[str, str, str, str], ...]
    words: str


@dataclass(frozen=True, slots=True)
class BagView:
    """Rows of how many clubs, which, how far a ball ends from its target on average, how much
    nearer than with one club fewer, and the clubs that may do as well."""

    rows: tuple[tuple[str, str, str, str, str], ...]
    words: str
    new: str


def leaned_view(found: LeanedSwings | None, unit: str) -> LeanedView | None:
    if found is None:
        return None
    rows = tuple(
        (
            said.swing(each.swing.club, each.swing.length),
            _within(each.carry, each.known_to, unit),
            _within(each.leaned, each.leaned_to, unit),
            _days(each.days),
        )
        for each in found.swings
    )
    words = "Clubs and lengths add up on this card, as far as its balls tell."
    if said.bare(found.apart, unit) != said.bare(0.0, unit):
        apart = said.metres(found.apart, unit)
        words = f"Clubs and lengths add up on this card, give or take {apart}."
    return LeanedView(rows, words)


def _within(carry: float, half: float, unit: str) -> str:
    return f"{said.bare(carry, unit)} ± {said.at_most(DISTANCE[unit].from_si(half))}"


def _days(days: int | None) -> str:
    if days is None:
        return "over 60 more days"
    return said.many(days, "more day") if days else "no more days"


def bag_view(found: BagAnswer | None, unit: str) -> BagView | None:
    if found is None:
        return None
    rows = tuple(
        (
            str(len(bag.clubs)),
            said.listed(list(bag.clubs)),
            said.metres(bag.expected, unit),
            _gain(bag.gain, unit) if bag.gain else "",
            said.listed(list(bag.rival)),
        )
        for bag in found.bags
    )
    words = f"By {said.many(found.distances, 'distance')}, called with {found.balls} balls."
    if not found.balls:
        words = "By every five metres of the card: too few distances were called."
    return BagView(rows, words, _new(found.new, unit) if found.new else "")


def _gain(gain: "Nearer", unit: str) -> str:
    if not gain.is_told:
        return "cannot tell yet"
    return f"{said.metres(gain.value, unit)} ({_range(gain, unit)})"


def _range(gain: "Nearer", unit: str) -> str:
    low, high = (DISTANCE[unit].from_si(each) for each in (gain.low, gain.high))
    return " to ".join(said.outward(low, high, 1))


def _new(found: NewLoft, unit: str) -> str:
    gain = said.metres(found.gain.value, unit)
    return (
        f"A club of {found.loft}° instead of the {found.instead} would bring balls {gain} nearer. "
        f"It may be {_range(found.gain, unit)}. That is worked out, not hit."
    )
