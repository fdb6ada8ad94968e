"""Where ending nearer pays most, in rows."""

from collections.abc import Sequence
from dataclasses import dataclass

from practice.numbers.kit import text as said
from practice.numbers.wedges.worth import Worth

BALLS = 10  # What is saved is said of ten balls: of one it is hundredths.


@dataclass(frozen=True, slots=True)
class WorthRow:
    """A called distance, on what it stands, how far off balls end, and strokes saved."""

    about: str
    stands_on: str
    off: str
    saves: str


@dataclass(frozen=True, slots=True)
class WorthView:
    """What pays most first; `words` where the balls cannot tell which that is."""

    rows: tuple[WorthRow, ...]
    words: str


def worth_view(found: Sequence[Worth], unit: str) -> WorthView | None:
    if not found:
        return None
    rows = tuple(
        WorthRow(
            said.metres(each.about, unit, 0),
            f"{said.many(each.saved.saves.n, 'ball')}, {said.many(each.days, 'day')}",
            said.metres(each.saved.ends, unit),
            _saves(each),
        )
        for each in found
    )
    first, *others = (each.saved.saves for each in found)
    is_told = all(first.low > other.high for other in others)
    return WorthView(rows, "" if is_told else "Which pays most cannot be told yet.")


def _saves(each: Worth) -> str:
    saves = each.saved.saves
    low, high = said.outward(max(saves.low, 0.0) * BALLS, saves.high * BALLS, 1)
    return f"{saves.value * BALLS:.1f} ({low} to {high})"
