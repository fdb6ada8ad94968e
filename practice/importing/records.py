"""JSON and JSON Lines as a table: the list of records in it, each record a row. Pure.

Run by shared.site.jail, apart from everything of ours: a file is opened as a whole.
"""

import json
from collections.abc import Iterator
from typing import IO, Any

from practice.importing.cells import LONGEST_CELL, Cell
from shared.site.jail import NotTaken

DEEPEST = 6
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
    found = [record for each in _documents(text) for record in _records(each, {}, 0)]
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
        own = around | dict(_plain(plain, ""))
        if not holders:
            yield own
        for name in holders:
            yield from _records(value[name], own, depth + 1)


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
