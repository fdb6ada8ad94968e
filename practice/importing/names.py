"""What columns are called, in eight languages, and how near a header comes to it. Pure.

The words are general usage of the sport and of measuring (no source); none is a maker's own.
"""

import re
import unicodedata
from collections.abc import Sequence
from difflib import get_close_matches
from functools import lru_cache

# In lower case, without accents, units and signs.
_FIELDS = {
    "day": (
        "day|date|shot date|session date|date time|datetime|time stamp|timestamp|recorded at|"
        "when|recorded|zeitpunkt|cuando|quando|ts|datum|tag|jour|date du coup|fecha|dia|data|"
        "giorno|dag|dato"
    ),
    "session": (
        "session|session id|session name|set|group|series|sitzung|einheit|seance|sesion|serie|"
        "sessione|sessie|pass|sessao"
    ),
    "device": (
        "device|measured by|monitor|launch monitor|source|unit id|gerat|messgerat|appareil|"
        "dispositivo|aparato|apparaat|enhet"
    ),
    "ball": (
        "ball|ball type|ball name|balltyp|balle|type de balle|bola|pelota|tipo de bola|palla|"
        "pallina|bal|boll|bolltyp"
    ),
    "place": "place|location|range|venue|ort|standort|platz|lieu|lugar|luogo|plaats|plats|local",
    "player": (
        "player|player name|golfer|student|spieler|spielername|joueur|nom du joueur|jugador|"
        "giocatore|speler|spelare|spiller|schutze|joueuse|jugadora|giocatrice|jogador|schuler|"
        "eleve|alumno|allievo|leerling|elev"
    ),
    "club": (
        "club|club name|club type|club used|schlager|schlagertyp|schlaeger|club utilise|palo|"
        "stick|baton|ferro|bastone|klubba|kølle|kølletype|taco|golf club|golfclub"
    ),
    "length": (
        "length|swing length|swing|swing type|schwunglange|schwung|longueur de swing|"
        "longitud del swing|lunghezza swing|swinglengte|svinglangd"
    ),
    "target": (
        "target|target distance|intended distance|goal distance|ziel|zielweite|zielentfernung|"
        "zieldistanz|cible|distance cible|objetivo|distancia objetivo|bersaglio|doel|doelafstand|"
        "mal|malavstand"
    ),
    "effort": (
        "effort|felt effort|intent|percent effort|anstrengung|gefuhlt|intensitat|intensite|"
        "effort ressenti|esfuerzo|sforzo|inspanning|anstrangning"
    ),
    "carry": (
        "carry|carry distance|carry dist|carry length|distance carry|carrydistanz|carryweite|"
        "carry weite|carrylange|carry lange|flugweite|fluglange|portee|distance de vol|vol|vuelo|"
        "distancia de vuelo|acarreo|distancia carry|volo|distanza di volo|distanza carry|"
        "carried|draagafstand|voo|distancia de voo|carry længde|flyvelængde|carry afstand|"
        "carryafstand|vliegafstand|carry langd|carrylangd|carry avstand"
    ),
    "total": (
        "total|total distance|longueur totale|total dist|distance total|distance|gesamt|"
        "gesamtweite|gesamtlange|gesamtdistanz|gesamtentfernung|distance totale|totale|"
        "distancia total|distancia|"
        "samlet længde|total længde|distanza totale|distanza|totale afstand|totaal|total langd|"
        "totallangd|total avstand"
    ),
    "side": (
        "side|offline|off line|lateral|side distance|carry side|left right|deviation|"
        "side deviation|carry deviation|lateral deviation|lateral distance|dispersion|"
        "abweichung|seitliche abweichung|seitenabweichung|seite|seitlich|ecart lateral|ecart|"
        "deviation laterale|desviacion|desviacion lateral|deviazione|deviazione laterale|laterale|"
        "scarto|scarto laterale|zijafwijking|zijdelingse afwijking|sideafvigelse|afvigelse|"
        "desvio lateral|deviazione lat|scostamento|afwijking|zijwaartse afwijking|zijwaarts|"
        "avvikelse|sidoavvikelse|sida|desvio"
    ),
    "ball_speed": (
        "ball speed|ballspeed|ball velocity|speed ball|ballgeschwindigkeit|ballgeschw|balltempo|"
        "vitesse de balle|vitesse balle|vitesse de la balle|velocidad de bola|"
        "velocidad de la bola|velocidad bola|vel bola|velocita palla|velocita della palla|"
        "balsnelheid|bollhastighet|boldhastighed|vball|v ball|velocidade da bola"
    ),
    "club_speed": (
        "club speed|clubspeed|club head speed|clubhead speed|head speed|swing speed|"
        "club velocity|schlagerkopfgeschwindigkeit|schlagergeschwindigkeit|"
        "schlagerkopfgeschw|schlagergeschw|schlaegergeschwindigkeit|schlaegerkopfgeschwindigkeit|"
        "vitesse de club|vitesse club|vitesse du club|vitesse tete de club|"
        "vitesse de tete de club|velocidad del palo|velocidad palo|velocidad de la cabeza|"
        "velocidad cabeza|velocita bastone|velocita del bastone|velocita testa bastone|"
        "køllehastighed|køllehovedhastighed|vclub|v club|"
        "velocidad cabeza palo|vel cabeza palo|vel palo|clubsnelheid|clubhoofdsnelheid|"
        "klubbhastighet|klubbhuvudhastighet|velocidade do taco"
    ),
    "launch": (
        "launch|launch angle|vertical launch angle|vertical launch|launch v|abflugwinkel|"
        "startwinkel|angle de lancement|angle de decollage|angle d envol|angulo de lanzamiento|"
        "abschlagwinkel|angolo di decollo|angulo salida|udgangsvinkel|afgangsvinkel|"
        "angulo de salida|angolo di lancio|angolo di partenza|lanceerhoek|utgangsvinkel|"
        "angulo de lancamento"
    ),
    "spin": (
        "spin|spin rate|total spin|backspin|back spin|spinrate|gesamtspin|drall|ruckdrall|"
        "taux de spin|spin total|vitesse de rotation|giro|tasa de giro|efecto|rotazione|"
        "rotation|rotation arriere|rotacao|toeren|toerental|drehzahl|omwentelingen|"
        "spinsnelheid|spinn|backspinn"
    ),
    "is_clean": (
        "clean|is clean|good|good shot|clean strike|sauber|sauber getroffen|propre|net|limpio|"
        "pulito|schoon|ren|ren traff"
    ),
}
# What such files hold besides, and we keep nothing of. A header nearer to one of these is left out.
_OTHERS = (
    "smash|smash factor|smashfaktor|apex|height|max height|peak height|apex height|hohe|"
    "scheitelhohe|hauteur|hauteur maximale|altura|altezza|hoogte|hojd|hang time|flight time|"
    "flugzeit|temps de vol|tiempo de vuelo|spin axis|spinachse|axe de spin|axe de rotation|"
    "eje de giro|asse di spin|side spin|sidespin|attack angle|angle of attack|eintreffwinkel|"
    "anstellwinkel|angle d attaque|angulo de ataque|angolo di attacco|club path|path|schlagerpfad|"
    "schwungbahn|chemin de club|face angle|face|club face|schlagflache|face to path|"
    "launch direction|direction|startrichtung|direction de depart|azimuth|horizontal launch|"
    "horizontal launch angle|launch h|launch side|landing angle|landewinkel|angle de chute|"
    "descent angle|dynamic loft|loft|temperature|temp|temperatur|humidity|wind|roll|run|"
    "ausrollen|roulement|rodada|shot|shot number|shot no|no|nr|number|id|index|ball no|"
    "ball number|time|uhrzeit|heure|hora|ora|tijd|notes|note|comment|comments|bemerkung|tags|"
    "altitude|pressure|low point|tempo|swing plane|swing direction|speed|geschwindigkeit|vitesse|"
    "velocidad|velocita|snelheid|hastighet|distance to pin|efficiency|coup|schlag|golpe|colpo|"
    "slag|ball speed difference|carry efficiency|max height distance|shot type|shot shape|"
    "observaciones|opmerking|opmerkingen|observacoes|bemærkning|note di gioco|abschlagplatz|"
    "impact height|impact offset|air density|kommentar|nummer|numero|mode|units|score"
)
OTHER = ""
BY_NAME = {name: each for each, names in _FIELDS.items() for name in names.split("|")}
BY_NAME |= dict.fromkeys(_OTHERS.split("|"), OTHER)
# A speed under a bare noun is that thing's speed; so are figures with decimals, for no ball and
# no club is called 65.2.
SPEED_OF = {"ball": "ball_speed", "club": "club_speed"}

_UNITS = {
    "m": "m meter meters metre metres metro metri metros mtr",
    "yd": "yd yds yard yards yarda yardas iarde",
    "ft": "ft foot feet",
    "mps": "m/s mps ms-1 m/sec",
    "kmh": "km/h kmh kph km/u",
    "mph": "mph mi/h",
    "deg": "deg degree degrees ° grad gradi grados degres graden",
    "rpm": "rpm u/min tr/min 1/min t/min g/min giri/min",
    "percent": "% percent prozent pct",
    "s": "s sec seconds",
}
UNIT_OF = {written: unit for unit, names in _UNITS.items() for written in names.split()}
_IN_BRACKETS = re.compile(r"[(\[{]\s*([^)\]}]{1,12}?)\s*[)\]}]")
_AT_END = re.compile(r"(?:[,_\s/.]|\bin)\s*([A-Za-zéè]{1,8}/?[A-Za-z]{0,4}|[°%])\s*$")
ENOUGH, NEAR = 0.62, 0.86
# How words are cut short in a heading; each stands for itself wherever it is.
_SHORT = {
    "spd": "speed", "hd": "head", "ang": "angle", "dist": "distance", "dev": "deviation",
    "lat": "lateral", "avg": "average", "len": "length",
}  # fmt: skip
# To compare a text with all names takes some milliseconds, and a row may have 2,000 cells.
LOOKED_ACROSS = 100


def unit_of(text: str) -> str:
    """The unit that a bare text names, or nothing: 'mph', '[m/s]', 'U/min'."""
    return UNIT_OF.get(text.strip("[](){} .").casefold(), "")


def bare(header: str) -> tuple[str, str]:
    """A header as it is compared, and the unit that it names, if any."""
    text, unit = header.strip(), ""
    for found in _IN_BRACKETS.finditer(text):
        unit = unit or unit_of(found[1])
    text = _IN_BRACKETS.sub(" ", text).strip()
    text = re.sub(r"([a-z])([A-Z])", r"\1 \2", text)
    if not unit and (at_end := _AT_END.search(text)) and (unit := unit_of(at_end[1])):
        text = re.sub(r"\b(?:in|en)\s*$", "", text[: at_end.start()])
    spread = unicodedata.normalize("NFKD", text.replace("#", " no ").casefold())
    plain = "".join(sign for sign in spread if not unicodedata.combining(sign))
    words = re.sub(r"[\W_]+", " ", plain).split()
    return " ".join(_SHORT.get(word, word) for word in words), unit


@lru_cache(4096)
def likeness(text: str) -> dict[str, float]:
    """How near a bare header comes to each of our fields and to OTHER, from 0 to 1."""
    if text in BY_NAME:
        return {BY_NAME[text]: 1.0}
    found: dict[str, float] = {}
    tokens = text.split()
    for name, each in BY_NAME.items():
        said = name.split()
        if sorted(said) == sorted(tokens):
            score = 0.97
        elif set(said) < set(tokens) and len(name) > 2:
            # Something is said besides: 'avg carry', 'carry flat'; the more, the less sure.
            score = 0.9 * len("".join(said)) / len("".join(tokens))
        else:
            continue
        found[each] = max(found.get(each, 0.0), score)
    for rank, name in enumerate(get_close_matches(text, BY_NAME, n=4, cutoff=NEAR)):
        each = BY_NAME[name]
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
