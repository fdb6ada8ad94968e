"""What is said above a table in words: units, day, device, ball, place and roof. Pure."""

import re
from collections.abc import Iterable, Iterator, Sequence

from practice.importing.cells import Cell, text_of
from practice.importing.days import is_whole_day
from practice.importing.meaning import OTHER, plain, things_in
from practice.importing.names import bare, likeness, unit_of
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
    are_all = all(unit_of(word) or word in _PUTS or not word.isalpha() for word in words)
    for before, word in zip(["", *words], words, strict=False):
        unit = unit_of(word)
        if not unit or before[:1].isdigit():
            continue
        is_put = are_all or before in _PUTS or before in {"(", "["} or len(words) == 1
        named = any(unit in _MEASURES[m] and says & things for m, things in _OF_MEASURE.items())
        if is_put or (named and len(word) > 1):
            yield unit


def _short(word: str) -> str:
    """Without accents, where it is more than a unit."""
    return plain(word) if word.isalpha() else word


def day_said(above: Iterable[Sequence[Cell]]) -> Cell:
    """The one day that is written above a table, or nothing; none that it was exported on."""
    found: dict[str, Cell] = {}
    for row in above:
        if any(isinstance(cell, str) and _IS_OF_THE_FILE.search(plain(cell)) for cell in row):
            continue
        for cell in row:
            for text in _after_colon(cell):
                if is_whole_day(text):
                    found[text_of(text)] = text
                    break
            else:
                found |= {text: text for text in _within(cell)}
    return next(iter(found.values())) if len(found) == 1 else ""


_IS_OF_THE_FILE = re.compile(
    r"\b(?:export|download|print|generat|creat|updat|version|erstellt|gedruckt|stand|abgerufen|imprim|"
    r"telecharg|genere|generad|creado|descarg|stampat|scaricat|generat|gerado|baixado|afgedrukt|gemaakt|"
    r"utskriv|skapad|udskrev|oprettet|tulost|luotu|wygener|wydruk|vygener|vytvor|keszult|nyomtat|"
    r"olusturul|создан|выгруж|born|dob|geboren|valid)|出力|作成|印刷|내보|작성|导出|匯出|打印"
)
_MOST_WORDS, _FROM_ITS_MONTH = 5, 3


def _within(cell: Cell) -> Iterator[str]:
    """The days in a sentence, each as short as it can be: Séance du samedi 10 mai 2025."""
    words = cell[:_LONGEST].split() if isinstance(cell, str) else []
    at = 0
    while at < len(words):
        most = min(_MOST_WORDS if words[at][:1].isdigit() else _FROM_ITS_MONTH, len(words) - at)
        for many in range(1, most + 1):
            text = " ".join(words[at : at + many]).strip("()[],;.")
            if re.search(r"(?<!\d)\d{4}(?!\d)", text) and is_whole_day(text):
                yield text
                at += many - 1
                break
        at += 1


def _after_colon(cell: Cell) -> Iterator[Cell]:
    """A cell, and what stands in it behind a colon: Date: 3 Nov 2024."""
    yield cell
    if isinstance(cell, str) and (found := _COLON.search(cell)):
        yield _APART.split(cell[found.end() :].strip())[0]


_COLON = re.compile(r"[:：]")
_APART = re.compile(r"\s{2,}|\s*[|;]\s*")
_SAID = ("device", "ball", "place")
_LONGEST_WORDS, _SURE = 60, 0.8


def words_said(above: Iterable[Sequence[Cell]], names: Sequence[str] = _SAID) -> dict[str, str]:
    """Device, ball and place, where a label above a table says each, and once."""
    found: dict[str, set[str]] = {name: set() for name in names}
    for row in above:
        parts = [part for cell in row for part in _APART.split(text_of(cell)) if part]
        for label, said in _labelled(parts):
            near = likeness(bare(label)[0])
            name = max(near, key=lambda each: near[each], default=OTHER)
            if name in found and near[name] >= _SURE and 0 < len(said) <= _LONGEST_WORDS:
                found[name].add(said)
    return {name: said for name, all_ in found.items() if len(all_) == 1 and (said := all_.pop())}


def _labelled(row: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Ball: soft; or Ball and then soft, where a row is such a pair."""
    for text, behind in zip(row, [*row[1:], ""], strict=True):
        if found := _COLON.search(text):
            said = text[found.end() :].strip()
            yield text[: found.start()], said or behind
    if len(row) == 2 and not any(_COLON.search(text) for text in row):
        yield row[0], row[1]


def roof_said(above: Iterable[Sequence[Cell]]) -> bool | None:
    """Whether it was indoors, where the words above a table say one and not the other."""
    text = plain(" ".join(text_of(cell) for row in above for cell in row)[:_LONGEST])
    inside, outside = bool(_INSIDE.search(text)), bool(_OUTSIDE.search(text))
    return inside if inside != outside else None


_INSIDE = re.compile(
    r"\b(?:indoors?|inside|drinnen|interieur|en salle|interior|al coperto|indendørs|inomhus|"
    r"innendørs|innendors|indendors|binnen|sisalla|sisatila|hala|wewnatrz|uvnitr|beltei|kapalı|"
    r"в помещении|kryt)\b|屋内|室内|실내|室內"
)
_OUTSIDE = re.compile(
    r"\b(?:outdoors?|outside|draussen|im freien|exterieur|plein air|exterior|aire libre|ar livre|"
    r"all aperto|aperto|utomhus|utendørs|utendors|udendørs|udendors|buiten|ulkona|ulko|na zewnatrz|"
    r"na dworze|venku|szabadban|acık hava|на улице|открыт\w*)\b|屋外|室外|실외|야외|戶外|户外"
)
