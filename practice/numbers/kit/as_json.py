"""Answers as JSON, and the JSON schema of them: both from the frozen dataclasses alone."""

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from enum import Enum, IntEnum
from importlib import import_module
from types import NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints
from uuid import UUID

# Names that the answers' modules import for the type checker only, since they bring NumPy.
_LATER = {
    "Claim": "practice.measures.claim",
    "Steadiness": "practice.measures.change",
    "Practice": "practice.measures.verdicts",
    "MoreAndMore": "practice.measures.verdicts",
    "ControlLimits": "practice.measures.chart",
    "Rule": "practice.measures.chart",
    "GoalDays": "practice.measures.trend",
    "Fit": "practice.measures.trend.FittedLine",
}
_PLAIN: Mapping[Any, dict[str, Any]] = {
    str: {"type": "string"},
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
    date: {"type": "string", "format": "date"},
    datetime: {"type": "string", "format": "date-time"},
    UUID: {"type": "string", "format": "uuid"},
}


def plain(value: Any) -> Any:
    """An answer as what JSON has: fields by name, days as 2031-02-26, sets in order."""
    if is_dataclass(value) and not isinstance(value, type):
        return {each.name: plain(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, Mapping):
        return {str(plain(key)): plain(each) for key, each in value.items()}
    if isinstance(value, list | tuple | frozenset):
        return [plain(each) for each in (sorted(value) if isinstance(value, frozenset) else value)]
    if isinstance(value, Enum | UUID):
        return _word(value)
    return value.isoformat() if isinstance(value, date) else value


def _word(value: Enum | UUID) -> str:
    if isinstance(value, UUID):
        return str(value)
    return value.name.lower() if isinstance(value, IntEnum) else str(value.value)


def schema_of(kind: Any) -> dict[str, Any]:
    """The OpenAPI 3.0 schema of what `plain` makes of a value of this type.

    Raises TypeError for a type that `plain` does not know.
    """
    if kind in _PLAIN:
        return dict(_PLAIN[kind])
    if get_origin(kind) is not None:
        return _made_of(kind, get_origin(kind), get_args(kind))
    if isinstance(kind, type) and issubclass(kind, Enum):
        return {"type": "string", "enum": [_word(each) for each in kind]}
    if is_dataclass(kind):
        return _object(kind)
    raise TypeError(f"{kind} has no schema.")


def _made_of(kind: Any, origin: Any, inner: tuple[Any, ...]) -> dict[str, Any]:
    if origin in {Union, UnionType}:
        return _either([each for each in inner if each is not NoneType], NoneType in inner)
    if origin is Literal:
        return {"type": "string", "enum": list(inner)}
    if origin in {tuple, list, frozenset}:
        return _array(inner)
    if origin is dict:
        return {"type": "object", "additionalProperties": schema_of(inner[1])}
    raise TypeError(f"{kind} has no schema.")


def _either(kinds: list[Any], may_be_null: bool) -> dict[str, Any]:
    schema = schema_of(kinds[0])
    if len(kinds) > 1:
        schema = {"oneOf": [schema_of(each) for each in kinds]}
    return schema | {"nullable": True} if may_be_null else schema


def _array(inner: tuple[Any, ...]) -> dict[str, Any]:
    kinds = [each for each in inner if each is not Ellipsis]
    schemas = [schema_of(each) for each in kinds]
    same = all(schema == schemas[0] for schema in schemas)
    return {"type": "array", "items": schemas[0] if same else {"oneOf": schemas}}


def _object(kind: Any) -> dict[str, Any]:
    hints = get_type_hints(kind, localns=_names())
    names = [each.name for each in fields(kind)]
    return {
        "type": "object",
        "title": kind.__name__,
        "properties": {name: schema_of(hints[name]) for name in names},
        "required": names,
    }


def _names() -> dict[str, Any]:
    found = {}
    for name, place in _LATER.items():
        module, _, inside = (
            place.rpartition(".") if place.endswith(".FittedLine") else (place, "", name)
        )
        found[name] = getattr(import_module(module), inside)
    return found
