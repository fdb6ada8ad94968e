"""Figures, days and swings as the pages of the numbers say them."""

from datetime import date
from math import ceil, floor
from typing import TYPE_CHECKING

from shared.kit import units
from shared.kit.text import whole_percent

if TYPE_CHECKING:
    from practice.measures.claim import Claim

LENGTH_WORDS = {"hip": "hip-high", "chest": "chest-high", "full": "full", "": "in between"}


def day(when: date) -> str:
    return f"{when.day} {when:%b %Y}"


def swing(club: str, length: str) -> str:
    return f"{club} {LENGTH_WORDS[length]}"


def metres(value: float, unit: str, places: int = 1) -> str:
    """A distance with its unit; 60 m rather than 60.0 m."""
    said = units.distance(value, unit, places)
    number, sign = said.rsplit(" ", 1)
    if "." in number:
        number = number.rstrip("0").rstrip(".")
    return f"{number} {sign}"


def bare(value: float, unit: str, places: int = 1) -> str:
    """The same without its sign, for a column that names it."""
    return metres(value, unit, places).rsplit(" ", 1)[0]


def many(count: int, one: str, more: str = "") -> str:
    return f"{count} {one if count == 1 else more or one + 's'}"


def percent(share: float) -> str:
    """Whole percents, rounded down: 100 only when all of it."""
    return f"{whole_percent(share)} %"


def outward(low: float, high: float, places: int = 0) -> tuple[str, str]:
    """The ends of an interval rounded away from each other: never narrower than it is."""
    fine = 10**places
    ends = floor(round(low * fine, 6)) / fine, ceil(round(high * fine, 6)) / fine
    lower, upper = (f"{end + 0.0:.{places}f}".replace("-", "−") for end in ends)
    return lower, upper


def at_most(value: float, places: int = 1) -> str:
    """Half the width of an interval, rounded up."""
    return outward(0.0, value, places)[1]


def answer(claim: "Claim") -> str:
    """'moved', 'did not move', 'cannot tell yet: about 4 more test days'."""
    if claim.answer != "cannot tell yet":
        return str(claim.answer)
    if claim.more_days is None:
        return "cannot tell yet, and not within a hundred test days of this kind"
    return f"cannot tell yet: about {many(claim.more_days, 'more test day')}"


def listed(things: list[str]) -> str:
    if len(things) < 2:
        return "".join(things)
    return f"{', '.join(things[:-1])} and {things[-1]}"


def sentence(words: str) -> str:
    return words[:1].upper() + words[1:]
