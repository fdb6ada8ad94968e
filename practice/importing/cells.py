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
    "prům|prum|average|averages|avg|avgs|mean|means|ø|mittel|mittelwert|durchschnitt|durchschn|schnitt|"
    "moyenne|"
    "moyennes|moy|media|medie|medias|media aritmetica|promedio|prom|gemiddelde|gemiddeld|gem|"
    "medel|"
    "medelvarde|snitt|gns|gennemsnit|gjennomsnitt|gjsn|srednia|średnia|平均|平均値|平均值|std|"
    "std dev|"
    "st dev|stdev|stddev|sd|stdabw|std abw|standardabweichung|standardabw|standard deviation|"
    "ecart type|desv est|desv tip|desviacion estandar|desviacion tipica|desvio padrao|dp|dev st|"
    "dev std|deviazione standard|standaardafwijking|std afw|std avv|standardavvikelse|"
    "standardavvik|"
    "standardafvigelse|odch std|odchylenie standardowe|smerodatna odchylka|keskihajonta|szoras|"
    "standart sapma|標準偏差|标准差|標準差|표준편차|+/-|±|deviation|abweichung|variance|varianz|"
    "spread|"
    "median|mediana|mediane|medianwert|mediaan|consistency|keskiarvo|prumer|priemer|povprecje|"
    "prosjek|atlag|ortalama|medie|mitjana|meðaltal|keskmine|μεσος ορος|среднее|середнє|평균|"
    "среднекв|"
    "summary|summaries|statistics|stats|zusammenfassung|resume|resumen|riepilogo|resumo|"
    "samenvatting|"
    "sammanfattning|sammendrag|podsumowanie|yhteenveto|итоги|合計平均|요약|汇总|匯總"
)
_OF_OTHERS = frozenset(plain(word) or word for word in _RECKONED.split("|"))
_AT_FIRST_WORDS = (
    "max|min|maximum|minimum|maks|maksimi|minimi|massimo|minimo|maximo|sum|summe|suma|somma|"
    "soma|somme|"
    "total|totals|totale|totaal|totalt|gesamt|insgesamt|razem|celkem|yhteensa|osszesen|toplam|"
    "ukupno|"
    "итого|всего|合計|合计|总计|總計|최대|최소|합계|最大|最小|spreiding|streuung|spannweite|"
    "best|beste|"
    "worst|meilleur|migliore|mejor|melhor|basta|count|anzahl|antal|aantal"
)
_AT_FIRST = frozenset(map(plain, _AT_FIRST_WORDS.split("|")))
_BESIDE = frozenset({"of", "for", "de", "do", "da", "der", "des", "du", "di", "del", "van", "n"})


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
# Signs and figures as Chinese and Japanese keyboards write them, and a printer's minus.
_NARROW = str.maketrans("０１２３４５６７８９．，＋－−", "0123456789.,+--")
_SEPARATORS = re.compile(r"[\s  '’]")
# What stands where nothing was measured, without spaces, points and strokes: k. A., s/d, n/v.
_NOTHING_WORDS = (
    "na nan null none nil nc nd sd so ka nvt nv it bd nm nr np nb em um im et oa err error miss "
    "misread missing noread nodata notmeasured notavailable keineangabe keineangaben keinwert "
    "nichtgemessen fehlt entfallt nonmesure nondisponible absent manquant sindato sindatos "
    "nomedido "
    "nodisponible semdados semdado semleitura naomedido naodisponivel nondisp nondisponibile "
    "nonmisurato assente nietgemeten geenmeting ontbreekt saknas ejmatt ikkemalt ikkemålt mangler "
    "eimitattu eitietoa puuttuu brak brakdanych niezmierzono bezdat nezmereno chybi nincs "
    "nincsadat "
    "hianyzik yok veriyok olculmedi lipsa nd нд нет нетданных なし 無し 無 不明 計測不可 未計測 "
    "測定不可 "
    "エラー 없음 미측정 측정불가 无 未测 缺失 暂无 無資料"
)
NOTHING = frozenset(plain(word) for word in _NOTHING_WORDS.split())
_ONLY_SIGNS = re.compile(r"[\s\-–—−－ー―‐_./?？*#~…·]+")
_LONGEST_NOTHING = 30


def is_nothing(text: str) -> bool:
    """Whether it says that there is no figure: -, n/a, k. A., s/d, 計測不可."""
    if len(text) > _LONGEST_NOTHING or any(sign.isdigit() for sign in text):
        return False
    return not text or bool(_ONLY_SIGNS.fullmatch(text)) or plain(text).replace(" ", "") in NOTHING


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
        if is_nothing(text):
            return None
        text = text.translate(_NARROW)
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
    "l|left|lft|li|links|g|gauche|i|izq|izqda|izquierda|s|sx|sin|sinistra|v|vänster|venstre|e|"
    "esq|esquerda|"
    "lewo|w lewo|左|左に|左侧|左側|좌|좌측|왼쪽|vlevo|doleva|vľavo|levo|lijevo|vas|vasen|"
    "vasemmalle|л|лево|влево|ліво|"
    "b|bal|balra|stg|stanga|stânga|sol|sola|α|αρ|αριστερα|vinstri|vasak|vasakule|esquerra|"
    "venstre|links"
)
_RIGHT_WORDS = (
    "r|right|rgt|rt|re|rechts|d|dr|droite|der|dcha|derecha|dx|des|destra|h|höger|højre|høyre|"
    "dir|direita|"
    "p|prawo|w prawo|右|右に|右侧|右側|우|우측|오른쪽|vpravo|doprava|desno|oik|oikea|oikealle|п|"
    "право|вправо|"
    "j|jobb|jobbra|dreapta|sag|sağ|sağa|δ|δε|δεξια|hægri|parem|paremale|dreta"
)
_STRAIGHT_WORDS = (
    "straight|center|centre|gerade|mitte|droit|recto|recta|dritto|rett|rak|rakt|lige|rechtdoor|"
    "prosto|rovne|naravnost|suoraan|duz|düz|egyenes|прямо|drept|中央|真っ直ぐ|まっすぐ|直|중앙|"
    "가운데|正中|中"
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


def says_side(cell: Cell) -> bool:
    """Whether letters say to which side."""
    return isinstance(cell, str) and any(sign.isalpha() for sign in cell)


def left_or_right(cell: Cell) -> int | None:
    """-1 for a word that says left, 1 for right, 0 for straight; None for nothing. Raises Bad."""
    text = text_of(cell).casefold().strip(" .()")
    if text in _STRAIGHT or text == "0":
        return 0
    for words, sign in ((_LEFTS, -1), (_RIGHTS, 1)):
        if text in words:
            return sign
    if is_nothing(text):
        return None
    raise Bad(f"“{text[:30]}” is neither left nor right.")


_LEFTS, _RIGHTS = (frozenset(words.split("|")) for words in (_LEFT_WORDS, _RIGHT_WORDS))
_IS = r"\s*(?:=|:|is|ist|er|är|means|to|nach|⇒|→|vers|a la|al|na)?\s*(?:the\s+)?"
_PLUS, _MINUS = r"(?:\+|plus|positiv\w*|pos\b\.?)", r"(?:[-–−]|minus|negativ\w*|neg\b\.?)"
_SIGN_BEFORE = r"(?<!\w){sign}" + _IS + r"{word}(?![^\W\d])"
_SIGN_AFTER = r"(?<![^\W\d]){word}" + _IS + "{sign}"
_SAYS_A_SIGN = re.compile(r"\+|plus|minus|posit|negat|\bpos\b|\bneg\b")


def is_left_plus(text: str) -> bool:
    """Whether a heading or a sentence says so: (+ = left), links positiv, (-R/+L)."""
    said = text.casefold()
    if not _SAYS_A_SIGN.search(said):
        return False  # L-R is no sign, nor is a dash before *right-handed*.
    for pattern in (_SIGN_BEFORE, _SIGN_AFTER):
        found = {
            (words, sign): bool(
                re.search(pattern.format(sign=sign, word=f"(?:{'|'.join(sorted(words))})"), said)
            )
            for words in (_LEFTS, _RIGHTS)
            for sign in (_PLUS, _MINUS)
        }
        if any(found.values()):
            reverse = found[_LEFTS, _PLUS] or found[_RIGHTS, _MINUS]
            return reverse and not (found[_LEFTS, _MINUS] or found[_RIGHTS, _PLUS])
    return False


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
    if text in _YES or text in _NO:
        return text in _YES
    if is_nothing(text):
        return None
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


def begins_with_others(cell: Cell) -> bool:
    """Whether a label says so first or last: *Media Ana*, *Average (n=5)*, *Ferro 9, média*."""
    if not isinstance(cell, str) or not 0 < len(cell) < _LONGEST_LABEL:
        return False
    words = plain(cell).split()
    said = [word for word in words if not word.isdigit() and word not in _BESIDE]
    starts = {" ".join(said[:many]) for many in (1, 2)} | {
        " ".join(said[-many:]) for many in (1, 2)
    }
    return bool(starts & _SURELY) or any(cell.strip().endswith(each) for each in _SIGNS_OF_OTHERS)


_LONGEST_LABEL = 60
# Of these a name may begin with none: no *Ka* and no *Gem*, which are people too.
_SURELY = frozenset(each for each in _OF_OTHERS if len(each) > 4) | {"avg", "mean", "moy", "prom"}
_SIGNS_OF_OTHERS = ("平均", "平均値", "平均值", "標準偏差", "평균")


def words(cell: Cell, longest: int) -> str:
    """A name. Raises Bad if it is too long or holds signs that cannot be printed."""
    text = text_of(cell)
    if is_nothing(text):
        return ""
    if len(text) > longest:
        raise Bad(f"“{text[:20]}…” is longer than {longest} letters.")
    if text and not text.isprintable():
        raise Bad("There are signs in it that cannot be printed.")
    return text
