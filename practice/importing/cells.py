"""Cells: numbers, days and words as people and machines write them."""

import re
from collections.abc import Sequence
from datetime import datetime
from math import isfinite

from practice.importing.meaning import plain
from practice.importing.names import unit_of

# What a reader of rows hands over: text, or what a workbook stores as a number or a day.
Cell = str | float | datetime

LONGEST = 120
MOST_COLUMNS = 200
LONGEST_CELL = 2_000


# What a row of means or spreads is called.
_RECKONED = (
    "average|avg|mean|ø|mittel|mittelwert|durchschnitt|schnitt|moyenne|moy|media|"
    "media aritmetica|promedio|prom|gemiddelde|gemiddeld|gem|medel|medelvarde|snitt|gns|"
    "gennemsnit|gjennomsnitt|srednia|平均|std|std dev|st dev|stdev|stddev|sd|stdabw|std abw|"
    "standardabweichung|standardabw|standard deviation|ecart type|desv est|"
    "desviacion estandar|desvio padrao|dev st|dev std|deviazione standard|standaardafwijking|"
    "std afw|std avv|standardavvikelse|standardavvik|standardafvigelse|odch std|"
    "odchylenie standardowe|標準偏差|+/-|±|deviation|abweichung|variance|varianz|spread|median|"
    "mediana|mediane|consistency|keskiarvo|prumer|atlag|ortalama|среднее|평균|平均值"
)
_OF_OTHERS = frozenset(_RECKONED.split("|"))
_AT_FIRST = frozenset(
    {"max", "min", "maximum", "minimum", "maks", "sum", "summe", "total", "spreiding", "streuung"}
)


class Bad(ValueError):
    """A cell that cannot be read, in a sentence that says what to do."""


_GROUPED = {
    ".": re.compile(r"[+-]?\d{1,3}(?:[,\u0020\u00a0\u2009\u202f'’]\d{3})+(?:\.\d*)?", re.ASCII),
    ",": re.compile(r"[+-]?\d{1,3}(?:[.\u0020\u00a0\u2009\u202f'’]\d{3})+(?:,\d*)?", re.ASCII),
}
# As a program writes what it has computed: 0.30000000000000004, and of almost nothing 3.5e-15.
_PLAIN = {
    sign: re.compile(
        rf"[+-]?(?:\d{{1,12}}(?:{mark}\d{{0,30}})?|{mark}\d{{1,30}})(?:[eE]-\d{{1,3}})?", re.ASCII
    )
    for sign, mark in ((".", r"\."), (",", ","))
}
_SEPARATORS = re.compile(r"[\s  '’]")
_NOTHING_WORDS = (
    "|-|--|---|?|/|–|—|-.-|n/a|na|nan|null|none|#n/a|nc|n.c.|nd|n.d.|s.o.|k.a.|ka|n.v.t.|nvt|"
    "i.t.|b.d.|bd|err|error"
)
NOTHING = frozenset(_NOTHING_WORDS.split("|"))


def text_of(cell: Cell) -> str:
    """A cell as it is shown, and as it is compared."""
    if isinstance(cell, str):
        return cell.strip()
    if isinstance(cell, datetime):
        midnight = cell.hour == cell.minute == cell.second == 0
        return cell.date().isoformat() if midnight else cell.isoformat(" ", "seconds")
    return f"{cell:.12g}"


def number(cell: Cell, decimal: str) -> float | None:
    """A number, or None for an empty cell.

    `decimal` is the sign before the decimals, a point or a comma; the other one, spaces
    and apostrophes may stand between groups of three digits. Raises Bad.
    """
    if isinstance(cell, str):
        text = cell.strip()
        if text.lower() in NOTHING:
            return None
        text = text.replace("−", "-")
        if not _PLAIN[decimal].fullmatch(text):
            if not _GROUPED[decimal].fullmatch(text):
                raise Bad(f"“{text[:30]}” is not a number.")
            text = _SEPARATORS.sub("", text.replace("," if decimal == "." else ".", ""))
        return float(text.replace(",", "."))
    if isinstance(cell, datetime):
        raise Bad(f"“{text_of(cell)}” is a day, not a number.")
    if not isfinite(cell):
        raise Bad("This is not a number.")
    return float(cell)


# What stands around a figure that was estimated or marked; only to recognise a column by it.
_ABOUT = re.compile(
    r"^(?:about|around|approx|ca|circa|cca|env|environ|ungef|rund|rond|unos|±|~|≈|<|>)[.]?\s*|\s*(?:ish|[*?!†])+$",
    re.IGNORECASE,
)


def without_marks(cell: Cell) -> Cell:
    """'about 35', '94?' and '142*' as their figures: a column is known by it, no cell read so."""
    return _ABOUT.sub("", cell.strip()).strip() if isinstance(cell, str) else cell


_DITTO_WORDS = (
    "\" “ ” „ ″ 〃 ,, '' ’’ ^ ↓ -\"- —\"— -''- »-« same ditto do do. dto dto. id id. idem ídem "
    "igual samma samme zelfde ebenso gleich même ibid ibid. stesso stessa mesmo mesma jw j.w. "
    "dtto 同上 同"
)
_DITTO = frozenset(_DITTO_WORDS.split())


def is_ditto(cell: Cell) -> bool:
    """Whether it says: as above."""
    return isinstance(cell, str) and cell.strip().casefold().replace(" ", "") in _DITTO


_OF_A_NUMBER = {".": b"0123456789+-.\n", ",": b"0123456789+-,\n"}
_SURELY_SHORT = 12  # Letters of a number that `number` takes, whichever of them are decimals.


def plain_numbers(cells: Sequence[Cell], decimal: str) -> list[float | None] | None:
    """What `number` makes of all of them at once, or None if one is not plain digits."""
    try:
        text = "\n".join(cells)  # type: ignore[arg-type]  # Or it is a workbook's.
    except TypeError:
        return _stored_numbers(cells)
    if not text.isascii() or text.encode().translate(None, _OF_A_NUMBER[decimal]):
        return None
    texts = (text.replace(",", ".") if decimal == "," else text).split("\n")
    if len(texts) != len(cells) or max(map(len, texts)) > _SURELY_SHORT:
        return None
    try:
        return [float(each) if each else None for each in texts]
    except ValueError:
        return None


def _stored_numbers(cells: Sequence[Cell]) -> list[float | None] | None:
    """The same of the cells of a workbook."""
    if all(isfinite(cell) if isinstance(cell, float) else cell == "" for cell in cells):
        return [cell if isinstance(cell, float) else None for cell in cells]
    return None


_WITH_UNIT = re.compile(r"([+\-−]?\d[\d.,'’\s]*)\s*([A-Za-z°%/]{1,8})\.?(?:\s+([^\W\d]{1,9}))?")


def split_unit(cell: Cell) -> tuple[Cell, str]:
    """'152.3 mph' as '152.3' and 'mph'; a cell without a unit that we know as it is.

    To which side stays with the figure: '3.2 yds left' is '3.2 left' and 'yds'.
    """
    if isinstance(cell, str) and (found := _WITH_UNIT.fullmatch(cell.strip())):
        unit = unit_of(found[2])
        if unit:
            return f"{found[1].strip()} {found[3] or ''}".strip(), unit
    return cell, ""


_LEFT_WORDS = (
    "l|left|lft|li|links|g|gauche|i|izq|izqda|izquierda|s|sx|sin|sinistra|v|vänster|venstre|e|esq|esquerda|"
    "lewo|左|좌|좌측|vlevo|vas|vasen|л"
)
_RIGHT_WORDS = (
    "r|right|rgt|rt|re|rechts|d|dr|droite|der|dcha|derecha|dx|des|destra|h|höger|højre|høyre|dir|direita|"
    "p|prawo|右|우|우측|vpravo|oik|oikea|п"
)
_STRAIGHT_WORDS = (
    "straight|center|centre|gerade|mitte|droit|recto|recta|dritto|rett|rak|rakt|lige|rechtdoor|"
    "prosto|中央|真っ直ぐ"
)
_STRAIGHT = frozenset(_STRAIGHT_WORDS.split("|"))
_LEFT, _RIGHT = (
    re.compile(rf"(?:({words})[.:]?\s*([\d.,]\S*)|([\d.,]\S*?)\s*({words})\.?)", re.IGNORECASE)
    for words in (_LEFT_WORDS, _RIGHT_WORDS)
)


def side(cell: Cell, decimal: str) -> float | None:
    """A departure to the side, right positive: a signed number, or one with L or R. Raises Bad."""
    if isinstance(cell, str):
        if cell.strip().casefold() in _STRAIGHT:
            return 0.0
        for pattern, sign in ((_LEFT, -1), (_RIGHT, 1)):
            if found := pattern.fullmatch(cell.strip()):
                value = number(found[2] or found[3], decimal)
                return None if value is None else sign * value
    return number(cell, decimal)


_YES = frozenset(
    {
        *("ano", "igen", "evet", "da", "да", "예", "네", "是", "kyllä", "kylla", "yep", "yeah"),
        *("1", "1.0", "y", "yes", "true", "x", "✓", "✔", "+", "clean", "ok", "ja", "j", "oui", "o"),
        *("si", "sí", "sì", "sim", "tak", "good", "gut", "bon", "bonne", "bra", "buono", "bueno"),
        *("goed", "god", "bom", "boa", "dobry", "○", "◯", "良"),
    }
)
_NO = frozenset(
    {
        *("ne", "ei", "nem", "hayır", "hayir", "nu", "нет", "아니오", "아니요", "否", "nope"),
        *(
            "0",
            "0.0",
            "n",
            "no",
            "false",
            "✗",
            "✘",
            "not clean",
            "nein",
            "nee",
            "non",
            "nej",
            "nei",
        ),
        *(
            "não",
            "nao",
            "nie",
            "ko",
            "ruim",
            "miss",
            "sbagliato",
            "bad",
            "schlecht",
            "mauvais",
            "mauvaise",
            "dålig",
            "cattivo",
            "malo",
        ),
        *("slecht", "dårlig", "mau", "má", "zły", "×", "不良"),
    }
)


def yes_or_no(cell: Cell) -> bool | None:
    """Yes, no or nothing. Raises Bad."""
    text = text_of(cell).lower()
    if text in NOTHING:
        return None
    if text in _YES or text in _NO:
        return text in _YES
    raise Bad(f"“{text[:30]}” is neither yes nor no.")


def are_all_figures(column: Sequence[Cell]) -> bool:
    """Whether there is nothing but digits, signs and numbers in it; looked at as a whole."""
    texts = [cell for cell in column if isinstance(cell, str)]
    text = "".join(texts)
    return text.isascii() and not text.encode().translate(None, b"0123456789+-., ")


def is_of_others(cell: Cell, *, is_first: bool = False) -> bool:
    """Whether it names what is reckoned from other rows, such as their mean.

    Some words do so only where the row begins: an effort may be *max* too.
    """
    if not isinstance(cell, str) or not 0 < len(cell) < 30:
        return False
    words = {plain(cell), cell.strip()}
    return bool(words & _OF_OTHERS) or (is_first and bool(words & _AT_FIRST))


def words(cell: Cell, longest: int) -> str:
    """A name. Raises Bad if it is too long or holds signs that cannot be printed."""
    text = text_of(cell)
    if len(text) > longest:
        raise Bad(f"“{text[:20]}…” is longer than {longest} letters.")
    if text and not text.isprintable():
        raise Bad("There are signs in it that cannot be printed.")
    return text
