"""JSON and JSON Lines as a table: the list of records in it, each record a row. Pure.

Run by shared.site.jail, apart from everything of ours: a file is opened as a whole.
"""

import json
import re
from collections import Counter
from collections.abc import Iterator
from typing import IO, Any

from practice.importing.cells import LONGEST_CELL, Cell, begins_with_others, is_of_others
from shared.site.jail import NotTaken

DEEPEST, MOST_LOOKED_AT = 6, 50
MOST_JSON = 12 * 1024 * 1024  # Opened as a whole, so it may be smaller than a table.


class Unreadable(ValueError):
    """A file that cannot be taken, in a sentence that says what to do."""


def opened(source: IO[bytes], out: IO[bytes], *, most: int, encoding: str) -> None:
    """A line of JSON for each of the first `most` rows: its number and its cells."""
    content = source.read(MOST_JSON + 1)
    if len(content) > MOST_JSON:
        raise NotTaken(f"A JSON file may have {MOST_JSON >> 20} MB. Send it as CSV, or in parts.")
    try:
        rows = rows_of(content.decode(encoding, errors="replace"))
    except Unreadable as refusal:
        raise NotTaken(str(refusal)) from None
    for number, row in enumerate(rows[:most], 1):
        out.write(json.dumps([number, row]).encode() + b"\n")


def rows_of(text: str) -> list[list[Cell]]:
    """The names of the columns, and a row for each record.

    What is written once around a list of records (a day, a device) stands in each of its rows;
    what lies within a record is named with its way: `ball.speed`. Raises Unreadable.
    """
    found = [record for each in _documents(text) for record in _records(_by_record(each), {}, 0)]
    found = _told_apart(found)
    names = list(dict.fromkeys(name for record in found for name in record))
    if not found or not names:
        raise Unreadable("There is no list of shots in that JSON file.")
    return [list(names), *([record.get(name, "") for name in names] for record in found)]


def _documents(text: str) -> list[Any]:
    text = text.lstrip("\ufeff")
    try:
        return [json.loads(text)]
    except (ValueError, RecursionError):
        pass
    try:
        return [json.loads(line) for line in text.splitlines() if line.strip()]
    except (ValueError, RecursionError):
        raise Unreadable("That JSON is damaged. Save it again, or send the table as CSV.") from None


def _by_record(value: Any, depth: int = 0) -> Any:
    """What is written by columns, or as rows below their names, as records.

    `{"carry": [1, 2], "side": [0, 3]}` and `{"columns": ["carry"], "rows": [[1], [2]]}`.
    """
    if depth > DEEPEST or not isinstance(value, list | dict):
        return value
    if isinstance(value, list):
        if len(value) > 1 and all(isinstance(each, list) for each in value):
            return _below(value[0], value[1:]) or value
        return [_by_record(each, depth + 1) for each in value]
    return _columns_turned(value) or {
        name: _by_record(each, depth + 1) for name, each in value.items()
    }


def _columns_turned(value: dict[str, Any]) -> dict[str, Any] | None:
    value = {name: _heads(each) or each for name, each in value.items()}
    lists = {name: each for name, each in value.items() if _is_column(each)}
    rows = {name: each for name, each in value.items() if _is_rows(each)}
    if len(rows) == 1 and len(lists) == 1:
        (name, below), (heads, names) = next(iter(rows.items())), next(iter(lists.items()))
        if found := _below(names, below):
            return {key: each for key, each in value.items() if key not in {name, heads}} | {
                name: found
            }
    if len(lists) > 1 and len({len(each) for each in lists.values()}) == 1:
        rest = {name: each for name, each in value.items() if name not in lists}
        return rest | {"": _below([*lists], [*zip(*lists.values(), strict=True)])}
    return None


_A_WORD = re.compile(r"[^\W\d_].*")


def _heads(value: Any) -> list[str]:
    """A list that describes columns, as their names with their units: the first thing said of
    each is its name, a second one its unit. Nothing where it is no such list."""
    if not isinstance(value, list) or len(value) < 2:
        return []
    if not all(isinstance(each, dict) and each for each in value):
        return []
    if len({tuple(each) for each in value}) > 1 or len(value[0]) > _SAID_OF_A_COLUMN:
        return []
    if not all(isinstance(said, str) for each in value for said in each.values()):
        return []
    said = [[*each.values()] for each in value]
    names = [each[0] for each in said]
    if len(set(names)) < len(names) or not all(map(_A_WORD.match, names)):
        return []
    return [f"{each[0]} ({each[1]})" if each[1:2] and each[1] else each[0] for each in said]


_SAID_OF_A_COLUMN = 3


def _is_column(value: Any) -> bool:
    return (
        isinstance(value, list)
        and len(value) > 1
        and not any(isinstance(each, list | dict) for each in value)
    )


def _is_rows(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(each, list) for each in value)


def _below(names: Any, rows: Any) -> list[dict[str, Any]]:
    """Rows with their names; none where they do not fit, or the names are no words."""
    fits = isinstance(names, list) and all(isinstance(name, str) and name for name in names)
    if not fits or not all(len(row) == len(names) for row in rows):
        return []
    return [dict(zip(names, row, strict=True)) for row in rows]


def _records(value: Any, around: dict[str, Cell], depth: int) -> Iterator[dict[str, Cell]]:
    """Records at the bottom: dicts that hold no list of dicts."""
    if depth > DEEPEST:
        raise Unreadable("That JSON lies too deep. Send the table as CSV.")
    if isinstance(value, list):
        for each in value:
            yield from _records(each, around, depth + 1)
    elif isinstance(value, dict):
        holders = [name for name, each in value.items() if _holds_list(each)]
        plain = {name: each for name, each in value.items() if name not in holders}
        plain = _without_reckoned(plain, [value[name] for name in holders])
        own = around | dict(_plain(plain, ""))
        if not holders:
            yield own
        for name in holders:
            yield from _records(value[name], own, depth + 1)


def _without_reckoned(beside: dict[str, Any], holders: list[Any]) -> dict[str, Any]:
    """Without what is reckoned from the lists of records beside it: an object that has figures of
    theirs, and any figure that is called a mean or the like."""
    if not holders:
        return beside
    of_records = set(_names_of_figures(holders))
    return {
        name: each
        for name, each in beside.items()
        if not (
            isinstance(each, dict | int | float)
            and (of_records & {*_names_of_figures([each])} or _is_called_reckoned(name))
        )
    }


def _names_of_figures(value: Any, depth: int = 0) -> Iterator[str]:
    """What the figures in some records are called, without their way."""
    if depth > DEEPEST:
        return
    if isinstance(value, list):
        for each in value[:MOST_LOOKED_AT]:
            yield from _names_of_figures(each, depth + 1)
    elif isinstance(value, dict):
        for name, each in value.items():
            if isinstance(each, int | float) and not isinstance(each, bool):
                yield name
            else:
                yield from _names_of_figures(each, depth + 1)


def _is_called_reckoned(name: str) -> bool:
    words = re.sub(r"([a-z])([A-Z])", r"\1 \2", name).replace("_", " ")
    return is_of_others(words) or begins_with_others(words)


def _told_apart(found: list[dict[str, Cell]]) -> list[dict[str, Cell]]:
    """Records of one list that are not alike: what one without figures says before the others,
    such as a player and a device, is of each that follows."""
    names = Counter(name for record in found for name in record)
    usual = {name for name, many in names.items() if 2 * many > len(found)}
    figures = {
        name for name in usual if any(isinstance(record.get(name), float) for record in found)
    }
    around: dict[str, Cell] = {}
    told = []
    for record in found:
        is_like = 2 * len(usual & record.keys()) > len(usual)
        if is_like or figures & record.keys() or not figures:
            told.append({**around, **record} if is_like else record)
        else:
            around = {
                name: value
                for name, value in record.items()
                if isinstance(value, str) and name not in usual
            }
    return told


def _holds_list(value: Any, depth: int = 0) -> bool:
    """A list of records, or something around one: `{"session": {"shots": [...]}}`."""
    if isinstance(value, list):
        return any(isinstance(each, dict) for each in value)
    if not isinstance(value, dict) or depth > DEEPEST:
        return False
    return any(_holds_list(each, depth + 1) for each in value.values())


def _plain(value: dict[str, Any], way: str) -> Iterator[tuple[str, Cell]]:
    for name, each in value.items():
        path = f"{way}.{name}" if way else str(name)
        if isinstance(each, dict) and path.count(".") < DEEPEST:
            yield from _plain(each, path)
        elif isinstance(each, bool):
            yield path, "yes" if each else "no"
        elif isinstance(each, int | float):
            yield path, _number(each)
        elif isinstance(each, str):
            yield path, each.strip()[:LONGEST_CELL]


def _number(value: float) -> Cell:
    try:
        return float(value)
    except OverflowError:  # JSON knows whole numbers of any length.
        return str(value)[:LONGEST_CELL]
