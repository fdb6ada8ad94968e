"""What columns are called, in eight languages, and how near a header comes to it. Pure.

Whole headings stand here, the words that headings are made of in `meaning`.

The words are general usage of the sport and of measuring (no source); none is a maker's own.
"""

import re
from collections.abc import Sequence
from difflib import get_close_matches
from functools import lru_cache

from practice.importing.meaning import LONG, NEAR, NEAR_LONG, OTHER, meaning, plain

# What no words put together say (`meaning`). In lower case, without accents, units and signs.
_FIELDS = {
    "day": "session date|time stamp|recorded at|captured at|recorded|ts|dt",
    "session": (
        "pas|økt|harjoitus|trenink|trening|edzes|sesiune|seans|antrenman|тренировка|тренування|"
        "session|session id|session name|set|group|series|sitzung|einheit|seance|sesion|serie|"
        "sessione|sessie|pass|sessao|sess|sesja|okt|bucket"
    ),
    "device": (
        "measured with|device|measured by|monitor|launch monitor|source|src|unit id|gerat|"
        "messgerat|appareil|"
        "dispositivo|aparato|apparaat"
    ),
    "place": (
        "course|golf course|"
        "place|location|range|venue|facility|wo|ou|donde|dove|onde|waar|var|hvor|gdzie|kde|"
        "where|ort|standort|platz|lieu|lugar|luogo|plaats|plats|local"
    ),
    "player": (
        "imię i nazwisko|nome completo|nom complet|nombre completo|"
        "kid|junior|pupil|child|kind|who|wer|quien|qui|chi|wie|vem|hvem|kto|kdo|kuka|name|"
        "nombre|nom|naam|namn|navn|nome|"
        "名前|player|player name|golfer|student|spieler|"
        "spielername|joueur|nom du joueur|jugador|giocatore|speler|spelare|spiller|schutze|"
        "joueuse|jugadora|giocatrice|jogador|schuler|eleve|alumno|allievo|leerling|elev"
    ),
    "club": (
        "iron wood|ferro legno|jern træ|jern trae|eisen holz|fer bois|hierro madera|"
        "wedge|iron|irons|eisen|wedges|fer|hierro|which club|stick used|club used|club utilise|"
        "baton|ferro|jern|golf club|番手"
    ),
    "length": (
        "ausholbewegung|ausholweg|amplitude|amplitud|スイング幅|振り幅|스윙 크기|"
        "스윙폭|挥杆幅度|svinglengde|"
        "length|swing length|swing|swing type|swing size|how long|clock|backswing|back swing|"
        "schwunglange|schwung|longueur de swing|"
        "longitud del swing|lunghezza swing|swinglengte|svinglangd"
    ),
    "target": "intended distance|goal distance|malavstand",
    "effort": (
        "eff|feel|how hard|exertion|rpe|effort|felt effort|intent|percent effort|anstrengung|"
        "gefuhlt|intensitat|intensite|"
        "effort ressenti|esfuerzo|sforzo|inspanning|anstrangning"
    ),
    "carry": (
        "delka letu|дальность полета|дальность|"
        "flew|"
        "carry x|carry length|cd|cry|landed|gelandet|atterrie|atterraggio|geland|landade|landet"
    ),
    "total": (
        "общее расстояние|"
        "final x|total x|rolled out|rolled out distance|ends up|finished|finish|came to rest|"
        "fin|ran out to|"
        "ended up|distance|distancia|distanza|td"
    ),
    "side": (
        "neben der linie|naast de lijn|avstand fran linjen|afstand fra linjen|avstand fra linjen|"
        "a cote de la ligne|fuera de linea|fuori linea|off the line|from the line|obok linii|"
        "vanster hoger|venstre højre|venstre høyre|vasen oikea|lewo prawo|vlevo vpravo|"
        "bal jobb|stanga dreapta|sol sag|лево право|esq dir|l p|"
        "carry z|carry y|ofl|offl|off line|left right|l r|r l|g d|li re|links rechts|sx dx|i d|"
        "e d|v h|izq dcha|"
        "gauche droite|izq der|zijdelingse afwijking"
    ),
    "ball_speed": (
        "b speed|ball sp|b hast|bhast|bs|bg|vb|bspd|balsnelheid|boldhastighed|vball|v ball|top hızı"
    ),
    "club_speed": (
        "impact speed|c speed|k hast|khast|sk tempo|cs|chs|skg|sg|ss|vc|cspd|vclub|v club|"
        "rychlost hole|rychlost hlavy hole|hs"
    ),
    "launch": (
        "l angle|vertical angle|la|vla|la v|v angle|va|vert angle|"
        "кут вильоту|angle de sortida|utskytningsvinkel|stardinurk"
    ),
    "spin": ("omwentelingen|ts|tspin|t spin|rpm|rpms|ruckdrall|retro|retroceso|geri donus"),
    "ball": "top markası|top tipi",
    "is_clean": (
        "clean hit|well hit|struck|clean|is clean|good|good shot|clean strike|sauber|sauber "
        "getroffen|propre|net|limpio|"
        "pulito|schoon|ren|ren traff"
    ),
}
# What such files hold besides, and we keep nothing of. A header nearer to one of these is left out.
_OTHERS = (
    "max height|hauteur maximale|hang time|schlagflache|launch h|roulement|tags|low point|tempo|"
    "swing plane|speed|geschwindigkeit|vitesse|velocidad|velocita|snelheid|hastighet|shot type|"
    "shot shape|bemærkning|note di gioco|abschlagplatz|impact height|impact offset|air density|"
    "dist to target|distance to target|mode|units|score|hla|aoa|sf|vmax|sa|da|apx|h angle|"
    "lie angle|roll out|rollout|stance|odległosc do celu|vzdalenost k cili|расстояние до цели|"
    "køllehoved|club head|distance au drapeau|distance a la cible|abstand zum ziel|zielabstand|"
    "lon|lng|latitude|longitude|gps|"
    "avstand till mal|afstand tot doel|distanza dal bersaglio|distancia al objetivo|"
    "distancia a bandera|to pin|to flag|to hole|keep|line|"
    "carry diff|残り距離|남은 거리|剩余距离|miss|"
    "lie|ha|started at|exported at|created at|updated at|pts|points|punkte|run|roll"
)
BY_NAME: dict[str, tuple[str, ...]] = dict.fromkeys(map(plain, _OTHERS.split("|")), (OTHER,))
for _each, _names in _FIELDS.items():
    for _name in map(plain, _names.split("|")):
        BY_NAME[_name] = (*BY_NAME.get(_name, ()), _each)
# A speed under a bare noun is that thing's speed; so are figures with decimals, for no ball and
# no club is called 65.2.
SPEED_OF = {"ball": "ball_speed", "club": "club_speed"}

_UNITS = {
    "m": ("m meter meters metre metres metro metri metros mtr mt mts metry metrow metrów メートル"),
    "yd": "yd yds jd jds verge verges yard yards yarda yardas iarde jardas ヤード",
    "ft": "ft voet fot. foot feet stopy fot fod pieds pies piedi fuss フィート",
    "mps": "m/s mps ms-1 m/sec m/sek",
    "fps": "ft/s fps ft/sec",
    "kmh": "km/h kmh kph km/u km/t km/godz",
    "mph": "mph mi/h mi/std",
    "deg": "deg gr graus degree degrees ° grad gradi grados degres graden grader stopnie º 度",
    "rpm": (
        "rpm tpm u/min tr/min 1/min t/min g/min giri/min varv/min obr/min obr./min omw/min "
        "omdr/min o/min rot/min giros/min 回転/分"
    ),
    "percent": "% percent prozent pct",
    "s": "s sec seconds ms",
    "cm": "cm centimeter centimetre centimeters centimetres zentimeter centimetri centimetros "
    "cms センチ",
    "in": "inch inches zoll pouce pouces pulgadas pollici tum tommer",
    "little": "mm",
}
UNIT_OF = {written: unit for unit, names in _UNITS.items() for written in names.split()}
_IN_BRACKETS = re.compile(r"[(\[{（［]\s*([^)\]}）］]{1,12}?)\s*[)\]}）］]")
_AT_END = re.compile(r"(?:[,_\s/.]|\bin)\s*([A-Za-zéè]{1,8}/?[A-Za-z]{0,4}|[°%])\s*$")
ENOUGH = 0.62
# What the words of a heading mean together counts where they are so much of it.
WELL_SAID = 0.75
# How words are cut short in a heading; each stands for itself wherever it is.
_SHORT = {
    "spd": "speed", "hd": "head", "ang": "angle", "dist": "distance", "dev": "deviation",
    "lat": "lateral", "avg": "average", "len": "length",
}  # fmt: skip
# To compare a text with all names takes some milliseconds, and a row may have 2,000 cells.
LOOKED_ACROSS = 100


# However a language calls an hour, a second or a turn.
_ENDINGS = {
    r"(?:km|км)[/ ]?(?:h|u|t|std|godz|hod|sa|ora|óra|ч|시|時)\.?": "kmh",
    r"(?:m|м)/(?:s|с|sek|sec|sn|초|秒)\.?": "mps",
    r"[^\W\d_]{1,5}\.?/(?:min|perc|dk|dak|мин|분|分)\.?": "rpm",
}
_SPELLED_OUT = 3
# Spelled out, with the endings of a noun: w metrach, v jardech, metreinä.
_NOUN = r"(?:s|a|as|e|en|er|ern|es|i|n|o|os|ach|ami|ech|ow|y|u|eina)?"
_SPELLED = {re.compile(rf"met(?:e?r|re){_NOUN}"): "m", re.compile(rf"[yj]ard{_NOUN}"): "yd"}
# A figure by the minute, written with what a name of a column may hold: giri_min, obr min.
_BY_MINUTE = re.compile(
    r"\b(rev|u|tr|t|g|giri|giros|obr|omw|omdr|varv|rot|ot|o|kierr)[_ .]+min$", re.IGNORECASE
)


def unit_of(text: str) -> str:
    """The unit that a bare text names, or nothing: 'mph', '[m/s]', 'U/min', 'mètres'."""
    said = text.strip("[](){} .").casefold()
    if said in UNIT_OF:
        return UNIT_OF[said]
    for pattern, unit in _ENDINGS.items():
        if re.fullmatch(pattern, said):
            return unit
    if len(said) <= _SPELLED_OUT:
        return ""
    word = plain(said)
    ended = (unit for form, unit in _SPELLED.items() if form.fullmatch(word))
    return UNIT_OF.get(word) or next(ended, "")


# What stands in brackets as a unit that we do not know: it is not the usual one.
UNKNOWN = "unknown"
# A heading that is nothing but a unit, which is then what it says.
_ALONE = frozenset({"m", "yd", "ft", "mps", "fps", "kmh", "mph", "rpm"})
_A_UNIT = re.compile(r"[^\W\d_]{1,4}[/·*][^\W\d_]{1,5}")


def bare(header: str) -> tuple[str, str]:
    """A header as it is compared, and the unit that it names, if any."""
    text, unit = header.strip(), ""
    # Two ways of one ball, told apart by the letters of their English names.
    text = re.sub(r"\(C\)$", " carry", re.sub(r"\(T\)$", " total", text))
    text = _BY_MINUTE.sub(r"\1/min", text)
    if (whole := unit_of(text)) in _ALONE:
        return plain(text), whole
    for found in _IN_BRACKETS.finditer(text):
        unit = unit or unit_of(found[1]) or (UNKNOWN if _A_UNIT.fullmatch(found[1]) else "")
    text = _IN_BRACKETS.sub(" ", text).strip()
    text = re.sub(r"([a-z])([A-Z])", r"\1 \2", text)
    # What is flown + what is rolled is one way; to the left or right is said by two letters.
    text = re.sub(r"(?:(?<=[^\W\d_])|^)\s*(?:\+|\bw/)\s*(?=[^\W\d_])", " with ", text)
    text = re.sub(r"\b[LG]\s*/\s*[RD]\b", "lr", text)
    if not unit and (at_end := _AT_END.search(text)) and (unit := unit_of(at_end[1])):
        text = re.sub(r"\b(?:in|en)\s*$", "", text[: at_end.start()])
    words = plain(text.replace("#", " no ")).split()
    return " ".join(_SHORT.get(word, word) for word in words), unit


@lru_cache(4096)
def likeness(text: str) -> dict[str, float]:
    """How near a bare header comes to each of our fields and to OTHER, from 0 to 1."""
    if text in BY_NAME:
        # Of two that are written alike the cells say which: TS is a time or the whole spin.
        return dict.fromkeys(BY_NAME[text], 1.0)
    meant, share = meaning(text)
    if meant is not None and share >= WELL_SAID:
        return {meant: share}
    found: dict[str, float] = {}
    tokens = text.split()
    for name, fields in BY_NAME.items():
        said = name.split()
        if sorted(said) == sorted(tokens):
            score = 0.97
        elif set(said) < set(tokens) and len(name) > 2:
            # Something is said besides: 'avg carry', 'carry flat'; the more, the less sure.
            score = 0.9 * len("".join(said)) / len("".join(tokens))
        else:
            continue
        for each in fields:
            found[each] = max(found.get(each, 0.0), score)
    cutoff = NEAR if len(text) < LONG else NEAR_LONG
    for rank, name in enumerate(get_close_matches(text, BY_NAME, n=4, cutoff=cutoff)):
        for each in BY_NAME[name]:
            found[each] = max(found.get(each, 0.0), 0.92 - 0.04 * rank)
    return found


def known_in(row: Sequence[object]) -> set[str]:
    """The cells of a row that are surely names of columns, among the first LOOKED_ACROSS."""
    cells = {cell for cell in row[:LOOKED_ACROSS] if isinstance(cell, str) and cell}
    return {cell for cell in cells if is_known(cell)}


def is_known(header: str) -> bool:
    """Whether this is surely the name of a column, ours or another."""
    near = likeness(bare(header)[0])
    return bool(near) and max(near.values()) > NEAR
