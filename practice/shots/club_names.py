"""One normal form for the names of clubs, as devices and people write them in several languages.

The words are common usage (no source). Two names of one form are one club; a name that fits
no form stands for itself.
"""

import re
import unicodedata
from dataclasses import dataclass

_IRON = r"(?:irons?|eisen|fers?|hierros?|ferr[oi]|ijzers?|jarn|jern|rauta|i|e|f)"
_WOOD = r"(?:woods?|holz|bois|maderas?|legn[oi]|hout|tra|w)"
_HYBRID = r"(?:hybrids?|hybride[sn]?|hibridos?|ibrid[oi]|rescue|hyb|hy|h)"
_NUMBERED = (("iron", _IRON), ("wood", _WOOD), ("hybrid", _HYBRID))
_NAMED = {
    "Driver": "driver|dr|1w|1 wood|wood 1|drive|holz 1|bois 1",
    "PW": "pw|pitching wedge|pitching|p wedge|pitch wedge|p",
    "GW": "gw|gap wedge|gap|approach wedge|aw|uw|attack wedge|utility wedge",
    "SW": "sw|sand wedge|sand|sandwedge|s wedge",
    "LW": "lw|lob wedge|lob|lobwedge|l wedge",
    "Putter": "putter|putt|pt",
}
_BY_NAME = {name: kind for kind, names in _NAMED.items() for name in names.split("|")}
_LOFT = re.compile(
    r"(\d{2}(?:[.,]\d)?)\s*(?:°|(?:deg(?:rees?)?|grad(?:en|er)?|graus?|grados|gradi|degres)\b)"
)


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
    if loft is not None and rest in {"", "wedge", "w"}:
        return Form(f"{loft:g}")
    if found := re.fullmatch(r"(?:wedge )?(\d{2})(?: wedge)?", rest):
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


def _plain(text: str) -> str:
    """Lower case without accents."""
    spread = unicodedata.normalize("NFKD", text.replace("º", "°").casefold())
    return "".join(sign for sign in spread if not unicodedata.combining(sign))
