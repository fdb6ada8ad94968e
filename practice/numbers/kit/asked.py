"""Numbers and choices asked for in an address. What cannot be is said, never guessed."""

import re
from dataclasses import dataclass
from typing import Any

from django.http import QueryDict

from shared.kit.units import Unit

_NUMBER = re.compile(r"[-−]?\d{1,6}(?:[.,]\d{1,6})?", re.ASCII)
SI = Unit("")


@dataclass(frozen=True, slots=True)
class Asked:
    """A number as asked: its value in SI, what was typed, and a sentence if it cannot be."""

    value: float | None
    typed: str = ""
    fault: str = ""


def number(query: QueryDict, name: str, low: float, high: float, unit: Unit = SI) -> Asked:
    """A number of the address between `low` and `high` (SI), typed in `unit`."""
    typed = query.get(name, "").strip()[:20]
    if not typed:
        return Asked(None)
    least, most = unit.from_si(low), unit.from_si(high)
    words = f"Write a number from {least:.4g} to {most:.4g} {unit.sign}".rstrip() + "."
    if not _NUMBER.fullmatch(typed):
        return Asked(None, typed, words)
    value = unit.to_si(float(typed.replace(",", ".").replace("−", "-")))
    if not low <= value <= high:
        return Asked(None, typed, words)
    return Asked(value, typed)


def place(query: QueryDict, name: str) -> int | None:
    """A small whole number of the address, or None."""
    typed: Any = query.get(name, "")
    return int(typed) if typed.isascii() and typed.isdecimal() and len(typed) < 4 else None
