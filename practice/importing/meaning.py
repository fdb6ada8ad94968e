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

from practice.importing.stems import WORDS

# Words between the others, which say nothing, or how a figure was come by.
_FILL_WORDS = (
    "de la le les du des d l el del della dello dei di da do das der die den dem of the at in "
    "en im am a an van het och og i na w z po avg average mean mittel moyenne media promedio "
    "gemiddeld flat corrected measured gemessen mesure est calc y e a ve es si te et und och og ja "
    "и та και va used usada usado usata usato gebruikt benutzt użyty anvand brugt brukt kaytetty "
    "joue jouee jugado giocato giocata gespielt gespielter gespeeld gespeelde spillet spelad "
    "utilise utilizado utilizada utilizzato utilizzata uzyty pouzita hasznalt kaytetty upplevd "
    "neben naast bij beside next door through par dans α "
    "til to do fra från till zum zur pour para per minuto minute"
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
    _Rule(
        "club_speed",
        ("speed", "club|head|swing|stick|hole"),
        "speed first club head swing stick hole",
    ),
    _Rule("ball_speed", ("speed", "ball|first|launch"), "speed first ball launch"),
    _Rule("spin", ("spin",), "spin back rate total ball speed"),
    _Rule("target", ("target",), "target distance carry total"),
    _Rule("day", ("date",), "date time shot"),
    _Rule("launch", ("upright", "angle"), "upright angle ball"),
    _Rule("launch", ("launch|first",), "launch first angle upright ball"),
    _Rule("carry", ("carry",), "carry distance ball shot landing"),
    _Rule("carry", ("landing|air", "distance"), "air landing distance ball"),
    _Rule("total", ("total",), "total distance ball shot"),
    _Rule("total", ("air", "with", "roll"), "air with roll distance"),
    _Rule("total", ("roll", "with"), "roll with distance total carry air"),
    _Rule("is_clean", ("good",), "good shot ball strike well"),
    _Rule("is_clean", ("well", "strike"), "well strike shot ball"),
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
    "hole",
    "level",
    "side",
    "time",
    "number",
    "shot",
    "strike",
    "clock",
    "battery",
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
    for thing, words in WORDS.items():
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
    if rule and rule.field == "total" and said & {"shot", "ball"} and "distance" not in said:
        return OTHER, share  # How many there were.
    if rule is None:
        return (OTHER if said & _NOT_OURS else None), share
    # Of two that say the same the one with fewer words besides: *side* before *side carry*.
    besides = len(said) - len(rule.needs)
    if (rule.field == "side" and "total" in said) or (rule.field == "spin" and "back" in said):
        besides += 1  # Of two, the side where the ball came down, and the whole spin.
    return rule.field, share - _BESIDES * max(0, besides)
