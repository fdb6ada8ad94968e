"""The fields that an entry may hold, by its kind: whatever else a phone sends is not kept."""

from collections.abc import Mapping
from functools import cache
from typing import Any

from practice.log.shot_figures import FIGURES

# A field is named with what stands in it: None for a value, a tree for an object, a list of
# one tree for a list of objects.
Tree = Mapping[str, Any]


def _values(*names: str) -> dict[str, Any]:
    return dict.fromkeys(names)


_BALL = _values("club", "length", "effort", *FIGURES)
_SHOTS = _values("device", "ball", "place", "indoors") | {"balls": [_BALL]}
_STEP = _values("n", "c", "e")
_BLOCK = _values("p", "d", "w", "min", "as", "stop", "last", "balls", "hard", "t", "g") | {
    "s": [_STEP]
}
_PAIN = _values("lvl", "where", "signs", "new", "p")
_COMMON = _values("id", "v", "k", "who", "day", "at")
_SESSION = _COMMON | _values("min", "felt", "note", "about", "paper") | {"pain": _PAIN}
WITHOUT_SHOTS = 1


@cache
def fields_of(kind: str, version: int) -> Tree:
    block = _BLOCK if version == WITHOUT_SHOTS else _BLOCK | {"shots": _SHOTS}
    session = _SESSION | {"b": [block]}
    return {
        "log": session,
        "change": session | _values("target"),
        "back": _COMMON | _values("target"),
        "read": _COMMON | _values("caution"),
        "away": _COMMON | _values("first", "last", "kind", "off"),
    }[kind]


def known_only(raw: Mapping[str, Any]) -> dict[str, Any]:
    """An entry that was read without refusal, without what this version does not know."""
    return _known(raw, fields_of(raw["k"], raw["v"]))


def _known(raw: Mapping[str, Any], fields: Tree) -> dict[str, Any]:
    return {
        name: _inside(raw[name], inner) if inner else raw[name]
        for name, inner in fields.items()
        if name in raw
    }


def _inside(value: Any, inner: Any) -> Any:
    if isinstance(inner, list) and isinstance(value, list):
        return [_inside(each, inner[0]) for each in value]
    return _known(value, inner) if isinstance(value, dict) else value
