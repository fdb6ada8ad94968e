"""What a heading means by the words it is made of, in a dozen languages. Pure.

A heading that no list has, such as *Geschw. Ball* or *prędkość kija*, is taken apart into what
its words stand for, compounds too, and those together say what the column is. The words are
general usage of the sport and of measuring (no source); none is a maker's own.
"""

import re
import unicodedata
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache

# Each thing a word can stand for, with stems of words for it: a word may go on behind a stem.
# Stems of fewer than four letters, and those with a point behind, are whole words.
_WORDS = {
    "ball": (
        "ball balle bollen bola pelota palla pallina bal boll bolas boldens bold. piłk pallo "
        "mic. mice. ボール 球 labda minge. мяч мяча 볼 공"
    ),
    "club": (
        "schl stok canne kol golfkoll golfclub クラブ club schlager schlaeger palo bastone "
        "glowk hlavy. hlava. hul. hole. clubhead 杆头 球杆 "
        "mazza taco klubb kølle kolle koller kij kija maila hole. "
        "uto. sopa. crosa клюшк 클럽 球杆 球桿"
    ),
    "stick": ("stick overload underload"),
    "head": "헤드 head kopf tete. cabeza testa hoofd huvud hoved hode cabeca głow głowic ヘッド",
    "swing": "swing schwung svingn sving スイング",
    "speed": (
        "速 sebesseg hiz. viteza скорост 속도 스피드 "
        "geschwindigk velocidad velocita prędk predk v0. fart. pr. speed spd velocity vel "
        "geschw vitesse vit velocid velocit snelh hastigh hast fart predkosc nopeus rychlost "
        "スピード 速度 tempo."
    ),
    "first": "initial inicial iniziale anfangs aanvang begin poczatk",
    "first speed": "初速",
    "launch": (
        "opsend opsendelse elevat elevac uscita. uitgang vertrek ablauf utslag utskjut 打出角 "
        "wylot launch abflug start abschlagw lancement decollage envol lanzam salida despegue "
        "lancio decollo partenza lanceer lancer. utgang udgang afgang lancam saida. depart "
        "wyrzut vzletov elevation takeoff startow wybici lahto inditas cikis. lansare вылет "
        "запуск 발사 发射 發射 起飞 "
        "打ち出し 打出し 打出"
    ),
    "angle": (
        "angle ang winkel angulo angolo hoek vinkel kat kulma uhel szog. aci. unghi угол 각도 각 "
        "角度 角"
    ),
    "v": "v",
    "upright": "up. vertical vertikal vert verticale verticaal 上下",
    "level": (
        "suunta smer horizontal horiz hor azimut direction dir richtung direccion direzione "
        "richting riktning retning direcao kierun 方向 orizzontal"
    ),
    "spin": (
        "spin drall rotation rotaz rotac rotacj giro. efecto effet effetto efeito toeren "
        "drehzahl drehung obroty kierteet obrot kierre kierto rotace porges donus вращен 스핀 旋转 "
        "旋轉 "
        "自旋 スピン 回転"
    ),
    "back": "백 back backw wsteczn ruck arriere. retro bakat バック",
    "rate": "rate. taux tasa tasso zahl aantal antal 量 数 率 value wert",
    "carry": (
        "flukt carry carri flight flug portee vol vuelo volo voo vlieg vlucht flyve flyv fly "
        "flyg flykt kanto. vuela. kantama 飞行 acarreo draag lot lotu lentom lento. let. repul "
        "tasima полет "
        "кэрри 캐리 "
        "キャリー"
    ),
    "air": ("air. luft aire. aria. lucht."),
    "total": (
        "slut final ende end. finale 終 total tot ges gesamt samlet sammanlagd overall celkov "
        "celkova delka. всего 总共 "
        "całkow calkow kokonais celkem teljes osszes toplam итог общ. общая 토탈 총 总 總 "
        "トータル 総 totaal insgesamt compless acaba. final. finish finished ended ends"
    ),
    "distance": (
        "distancia distanza distance dist distanc distanz weite lange laenge entfern strecke "
        "longueur long lunghezza gittata afstand lengte avstand langd længd laengd lengde "
        "comprim odległosc dystans pituus matka vzdalen tavolsag mesafe distanta дистанц "
        "расстоян 비거리 거리 "
        "距离 距離 metros. länge"
    ),
    "side": (
        "deriva snett fuori offlin zboczen skew 曲がり aside venstre hoyre højre hoger linea. side "
        "sideways cote lateral lat offline seite seitl deviat dev abweich abw ecart desviac "
        "desv desvio deviaz scarto scostam afwijk afw zij. zijd zijw zijaf avvik afvig sido "
        "sida. sidl odchyl boczn sivu poikkeam 左右 ブレ ずれ disper versatz streu zijwaarts "
        "linksrechts leftright gauche droite izquierda derecha afv. offl. elteres sapma. abatere "
        "отклон 좌우 편차 偏差"
    ),
    "axis": "axis achse axe eje asse axel akse eixo osi 軸 tilt kipp",
    "attack": (
        "attack attaq ataque attacc anstell eintreff angrep angreb aanval natarc 入射 aoa "
        "anfall treffwinkel"
    ),
    "path": "path pfad bahn chemin trayect traiett pad. bana. bane. sciezk 軌道 パス",
    "face": "face flache blatt cara. faccia vlak. blad. flade フェース",
    "height": (
        "height apex hohe hoehe scheitel gipfel hauteur altura altezz apogee hoogte hojd højd "
        "hoyde wysok korkeus vyska 高さ 最高 peak sommet"
    ),
    "landing": (
        "landing landew landung descent descente chute atterr aterr caida. discesa nedslag "
        "ladowan opadan 落下 落ち"
    ),
    "loft": "loft dyn dynam ロフト",
    "smash": (
        "smash factor faktor fattor facteur efficien effizien ratio. rapport quotient "
        "wspołczyn ミート"
    ),
    "time": (
        "hora godz time. uhrzeit zeit heure hora. ora. tijd tid czas godzin 時刻 時間 temps. "
        "tiempo klockslag durat dauer 시간 время"
    ),
    "clock": "clock reloj horloge orologio relogio klok. klokke. zegar zeiger",
    "date": (
        "tidspunkt 日時 data. fecha date datum jour dia data dato dag. tag. day. dzien paiva "
        "tarih дата 날짜 일자 日期 captured recorded "
        "日付 年月日 timestamp zeitpunkt zeitstempel horodat quando cuando when. giorno "
        "datetime"
    ),
    "number": "seq lp lopnr løbenr no nr num number nummer numero index idx id lfd 番号 count",
    "shot": "shot schlag. coup golpe colpo tiro. slag skott strzał uderz lyonti ショット",
    "roll": (
        "rulle roll. run. ausroll auslauf roul rodada rodado rotol uitrol rull rul toczen "
        "rotolo rouleau ラン"
    ),
    "curve": "curve kurve curva courbe kurva bocht bend. draw. fade.",
    "weather": (
        "temp temperat humid feucht wind vent viento vento luftdruck pressure druck altit "
        "weather "
        "wetter meteo clima 気温 天気 風"
    ),
    "note": (
        "observacion anteckning 備考 anteckn note notes notiz bemerk comment kommentar observ "
        "opmerk anmerk remarq commento comentar uwagi メモ"
    ),
    "kind": (
        "marke märke merk type typ typen tipo brand marca marque make. modell model modele "
        "name. namn navn nom. nombre nome naam 名 種類"
    ),
    "target": (
        "meta. cil. 目标 goal. intended objectif wanted hedef cel. цель 타겟 "
        "tgt aim aimed target ziel cible objetivo obiett bersagl doel mal. tavoite alvo. 目標 "
        "cel celu"
    ),
    "with": "mit with incl inkl avec con med met",
    "good": (
        "reussi flush ok. buena rating. wertung bewert avaliac valutaz valorac beoordel betyg "
        "vurder ocena good gut. bon bonne bra buono bueno bom boa dobr goed god. pure keep "
        "quality qualit qualid kvalit jakosc kwalit treffer esito clean solid sauber resultado "
        "resultat 判定 良 "
        "limp net. nett. nette. netta propre pulit schoon. ren. czyst cist. puhdas "
        "temiz чист ciste. cisty. rent. bien."
    ),
    "strike": (
        "zasah hit. tapee. strike frappe batida contact kontakt contatt contato osuma úder "
        "getroffen "
    ),
    "player": (
        "pelaaja player golfer golfare spieler joueu jugad giocat speler spelare spiller jogad "
        "zawodn grac athlete user. student schuler eleve alumn alliev leerling プレーヤー 選手 "
        "氏名 hrac. jatekos oyuncu jucator игрок 사용자 선수 이름 球员 姓名"
    ),
    "place": (
        "paikka site. locat lokal standort place location venue where anlage lieu lugar luogo "
        "plaats plats "
        "sted local. miejsce facility campo. location. misto. hely. yer. место 장소 地点 会場 場所"
    ),
    "device": (
        "sensor radar zarizeni laite simula device gerat appareil dispositiv aparat "
        "aparelh apparat apparaat urzadz "
        "計測器 機器 장비 기기 gadget прибор 设备"
    ),
    "unit": "unit einheit unite unidad unita eenheid enhet enhed jednostk 単位",
    "effort": (
        "ressenti gevoel fuerza fiilis power effort anstreng gefuhl feel. felt. intens esfuerz "
        "esfuers esforc sforz inspann "
        "anstrang innsats "
        "wysilek felt"
    ),
    "rest": "left. gap. gaps. pin. hole. fahne rest remain restant 残り difference diff",
}
# Words between the others, which say nothing, or how a figure was come by.
_FILL_WORDS = (
    "de la le les du des d l el del della dello dei di da do das der die den dem of the at in "
    "en im am a an van het och og i na w z po avg average mean mittel moyenne media promedio "
    "gemiddeld flat corrected measured gemessen mesure est calc"
)
_FILL = frozenset(_FILL_WORDS.split())


@dataclass(frozen=True, slots=True)
class _Rule:
    """A field, where a word of each of `needs` is said and nothing but `may`."""

    field: str
    needs: tuple[str, ...]
    may: str

    def takes(self, said: set[str]) -> bool:
        needs = (set(each.split("|")) for each in self.needs)
        return all(said & each for each in needs) and said <= set(self.may.split())


# The first that takes what is said counts.
_RULES = (
    _Rule("side", ("side",), "air side distance carry total landing ball kind level rate shot"),
    _Rule("club_speed", ("speed", "club|head|swing|stick"), "speed first club head swing stick"),
    _Rule("ball_speed", ("speed", "ball|first|launch"), "speed first ball launch"),
    _Rule("spin", ("spin",), "spin back rate total ball speed"),
    _Rule("target", ("target",), "target distance carry total"),
    _Rule("day", ("date",), "date time shot"),
    _Rule("launch", ("upright", "angle"), "upright angle ball"),
    _Rule("launch", ("launch|first",), "launch first angle upright ball"),
    _Rule("carry", ("carry",), "carry distance ball shot landing"),
    _Rule("carry", ("landing|air", "distance"), "air landing distance ball"),
    _Rule("total", ("total",), "total distance ball shot"),
    _Rule("total", ("roll", "with"), "roll with distance total carry"),
    _Rule("is_clean", ("good",), "good shot ball strike"),
    _Rule("effort", ("effort",), "effort swing"),
    _Rule("player", ("player",), "player kind"),
    _Rule("place", ("place",), "place kind"),
    _Rule("device", ("device",), "device kind"),
    _Rule("ball", ("ball",), "ball kind"),
    _Rule("club", ("club|stick",), "club kind head stick"),
)
# Where none does, and one of these is said, it is something that we do not keep.
_NOT_OURS = {
    "air",
    "axis",
    "attack",
    "path",
    "curve",
    "face",
    "height",
    "landing",
    "loft",
    "smash",
    "roll",
    "weather",
    "note",
    "rest",
    "level",
    "side",
    "time",
    "number",
    "shot",
    "strike",
    "clock",
}
OTHER = ""
NEAR, _A_WORD, _FILLS = 0.86, 4, 0.9
LONG, NEAR_LONG = 6, 0.83
_LONGEST_WORD, _BESIDES = 40, 0.01
_Said = tuple[tuple[str, ...], float]


def plain(text: str) -> str:
    """Small letters without accents, everything else a space."""
    spread = unicodedata.normalize("NFKD", text.casefold())
    kept = "".join(sign for sign in spread if not unicodedata.combining(sign))
    kept = unicodedata.normalize("NFC", kept)  # The signs of Korean, which were spread too.
    return " ".join(re.sub(r"[\W_]+", " ", kept).split())


def _stems() -> tuple[dict[str, str], dict[str, str]]:
    whole, open_ = {}, {}
    for thing, words in _WORDS.items():
        for word in words.split():
            stem = plain(word)
            is_written_in_signs = not stem.isascii() and len(stem) < 4 and ord(stem[0]) > 0x2E80
            if word.endswith(".") or (len(stem) < 4 and not is_written_in_signs):
                whole[stem] = thing
            else:
                open_[stem] = thing
    return whole, open_


_WHOLE, _OPEN = _stems()
_LONGEST = max(map(len, _OPEN))
_LONGEST_ENDING = {1: 1, 2: 1, 3: 2, 4: 2, 5: 4}
# Behind what somebody holds in his hand only the endings of a noun: no klubbväg.
_OF_A_THING = 2
_JOINT = ("", "s", "n", "en", "es", "e")


@lru_cache(4096)
def _things_in(word: str, *, is_alone: bool = False) -> _Said:
    """What one word stands for, and how many of its letters say so; compounds are taken apart."""
    if word in _FILL or word.isdigit():
        return (), _FILLS * len(word)
    if word in _WHOLE:
        return (_WHOLE[word],), len(word)
    found = _taken_apart(word)
    return found if found[0] else _nearly(word, is_alone=is_alone)


def _nearly(word: str, *, is_alone: bool) -> _Said:
    """The same of a word with a slip of the finger in it."""
    cutoff = NEAR if len(word) < LONG else NEAR_LONG
    near = get_close_matches(word, _OPEN, n=1, cutoff=cutoff) if len(word) > 3 else []
    if near and near[0][0] == word[0]:
        return (_OPEN[near[0]],), len(word) - 1
    thing = _cut_short(word, is_alone=is_alone)
    return ((thing,), _CUT_SHORT * len(word)) if thing else ((), 0)


# English words that are written without their vowels: clb, tgt, ofl.
_WRITTEN_SHORT = (
    "ball club speed launch angle spin carry total side target height apex smash attack path "
    "face "
    "landing loft effort date"
)
_SKELETONS = {word: word for word in _WRITTEN_SHORT.split()} | {
    "offline": "side",
    "distance": "distance",
    "player": "player",
    "clean": "good",
}
_VOWELS = frozenset("aeiou")
_SHORTEST, _CUT_SHORT = 3, 0.85


def _cut_short(word: str, *, is_alone: bool) -> str:
    """The one thing of which a word is the start, or the letters without the vowels.

    Three letters alone are the start of hardly anything: *Rep* is no flight.
    """
    if len(word) < _SHORTEST:
        return ""
    longest = len(word) + 1 if is_alone and len(word) == _SHORTEST else _LONGEST_WORD
    starts = {
        thing
        for stem, thing in (_OPEN | _WHOLE).items()
        if stem.startswith(word) and len(stem) <= longest
    }
    if starts:
        return starts.pop() if len(starts) == 1 else ""
    if _VOWELS & {*word[1:]}:
        return ""
    things = {
        thing for full, thing in _SKELETONS.items() if full[0] == word[0] and _in_order(word, full)
    }
    return things.pop() if len(things) == 1 else ""


def _in_order(letters: str, word: str) -> bool:
    """Whether a word has these letters one after the other."""
    rest = iter(word)
    return all(letter in rest for letter in letters)


@lru_cache(4096)
def _taken_apart(word: str) -> _Said:
    if word in _OPEN:
        return (_OPEN[word],), len(word)
    best: _Said = (), 0
    for length in range(min(_LONGEST, len(word)), 0, -1):
        start, rest = word[:length], word[length:]
        thing = _OPEN.get(start) or (_WHOLE.get(start) if length > 2 else None)
        if thing is None:
            continue
        # A short stem has short endings only: a ballast is no ball.
        longest = _LONGEST_ENDING.get(length, 5)
        longest = min(longest, _OF_A_THING) if thing in {"ball", "club"} else longest
        if start in _OPEN and len(rest) <= longest:
            best = max(best, ((thing,), len(word)), key=lambda each: each[1])
        for joint in _JOINT:
            if rest.startswith(joint) and len(rest) > len(joint):
                behind = rest[len(joint) :]
                things, letters = (
                    ((_WHOLE[behind],), len(behind))
                    if behind in _WHOLE and len(behind) > 2
                    else _taken_apart(behind)
                )
                if things:
                    whole = (thing, *things), length + len(joint) + letters
                    best = max(best, whole, key=lambda each: (each[1], len(each[0])))
    return best


def things_in(text: str) -> set[str]:
    """What the words of a text stand for, in names of our own: `carry`, `speed`."""
    return _said(text)[0]


def _said(text: str) -> tuple[set[str], float]:
    """The same, and how much of the text says it."""
    words = plain(text).split()
    said: set[str] = set()
    letters, known = 0, 0.0
    joined = _joined(words)
    for word in joined:
        things, many = _things_in(word[:_LONGEST_WORD], is_alone=len(joined) == 1)
        said.update(*(thing.split() for thing in things))
        known += many
        # A letter alone is short for something: not to know it is not to know a word.
        letters += len(word) if many or len(word) > 1 else _A_WORD
    return said, known / max(1, letters)


def _joined(words: list[str]) -> list[str]:
    """Two words that are one where it is written together: *take-off*, *off-line*."""
    found: list[str] = []
    for word in words:
        before = found[-1] if found else ""
        is_one = before + word in _OPEN or before + word in _WHOLE
        if before and is_one and not (before in _OPEN or before in _WHOLE):
            found[-1] = before + word
        else:
            found.append(word)
    return found


def meaning(heading: str) -> tuple[str | None, float]:
    """One of our fields, OTHER, or None where the words do not say; and how much of the heading
    says so, from 0 to 1. `heading` without its unit.

    >>> meaning("Geschw. Ball")
    ('ball_speed', 1.0)
    """
    said, share = _said(heading)
    if not said:
        return None, 0.0
    if "v" in said:
        said = said - {"v"} | ({"upright"} if said & {"launch", "angle"} else {"speed"})
    rule = next((rule for rule in _RULES if rule.takes(said)), None)
    if rule and rule.field == "total" and "shot" in said and "distance" not in said:
        return OTHER, share  # How many there were.
    if rule is None:
        return (OTHER if said & _NOT_OURS else None), share
    # Of two that say the same the one with fewer words besides: *side* before *side carry*.
    besides = len(said) - len(rule.needs)
    if (rule.field == "side" and "total" in said) or (rule.field == "spin" and "back" in said):
        besides += 1  # Of two, the side where the ball came down, and the whole spin.
    return rule.field, share - _BESIDES * max(0, besides)
