"""What is said above a table in words: the unit of its figures, and the day of it. Pure."""

import re
from collections.abc import Iterable, Iterator, Sequence

from practice.importing.cells import Cell, text_of
from practice.importing.days import is_whole_day
from practice.importing.meaning import plain, things_in
from practice.importing.names import unit_of
from shared.kit.units import DISTANCE, SPEED

_MEASURES = {"distance": {*DISTANCE, "ft"}, "speed": {*SPEED, "fps"}}
_OF_MEASURE = {
    "distance": frozenset({"distance", "carry", "total", "target", "side", "landing"}),
    "speed": frozenset({"speed"}),
}
# Words that put a unit behind them: in yards, alles in Metern, units: yds.
_PUTS_WORDS = (
    "in en em i w v v. unit units einheit einheiten unite unites unidad unidades unita unidade "
    "eenheid enhet enheter enhed enheder jednostki distances distance dist distancias distanze "
    "distanza afstanden weiten entfernungen carry carries speed speeds numbers all everything = :"
)
_PUTS = frozenset(_PUTS_WORDS.split())
_WORD = re.compile(r"[^\W\d]+(?:[/.][^\W\d]+)?|\d+(?:[.,]\d+)?|[:=()\[\]]")
_SENTENCE = re.compile(r"[;,\n]|\.\s|\band\b|\bund\b|\bet\b|\by\b|\be\b")
_LONGEST = 2_000


def units_said(above: Iterable[Sequence[Cell]]) -> dict[str, str]:
    """The unit of each measure, where the words above a table name one and no other.

    A unit beside a figure is that figure's: a wind of 3 m/s, a range of 250 yards.
    """
    found: dict[str, set[str]] = {"distance": set(), "speed": set()}
    for part in _parts(above):
        for unit in _units_in(part):
            for measure, known in _MEASURES.items():
                if unit in known:
                    found[measure].add(unit)
    return {measure: units.pop() for measure, units in found.items() if len(units) == 1}


def _parts(above: Iterable[Sequence[Cell]]) -> Iterator[str]:
    for row in above:
        text = " ".join(filter(None, map(text_of, row)))[:_LONGEST]
        yield from filter(None, _SENTENCE.split(text))


def _units_in(part: str) -> Iterator[str]:
    """The units that a part of a sentence puts on the figures below."""
    words = [*map(_short, _WORD.findall(part.casefold()))]
    says = things_in(part)
    if "weather" in says:
        return
    for before, word in zip(["", *words], words, strict=False):
        unit = unit_of(word)
        if not unit or before[:1].isdigit():
            continue
        is_put = before in _PUTS or before in {"(", "["} or len(words) == 1
        named = any(unit in _MEASURES[m] and says & things for m, things in _OF_MEASURE.items())
        if is_put or (named and len(word) > 1):
            yield unit


def _short(word: str) -> str:
    """Without accents, where it is more than a unit."""
    return plain(word) if word.isalpha() else word


def day_said(above: Iterable[Sequence[Cell]]) -> Cell:
    """The one day that is written above a table, or nothing."""
    found: dict[str, Cell] = {}
    for row in above:
        for cell in row:
            for text in _after_colon(cell):
                if is_whole_day(text):
                    found[text_of(text)] = text
    return next(iter(found.values())) if len(found) == 1 else ""


def _after_colon(cell: Cell) -> Iterator[Cell]:
    """A cell, and what stands in it behind a colon: Date: 3 Nov 2024."""
    yield cell
    if isinstance(cell, str) and ":" in cell:
        yield cell.split(":", 1)[1].strip()
