"""Which column is what, from all that a file says: words x unit x cells, solved as an assignment.

A column that fits none of our fields well enough is left out and shown; nothing is named on a
guess. A column in a unit of speed can only be a speed, whatever it is called.
"""

import re
from collections.abc import Sequence
from dataclasses import replace
from math import sqrt
from statistics import median

from practice.importing import cells, days, lengths
from practice.importing.assignment import assigned
from practice.importing.cells import Bad, Cell, text_of
from practice.importing.columns import FIELDS, UNITS, Column
from practice.importing.meaning import OTHER, things_in
from practice.importing.names import ENOUGH, SPEED_OF, bare, likeness, unit_of
from practice.importing.preamble import units_said
from practice.shots.club_names import is_club
from practice.shots.limits import LIMITS
from shared.kit.units import DISTANCE, SPEED

LOOKED_AT = 40
_MANY = 8
# An efficiency of 1.4 is no effort of one in a hundred.
_LEAST_EFFORT = 10
_SPEED_OF_THINGS = {"ball": "ball_speed", "head": "club_speed"}
_ANY_UNIT = {"distance": "m", "speed": "mps"}
NO_UNIT = 0.9
NO_CELLS = 0.7
_OTHER_UNITS = {"launch": "deg", "spin": "rpm", "effort": "percent"}
# One slip does not hide a column; more of them, and it is another.
_BELOW_ZERO = 0.2
_LEAST_SPIN = 100
_POSITIVE = frozenset(
    {"target", "carry", "launch", "total", "ball_speed", "club_speed", "spin", "effort"}
)
_NAMES = frozenset({"device", "ball", "place", "player"})
_NUMBERS = (
    "target",
    "carry",
    "total",
    "side",
    "ball_speed",
    "club_speed",
    "launch",
    "spin",
    "effort",
)


def guess_columns(
    header: Sequence[str],
    units_row: Sequence[Cell],
    rows: Sequence[Sequence[Cell]],
    usual: dict[str, str],
    decimal: str,
    *,
    above: Sequence[Sequence[Cell]] = (),
) -> dict[int, Column]:
    """What each column is; those that are not sure are left out.

    `rows` are some rows below the header, `usual` has the unit for each kind of measure where
    the file says none; `above` are the rows over the header.
    """
    names = list(FIELDS)
    rows = _without_means(rows)
    looked = [_ColumnLook(i, header, units_row, rows, decimal) for i in range(len(header))]
    usual = usual | units_said(above) | _units_of_file(looked) | _take_units(looked)
    looked = [each for each in looked[: cells.MOST_COLUMNS] if each.text]
    if not looked:
        return {}
    _agree_on_day(looked)
    if "speed" in units_said(above):
        for each in looked:
            each.may_be_speed()
    scores = [[each.score(name, usual) for name in names] for each in looked]
    found = {}
    for row, place in assigned(scores, ENOUGH).items():
        each, name = looked[row], names[place]
        found[each.index] = Column(name, each.unit_for(name, usual))
    found |= _told_by_cells([each for each in looked if each.index not in found], found, usual)
    _compare(looked, found, usual)
    _lone_speed(looked, found)
    _pin(looked, found)
    _sides(looked, found, header, above)
    return dict(sorted(found.items()))


def _without_means(rows: Sequence[Sequence[Cell]]) -> Sequence[Sequence[Cell]]:
    """Rows without those that are reckoned from others, unless a word for that is in most."""
    found = [row for row in rows if not any(map(cells.is_of_others, row))]
    return found if 2 * len(found) > len(rows) else rows


def _take_units(looked: Sequence["_ColumnLook"]) -> dict[str, str]:
    """Columns that hold nothing but a unit: one headed *Unit* is of the column before it, another
    of all of its measure, which are given back."""
    of_all: dict[str, str] = {}
    for at, each in enumerate(looked):
        things = things_in(each.text)
        units = {unit_of(text_of(cell)) for cell in each.cells}
        if "unit" not in things or not units - {""}:
            continue
        unit = units.pop() if len(units) == 1 else ""
        if things == {"unit"} and at:
            looked[at - 1].unit = looked[at - 1].unit or unit
        else:
            of_all |= {measure: unit for measure, known in UNITS.items() if unit in known}
        each.near = {}
    return of_all


def _units_of_file(looked: Sequence["_ColumnLook"]) -> dict[str, str]:
    """The unit of each measure where all columns that name one name the same."""
    found = {}
    for measure, known in (("distance", DISTANCE), ("speed", SPEED)):
        units = {each.unit for each in looked if each.unit in known}
        if len(units) == 1:
            found[measure] = units.pop()
    return found


# A field that cells alone can tell where a heading says nothing: no other column looks like it.
_NEARLY_ALL = 0.8
_ALONE = ("day", "club", "spin", "side")
# Medians of two columns of one sitting: ball by club speed (1.0 is a chip, 1.55 more than any
# club gives), and the whole way by the part in the air. Wide on purpose; common knowledge.
_SMASH, _ROLL = (1.05, 1.55), (1.0, 1.4)
_PAIRS = (("club_speed", "ball_speed", _SMASH), ("carry", "total", _ROLL))


def _told_by_cells(
    free: Sequence["_ColumnLook"], found: dict[int, Column], usual: dict[str, str]
) -> dict[int, Column]:
    """Columns whose heading says nothing to us, where one alone can be a field by its cells."""
    taken = {column.field for column in found.values()}
    told = {}
    for name in _ALONE:
        can_be = [each for each in free if each.says_nothing and each.looks_like(name, usual)]
        if name not in taken and len(can_be) == 1 and can_be[0].index not in told:
            told[can_be[0].index] = Column(name, can_be[0].unit_for(name, usual))
    return told


def _compare(
    looked: Sequence["_ColumnLook"], found: dict[int, Column], usual: dict[str, str]
) -> None:
    """The other one of a pair of which one is known, if one column alone is as far from it as
    such a one can be."""
    for less, more, (low, high) in _PAIRS:
        by_name = {column.field: index for index, column in found.items()}
        if (less in by_name) == (more in by_name):
            continue
        name, known = (more, less) if less in by_name else (less, more)
        one = next(each for each in looked if each.index == by_name[known])
        fits = []
        for each in looked:
            if each.index in found or not each.says_nothing or each.unit != one.unit:
                continue
            if each.unit and each.looks_like(name, usual) and one.median:
                ratio = each.median / one.median
                if low < (ratio if name == more else 1 / ratio) <= high:
                    fits.append(each)
        if len(fits) == 1:
            found[fits[0].index] = Column(name, fits[0].unit_for(name, usual))


def _agree_on_day(looked: Sequence["_ColumnLook"]) -> None:
    """Of columns that only their cells call days, the one that tells most; none if they differ."""
    told = [each for each in looked if each.near.get("day") == BY_CELLS]
    if len(told) < 2:
        return
    by_row = zip(*(each.cells for each in told), strict=False)
    if all(len({text_of(cell)[:10] for cell in row}) == 1 for row in by_row):
        told.remove(max(told, key=lambda each: len({*each.cells})))
    for each in told:
        each.near = {OTHER: 1.0}


def _lone_speed(looked: Sequence["_ColumnLook"], found: dict[int, Column]) -> None:
    """A speed of which nothing is said, beside sticks and no ball that flies, is the club's."""
    if {column.field for column in found.values()} & _OF_A_BALL:
        return
    has_sticks = any("stick" in things_in(each.text) for each in looked)
    speeds = [each for each in looked if each.unit in UNITS["speed"] and each.index not in found]
    if has_sticks and len(speeds) == 1 and not speeds[0].near.keys() - {OTHER}:
        found[speeds[0].index] = Column("club_speed", speeds[0].unit)


def _pin(looked: Sequence["_ColumnLook"], found: dict[int, Column]) -> None:
    """What is headed as the pin, and as far as the balls fly, is what they were to reach; what
    was left to it would be less."""
    by_name = {column.field: index for index, column in found.items()}
    carry = next((each for each in looked if each.index == by_name.get("carry")), None)
    pins = [each for each in looked if things_in(each.text) == {"rest"} and each.median]
    if carry is None or "target" in by_name or len(pins) != 1 or not carry.median:
        return
    if pins[0].unit in {"", carry.unit} and _AS_FAR[0] < pins[0].median / carry.median < _AS_FAR[1]:
        found[pins[0].index] = Column("target", found[carry.index].unit)


def _sides(
    looked: Sequence["_ColumnLook"],
    found: dict[int, Column],
    header: Sequence[str],
    above: Sequence[Sequence[Cell]],
) -> None:
    """To which side: by another column, by a sign that means the other one than ours, or not said;
    what was measured without a side is left out, for half of it would be wrong."""
    at = next((index for index, column in found.items() if column.field == "side"), None)
    side = next((each for each in looked if each.index == at), None)
    if at is None or side is None or any(map(cells.says_side, map(_bare_figure, side.cells))):
        return
    said = [header[at], *(text_of(cell) for row in above for cell in row)]
    if any(map(cells.is_left_plus, said)):
        found[at] = replace(found[at], is_left_plus=True)
    hands = [each for each in looked if each.index not in found and each.are_hands()]
    if min(side.numbers, default=0) >= 0 and len(hands) == 1:
        found[hands[0].index] = Column("left_right")
    elif min(side.numbers, default=0) >= 0 and len(side.numbers) >= _SURELY_UNSIGNED:
        del found[at]


def _bare_figure(cell: Cell) -> Cell:
    return cells.split_unit(cells.without_marks(cell))[0]


# Of so many none goes left by chance alone: once in a thousand files.
_SURELY_UNSIGNED = 10
_AS_FAR = (0.7, 1.4)
_OF_A_BALL = frozenset({"carry", "total", "side", "ball_speed", "launch", "spin", "club_speed"})
# How sure a field is that the cells tell and the heading does not.
BY_CELLS = 0.7
# A club that is a number alone is that of an iron, or its loft.
_MOST_LOFT = 75
# A column of lengths has few of them.
_MOST_LENGTHS = 8


class _ColumnLook:
    """One column as it is looked at: its bare name, its unit, and some of its cells."""

    def __init__(
        self,
        index: int,
        header: Sequence[str],
        units_row: Sequence[Cell],
        rows: Sequence[Sequence[Cell]],
        decimal: str,
    ) -> None:
        self.index, self.decimal = index, decimal
        self.text, unit = bare(header[index])
        below = unit_of(text_of(units_row[index])) if index < len(units_row) else ""
        full = [row[index] for row in rows if index < len(row) and text_of(row[index])]
        full = [cell for cell in full if not cells.is_ditto(cell)]
        self.cells = full[:LOOKED_AT]
        self.unit = unit or below or self._unit_in_cells()
        if re.search(r"[ _.]ms$", header[index].strip()) and "speed" in things_in(self.text):
            self.unit = "mps"  # No speed lasts some thousandths of a second.
        self.numbers = [value for cell in self.cells if (value := self._number(cell)) is not None]
        self.near = dict(_likeness_of(header[index], self.text))
        self._heed_cells()
        if self.unit == "rpm" and "ball" in self.near:
            self.near["spin"] = self.near.pop("ball")
        if self.unit in UNITS["speed"] or self._has_decimals():
            for noun, speed in SPEED_OF.items():
                if noun in self.near:
                    self.near[speed] = max(self.near.get(speed, 0.0), 0.95 * self.near.pop(noun))

    def may_be_speed(self) -> None:
        """Where a unit of speed is said for all: figures under *Ball* and *Head* are speeds, but
        for those that only count."""
        counts = self.numbers == sorted({*self.numbers})
        things = things_in(self.text)
        for noun, speed in _SPEED_OF_THINGS.items():
            if things == {noun} and self._are_numbers() and not counts:
                self.near = {speed: 0.9}

    def _are_numbers(self) -> bool:
        return len(self.numbers) > _NEARLY_ALL * len(self.cells)

    def _heed_cells(self) -> None:
        """What cells say against the words: a time that has its day; a distance that was chosen,
        for what is measured hardly comes twice."""
        things = things_in(self.text)
        if self.cells and all(map(days.is_whole_day, self.cells)):
            said = {} if things <= {"shot", "strike"} else self.near
            self.near = {"day": 0.95} if "time" in things else {"day": BY_CELLS} | said
        if self._are_lengths(things):
            self.near = {"length": 0.95}
        says_clean = bool(things) and things <= {"strike", "good", "shot", "ball"}
        if says_clean and self.cells and all(_reads(cell, "is_clean") for cell in self.cells):
            self.near = {"is_clean": 0.9}
        if things == {"swing"} and self.unit == "percent":
            self.near = {"effort": 0.9}  # Of what one can do: how hard the swing was.
        if things in ({"landing"}, {"air"}) and self.unit in UNITS["distance"]:
            self.near = {"carry": 0.8}
        if things == {"upright"} and self.unit == "deg":
            self.near = {"launch": 0.8}
        if things and things <= {"head", "club", "swing"} and self.unit in UNITS["speed"]:
            self.near = {"club_speed": 0.9}
        is_chosen = len(self.numbers) >= _MANY and 2 * len({*self.numbers}) <= len(self.numbers)
        if things == {"distance"} and is_chosen and self.near.get(OTHER, 0.0) < 1.0:
            self.near = {"target": 0.95}

    def _are_lengths(self, things: set[str]) -> bool:
        """Whether the cells are words for lengths of a swing, or where a clock's hand stands."""
        texts = {text_of(cell).casefold() for cell in self.cells}
        if not texts or len(texts) > _MOST_LENGTHS or self.unit or things & {"date", "effort"}:
            return False
        words = [each for each in texts if lengths.is_known(each) and "%" not in each]
        hands = [each for each in texts if lengths.is_surely_hand(each)]
        if "time" in things and not words:
            return False
        known = sum(lengths.is_known(each) or lengths.is_hand(each) for each in texts)
        return known >= _NEARLY_ALL * len(texts) and len(words) + len(hands) > 1

    def _unit_in_cells(self) -> str:
        """The one unit that most cells with a figure name."""
        texts = [cells.without_marks(cell) for cell in self.cells if isinstance(cell, str)]
        units = [unit for text in texts if (unit := cells.split_unit(text)[1])]
        return units[0] if len({*units}) == 1 and 2 * len(units) > len(self.cells) else ""

    def _number(self, cell: Cell) -> float | None:
        try:
            return cells.side(cells.split_unit(cells.without_marks(cell))[0], self.decimal)
        except Bad:
            return None

    def _has_decimals(self) -> bool:
        return bool(self.numbers) and (
            sum(value != round(value) for value in self.numbers) * 2 > len(self.cells)
        )

    @property
    def says_nothing(self) -> bool:
        """Whether the heading is near to nothing that we know, ours or another's, and that the
        cells can be: a *name* over nothing but clubs is none of a player."""
        return not any(
            near >= ENOUGH and (name == OTHER or self._by_cells(name, _ANY_UNIT) > 0)
            for name, near in self.near.items()
        )

    @property
    def median(self) -> float:
        return abs(median(self.numbers)) if self.numbers else 0.0

    def looks_like(self, name: str, usual: dict[str, str]) -> bool:
        """Whether every cell can be this, and hardly anything else."""
        if not self.cells or self._by_cells(name, usual) < 1.0:
            return False
        if name == "day":
            return all(map(days.is_whole_day, self.cells))
        if name == "club":
            return self._are_clubs()
        if name == "spin":
            return self.unit == "rpm"
        if name == "side":
            both = min(self.numbers, default=0.0) < 0 < max(self.numbers, default=0.0)
            return self.unit in UNITS["distance"] and both
        return bool(self.numbers) and min(self.numbers) > 0

    def are_hands(self) -> bool:
        """Whether the cells say left and right, and not of a player."""
        if things_in(self.text) & {"player", "stick", "club"} or "hand" in self.text:
            return False
        try:
            said = {cells.left_or_right(cell) for cell in self.cells}
        except Bad:
            return False
        return {-1, 1} <= said

    def _are_clubs(self) -> bool:
        return bool(self.cells) and all(
            isinstance(cell, str) and is_club(cell) for cell in self.cells
        )

    def score(self, name: str, usual: dict[str, str]) -> float:
        """From 0 to 1: how likely this column is this field."""
        words = self.near.get(name, 0.0)
        if words <= self.near.get(OTHER, 0.0):
            return 0.0
        return words * self._by_unit(name) * self._by_cells(name, usual)

    def _by_unit(self, name: str) -> float:
        if name == "club" and self._are_clubs():
            return 1.0  # '54°' is a club's name, and no angle.
        measure = FIELDS[name].measure
        fits = set(UNITS[measure]) if measure else {_OTHER_UNITS.get(name, "")}
        if self.unit:
            return float(self.unit in fits)
        return NO_UNIT if fits != {""} else 1.0

    def unit_for(self, name: str, usual: dict[str, str]) -> str:
        measure = FIELDS[name].measure
        if not measure:
            return ""
        return self.unit if self.unit in UNITS[measure] else usual[measure]

    def _by_cells(self, name: str, usual: dict[str, str]) -> float:
        """The root of the share of cells that can be this: some bad rows do not hide a column."""
        if not self.cells:
            return NO_CELLS
        if name == "spin" and self.median < _LEAST_SPIN:
            return 0.0  # Of thousands, or something else: no shot turns so slowly.
        below = sum(value < 0 for value in self.numbers)
        if name in _POSITIVE and below > _BELOW_ZERO * len(self.cells):
            return 0.0
        return sqrt(sum(self._fits(cell, name, usual) for cell in self.cells) / len(self.cells))

    def _fits(self, cell: Cell, name: str, usual: dict[str, str]) -> bool:
        if name in _NUMBERS:
            value = self._number(cell)
            unit = self.unit_for(name, usual)
            if value is None:
                return False
            si = UNITS[FIELDS[name].measure][unit].to_si(value) if unit else value
            _, low, high = LIMITS[name]
            return (_LEAST_EFFORT if name == "effort" else low) <= si <= high
        if name in _NAMES:
            return self._number(cell) is None and not is_club(text_of(cell))
        if name == "session" and days.is_whole_day(cell):
            return False
        if name == "club" and _is_figure(cell):
            return text_of(cell).isdigit() and 1 <= int(text_of(cell)) <= _MOST_LOFT
        return _reads(cell, name)


def _likeness_of(header: str, text: str) -> dict[str, float]:
    """Of a name with its way, `flight.total`, as much of the end counts as says enough."""
    parts = header.split(".") if " " not in header else [header]
    for many in range(1, len(parts)):
        near = likeness(bare(" ".join(parts[-many:]))[0])
        if {*near} - {OTHER}:
            return near
    return likeness(text)


def _is_figure(cell: Cell) -> bool:
    return bool(re.fullmatch(r"[+-]?\d+(?:[.,]\d+)*", text_of(cell)))


def _reads(cell: Cell, name: str) -> bool:
    try:
        if name == "day":
            return days.is_day(cell)
        if name == "length":
            return lengths.is_known(cell) or lengths.is_hand(cell)
        if name == "is_clean":
            return cells.yes_or_no(cell) is not None
    except Bad:
        return False
    return len(text_of(cell)) <= cells.LONGEST
