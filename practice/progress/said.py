"""Figures, days and swings as the pages of the numbers say them."""

from datetime import date

from practice.compliance.credit import whole_percent
from shared import units

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


def listed(things: list[str]) -> str:
    if len(things) < 2:
        return "".join(things)
    return f"{', '.join(things[:-1])} and {things[-1]}"


def sentence(words: str) -> str:
    return words[:1].upper() + words[1:]
