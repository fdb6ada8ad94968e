"""Lengths of a swing as people write them: half, 3/4, pieno; or the hand of a clock. Pure.

The words are common usage in a dozen languages (no source). Where a clock's hand stands is said
differently by every coach, so that nobody but the reader says what 9:00 is.
"""

import re
from collections.abc import Mapping

from practice.importing.cells import Bad, Cell, is_nothing, text_of
from practice.importing.meaning import plain

KEPT = ("hip", "chest", "full")
_WORDS = {
    "hip": (
        "hip|hip high|half|half swing|1 2|1 2 swing|50%|waist|waist high|halb|halber|halber "
        "schwung|hufte|"
        "hufthoch|demi|demi swing|moitie|medio|media|medio swing|mitad|mezzo|meta|mezzo swing|"
        "meio|meia|metade|halve|halv|halvt|halvsving|halvsvingen|pol|polowa|puoli|pul|puli|"
        "ハーフ|半分|cadera|anca|hanche|heup|hoft|hofte"
    ),
    "chest": (
        "chest|chest high|three quarter|three quarters|three quarter swing|3 4|3 4 swing|75%|"
        "3 quarter|dreiviertel|brust|brusthoch|trois quarts|3 quarts|poitrine|tres cuartos|"
        "pecho|tre quarti|petto|tres quartos|peito|driekwart|borst|trekvart|tre fjerdedele|"
        "trefjerdedel|brost|bryst|trzy czwarte|kolmeneljasosa|スリークォーター"
    ),
    "full": (
        "full|full swing|1 1|100%|whole|normal|voll|voller schwung|ganz|plein|pleine|plein swing|"
        "complet|complete|entier|completo|completa|entero|lleno|pieno|piena|intero|cheio|cheia|"
        "inteiro|vol|volle|volledig|hel|helt|fuld|fullt|fulla|full sving|pelny|pelna|caly|taysi|"
        "plny|フル|フルスイング|全"
    ),
}
_LENGTHS = {word: length for length, words in _WORDS.items() for word in words.split("|")}
_SIGNS = str.maketrans({"½": "1/2", "¾": "3/4"})
_HOUR = r"(?:[6-9]|1[0-2])(?:[:.h][03]0?)?|[6-9]½|1[01]½"
_UNIT = r"h|u|uhr|uur|o['’]?clock|o"
_HANDS = re.compile(rf"(?:{_HOUR})(?:{_UNIT})?", re.IGNORECASE)
_SAYS = re.compile(r"[^\W\d]|[/%]")
_SURELY_A_HAND = re.compile(r"[:.hu½]|clock", re.IGNORECASE)


def length(cell: Cell, named: Mapping[str, str] | None = None) -> str:
    """A swing length, or nothing. `named` is what the reader said of words. Raises Bad."""
    text = text_of(cell)
    if is_nothing(text):
        return ""
    if named and (said := named.get(key_of(text))):
        return "" if said == "none" else said
    found = _known(text)
    if not found:
        raise Bad(f"“{text[:30]}” is no swing length: hip, chest or full.")
    return found


def key_of(text: str) -> str:
    """By which a word for a length is remembered."""
    return " ".join(text.casefold().split())[:30]


def _known(text: str) -> str:
    shown = text.translate(_SIGNS).casefold().strip()
    if not _SAYS.search(shown):  # 1.1 is a figure, and 1/1 a length.
        return ""
    return _LENGTHS.get(shown, "") or _LENGTHS.get(plain(shown), "")


def is_known(cell: Cell) -> bool:
    """Whether it is a word for a length."""
    return isinstance(cell, str) and bool(_known(text_of(cell)))


def is_hand(cell: Cell) -> bool:
    """Whether a clock's hand can stand so: 7:30, 9h, 10.30, 9 o'clock."""
    return isinstance(cell, str) and bool(_HANDS.fullmatch(text_of(cell).replace(" ", "")))


def is_surely_hand(cell: Cell) -> bool:
    """The same, and more than a number."""
    return is_hand(cell) and bool(_SURELY_A_HAND.search(text_of(cell)))
