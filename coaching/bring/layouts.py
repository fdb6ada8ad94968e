"""Lists that are laid out in other ways than a person a row, as if they were. Pure.

A plan of the week (weekdays across, hours down, names in the cells), families with several
children in a row, and names with points up to their number.
"""

import re

from coaching.bring.columns import PEOPLE, time_in, weekday_in
from coaching.bring.terms import FREE
from practice.importing.cells import Cell, is_nothing, text_of
from shared.kit.text import plain

_LOOKED_AT, _FEWEST_DAYS = 8, 3
_LEADER = re.compile(r"\s*(?:\.{3,}|…+|_{3,})\s*")
_APART = re.compile(r"\s{2,}|\t")
_COUNTED = re.compile(r"(.*?\D)[\s.#]*([1-9])")
_HALF = 0.5
_FREE = frozenset(map(plain, FREE))
Rows = list[list[Cell]]


def as_list(rows: Rows) -> Rows:
    """The same with a person a row; as they are where they are so already."""
    rows = _led_by_points(rows)
    upright = _from_week(rows)
    if upright is None and rows:
        width = max(map(len, rows))
        turned = [[row[at] if at < len(row) else "" for row in rows] for at in range(width)]
        upright = _from_week(turned)
    return upright or _from_families(rows)


def _led_by_points(rows: Rows) -> Rows:
    """Hill, Ada ........ 555 0100"""
    led = [any(_LEADER.search(text_of(cell)) for cell in row) for row in rows]
    if not rows or sum(led) < _HALF * len([row for row in rows if len(row) > 1]):
        return rows
    if not any(led):
        return rows
    found: Rows = []
    for row in rows:
        text = ", ".join(text_of(cell) for cell in row if text_of(cell))
        found.append([part for each in _LEADER.split(text) for part in _APART.split(each) if part])
    return found


def _from_week(rows: Rows) -> Rows | None:
    """Weekdays across and hours down: each name with its day and its hour."""
    for at, row in enumerate(rows[:_LOOKED_AT]):
        days = {i: text_of(cell) for i, cell in enumerate(row) if _is_day(cell)}
        others = [text_of(cell) for i, cell in enumerate(row) if i not in days and text_of(cell)]
        if len(days) < _FEWEST_DAYS or len(others) > 1 or min(days) == 0:
            continue
        below = rows[at + 1 :]
        hours = [line[0] for line in below if line and text_of(line[0])]
        if not hours or not all(time_in(hour) for hour in hours):
            continue
        coach = _coach_above(rows[:at])
        found: Rows = [["Name", "Weekday", "Time", *(["Coach"] if coach else [])]]
        hour: Cell = ""
        for line in below:
            hour = line[0] if line and text_of(line[0]) else hour
            for i, day in days.items():
                name = text_of(line[i]) if i < len(line) else ""
                if not is_nothing(name) and plain(name) not in _FREE:
                    found.append([name, day, hour, *([coach] if coach else [])])
        return found
    return None


def _is_day(cell: Cell) -> bool:
    text = text_of(cell)
    return len(plain(text).split()) == 1 and weekday_in(text) is not None


def _coach_above(rows: Rows) -> str:
    for row in rows:
        for cell in row:
            label, colon, said = text_of(cell).partition(":")
            meant = PEOPLE.meant_by(label) or PEOPLE.nearly_meant_by(label)
            if colon and meant == "coach" and said.strip():
                return said.strip()
    return ""


def _from_families(rows: Rows) -> Rows:
    """Child 1, Age, Child 2, Age: each child in a row of its own, with what the family shares."""
    for at, row in enumerate(rows[:_LOOKED_AT]):
        heads = [text_of(cell) for cell in row]
        counted = {i: each for i, text in enumerate(heads) if (each := _COUNTED.fullmatch(text))}
        names = [i for i, each in counted.items() if PEOPLE.meant_by(each[1]) in _NAMES]
        if len(names) < _FEWEST_CHILDREN or [int(counted[i][2]) for i in names] != [
            *range(1, len(names) + 1)
        ]:
            continue
        wide = names[1] - names[0]
        groups = [range(i, i + wide) for i in names]
        shared = [i for i in range(len(heads)) if not any(i in group for group in groups)]
        own = [_COUNTED.sub(r"\1", heads[i]).strip() for i in groups[0]]
        found: Rows = [*rows[:at], [*own, *(heads[i] for i in shared)]]
        for line in rows[at + 1 :]:
            full = [line[i] if i < len(line) else "" for i in range(len(heads))]
            for group in groups:
                child: list[Cell] = [full[i] for i in group if i < len(full)]
                if child and text_of(child[0]):
                    found.append([*child, *(full[i] for i in shared)])
        return found
    return rows


_NAMES, _FEWEST_CHILDREN = frozenset({"name", "first_name"}), 2
