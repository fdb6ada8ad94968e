"""One normal form for the names of clubs, as devices and people write them in several languages.

The words are common usage (no source). Two names of one form are one club; a name that fits
no form stands for itself.
"""

import re
import unicodedata
from dataclasses import dataclass

# In Latin letters; what is written in others stands behind, whole.
_IRON = (
    r"(?:irons?|eisen|er eisen|fers?|hierros?|ferr[oi]|ijzers?|jarn|jern|rauta|zelazo|zelezo|"
    r"vas|os vas|es vas|as vas|fierros?|demir|"
    r"ferre|i|e|f|番アイアン|アイアン|番|번아이언|번 아이언|아이언|번|号铁|號鐵|号铁杆|号|铁|鐵|"
    r"айрон|железо|σιδερο)"
)
_WOOD = (
    r"(?:woods?|holz|bois|maderas?|legn[oi]|hout|houten|tra|trae|tre|puu|drewno|drevo|fairway|"
    r"fairway woods?|fw|fwy|w|番ウッド|ウッド|번우드|번 우드|우드|号木|號木|木|вуд)"
)
_HYBRID = (
    r"(?:hybrids?|hybride[sn]?|hybridi|hybrydy?|hibridos?|hibrid|ibrid[oi]|hibrit|rescue|utility|"
    r"hyb|hy|h|u|ut|番ユーティリティ|ユーティリティ|번하이브리드|번 하이브리드|하이브리드|"
    r"번유틸리티|번 유틸리티|유틸리티|号铁木|铁木|鐵木|гибрид)"
)
_NAMED = {
    "Driver": (
        "driver|dr|1w|1 wood|wood 1|drive|holz 1|bois 1|ドライバー|1番ウッド|드라이버|1번우드|"
        "1번 우드|一号木|1号木|драйвер"
    ),
    "PW": (
        "pw|pitching wedge|pitching|p wedge|pitch wedge|p|ピッチングウェッジ|ピッチング|"
        "피칭웨지|피칭 웨지|피칭|"
        "劈起杆|питчинг"
    ),
    "GW": (
        "gw|gap wedge|gap|approach wedge|aw|uw|attack wedge|utility wedge|ギャップウェッジ|"
        "アプローチウェッジ|"
        "갭웨지|갭 웨지|어프로치 웨지|어프로치웨지"
    ),
    "SW": (
        "sw|sand wedge|sand|sandwedge|s wedge|サンドウェッジ|サンド|샌드웨지|샌드 웨지|샌드|"
        "沙杆|沙坑杆|сэнд"
    ),
    "LW": "lw|lob wedge|lob|lobwedge|l wedge|ロブウェッジ|로브웨지|로브 웨지|лоб",
    "Putter": "putter|putt|pt|パター|퍼터|推杆|推桿|паттер",
}
# A wedge of which nothing but its loft is said.
_WEDGE = "wedge|ウェッジ|웨지|挖起杆|вэдж"


def _plain(text: str) -> str:
    """Lower case without accents."""
    spread = unicodedata.normalize("NFKD", text.replace("º", "°").casefold())
    return "".join(sign for sign in spread if not unicodedata.combining(sign))


_NUMBERED = tuple(
    (kind, _plain(words)) for kind, words in (("iron", _IRON), ("wood", _WOOD), ("hybrid", _HYBRID))
)
_WEDGES = _plain(_WEDGE)
_BY_NAME = {_plain(name): kind for kind, names in _NAMED.items() for name in names.split("|")}
_DEGREES = _plain(
    r"(?:deg(?:rees?)?|grad(?:en|er)?|graus?|grados|gradi|degres|stopni|stupnu)\b|度|도"
)
_LOFT = re.compile(rf"(\d{{2}}(?:[.,]\d)?)\s*(?:°|{_DEGREES})")


@dataclass(frozen=True, slots=True)
class Form:
    """What a name says: '7 iron', 'PW', '54', 'Driver'; and the loft beside it in degrees."""

    kind: str
    loft: float | None = None

    def may_be(self, other: "Form") -> bool:
        """Whether both may be one club: two lofts that differ are two clubs."""
        return self.kind == other.kind and (
            self.loft is None or other.loft is None or self.loft == other.loft
        )


def form_of(name: str) -> Form:
    """The form by which clubs are compared. A loft alone names the club."""
    text = _plain(name)
    found = _LOFT.search(text)
    loft = float(found[1].replace(",", ".")) if found else None
    rest = (text[: found.start()] + " " + text[found.end() :]) if found else text
    rest = re.sub(r"[\s\-_.()#]+", " ", rest).strip()
    if rest in _BY_NAME:
        return Form(_BY_NAME[rest], loft)
    for kind, words in _NUMBERED:
        if found := re.fullmatch(rf"(?:(\d{{1,2}})\s*{words}|{words}\s*(\d{{1,2}}))", rest):
            return Form(f"{int(found[1] or found[2])} {kind}", loft)
    if loft is not None and (rest in {"", "w"} or rest in _WEDGES.split("|")):
        return Form(f"{loft:g}")
    if found := re.fullmatch(rf"(?:(?:{_WEDGES}) ?)?(\d{{2}})(?: ?(?:{_WEDGES}))?", rest):
        return Form(found[1])
    if (found := re.fullmatch(r"(.+?) ?(\d{2})", rest)) and found[1] in _BY_NAME:
        return Form(_BY_NAME[found[1]], float(found[2]))
    return Form(" ".join(text.split()))


def is_club(name: str) -> bool:
    """Whether a name can be nothing but a club's: '7i', 'Fer 9', 'Sand wedge', '54°'."""
    kind = form_of(name).kind
    if len(name.strip()) < 2 or name.strip().isdigit():
        return False
    is_numbered = re.fullmatch(r"\d{1,2} (?:iron|wood|hybrid)", kind) is not None
    return kind in _NAMED or is_numbered or ("°" in name and kind.replace(".", "").isdigit())
