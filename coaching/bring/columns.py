"""Which column of somebody's list is what: by its heading, in several languages, and its cells.

Every column is scored for every field (its heading's words, and how many cells can be such a
field), and the best whole assignment is taken, so that two columns are never the same field.
"""

import re
import unicodedata
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from coaching.bring.terms import BESIDES, FILL, HEADINGS, OWNERS
from coaching.bring.terms import WEEKDAYS as _WEEKDAYS
from practice.importing.assignment import assigned
from practice.importing.cells import Cell, text_of
from shared.kit.text import plain

FIELDS = {
    "name": "Name",
    "first_name": "First name",
    "last_name": "Last name",
    "email": "E-mail",
    "phone": "Phone",
    "guardian": "Guardian’s name",
    "guardian_email": "Guardian’s e-mail",
    "guardian_phone": "Guardian’s phone",
    "weekday": "Weekday of the lesson",
    "at": "Time of the lesson",
    "lesson": "Weekday and time of the lesson",
    "coach": "Lead coach",
    "aim": "Aim",
    "born": "Born",
    "age": "Age",
}
# Bounded, so that a long cell without an address takes no time (RFC 5321, 4.5.3.1: 64, 255).
MAIL = re.compile(r"[^\s<>@,;]{1,64}@[^\s<>@,;]{1,190}\.[^\s<>@,;.]{1,63}")
_TIME = re.compile(
    r"(?<!\d)(\d{1,2})(?:[:.hu](\d{2}))?(?::\d{2})?\s*"
    r"(am|pm|a\.m\.|p\.m\.|πμ|μμ|uhr|uur|hod|h|u|ч)?\.?(?![\w])",
    re.IGNORECASE,
)
# An hour alone behind a word that says that it is one.
_AT = re.compile(r"(?:\b(?:kl|klo|ore|godz|as|a las|um|at)\.?)\s*(\d{1,2})", re.IGNORECASE)
_IN_SIGNS = re.compile(
    r"(午前|午後|上午|下午|晚上|오전|오후)?\s*(\d{1,2})\s*(?:[時时点點시]|(?=:))"
    r"\s*:?\s*(?:(\d{1,2})\s*[分분]?|(半|반))?"
)
_AFTER_NOON = frozenset({"午後", "下午", "晚上", "오후", "pm", "μμ"})
_PHONE = re.compile(r"\+?[\d\s()/.-]{6,24}")
# A code such as K-031 is no name.
_NAME = re.compile(r"[^\W\d_][^@<>\d]{1,75}(?: \d{1,3})?")


@dataclass(frozen=True, slots=True)
class ListTable:
    """A list with its headings, if it has any, and what each column was taken for."""

    headings: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    fields: tuple[str, ...]
    # The number of the first row of people in the text.
    first: int


WEEKDAYS = {plain(word): number for word, number in _WEEKDAYS.items()}
_IN_ONE_WORD = {word: day for word, day in WEEKDAYS.items() if ord(word[0]) > 0x1100 and word[1:]}

# In some languages a day cut short, in others any word.
_WEAK = frozenset(
    {"per", "cum", "car", "sal", "pet", "sub", "sex", "par", "mar", "dom", "paz", "man"}
)


# In Portuguese the days are counted: the second is Monday.
_BY_NUMBER = re.compile(r"([2-6]) ?a(?: feira\b| f\b|$| (?=\d))")
# The days from Monday on in one letter each, in Spanish (where X tells Wednesday from Tuesday)
# and in French, Italian, Portuguese, English, German, Dutch, Swedish, Polish and Czech: M, T, D, S
# are two days in some, and a column that has them is asked about.
_IN_LETTERS = (
    "lmxjvsd", "lmmjvsd", "lmmgvsd", "stqqssd", "mtwtfss", "mdmdfss", "mdwdvzz", "mtotfls",
    "pwscpsn", "pusčpsn",
)  # fmt: skip
# Of one of them alone those that are the same day wherever they are used.
_LETTERS = {"j": 3, "x": 2}


def days_in_letters(cells: Sequence[Cell]) -> dict[str, int]:
    """By letter the day that it is in every language that has all letters of a column."""
    said = {letter for cell in cells if (letter := text_of(cell).casefold().strip(". "))}
    if not said or any(len(each) > 1 for each in said):
        return {}
    can_be = [week for week in _IN_LETTERS if said <= {*week} and ("x" in said or "x" not in week)]
    found = {}
    for each in said:
        days = {tuple(at for at, one in enumerate(week) if one == each) for week in can_be}
        if len(days) == 1 and len(only := days.pop()) == 1:
            found[each] = only[0]
    return found


def weekday_in(text: str) -> int | None:
    """The weekday that the text names, Monday 0; None if it names none or several."""
    said = plain(text)
    if by_number := _BY_NUMBER.match(said):
        return int(by_number[1]) - 2
    if said in _LETTERS:
        return _LETTERS[said]
    words = [word for word in said.split() if word in WEEKDAYS]
    found = {WEEKDAYS[word] for word in words if word not in _WEAK and word[2:]}
    found = found or {WEEKDAYS[word] for word in words}
    found = found or {day for word, day in _IN_ONE_WORD.items() if word in said}
    return found.pop() if len(found) == 1 else None


def time_in(cell: Cell) -> tuple[int, int] | None:
    """Hour and minute; None if there is none that can be."""
    if isinstance(cell, datetime):
        return (cell.hour, cell.minute) if cell.hour or cell.minute else None
    if isinstance(cell, float):  # As a sheet keeps a time: a part of the day.
        minutes = round(cell * 24 * 60)
        return divmod(minutes, 60) if 0 < cell < 1 else None
    text = unicodedata.normalize("NFKC", cell)
    if re.search("[時时点點시午오]", text) and (signs := _IN_SIGNS.search(text)):
        minute = 30 if signs[4] else int(signs[3] or 0)
        return _of_day(int(signs[2]), minute, signs[1] or "")
    found = [each for each in _TIME.finditer(text) if each[2] or each[3]]
    if not found and (alone := _AT.search(text)):
        return _of_day(int(alone[1]), 0, "")
    if len(found) != 1:
        return None
    half = (found[0][3] or "").lower().replace(".", "")
    return _of_day(int(found[0][1]), int(found[0][2] or 0), half)


def _of_day(hour: int, minute: int, half: str) -> tuple[int, int] | None:
    """Of the half of the day that is said, if any."""
    is_half = half in _AFTER_NOON or half in {"am", "πμ", "午前", "上午", "오전"}
    if is_half and not 0 <= hour <= 12:
        return None
    if is_half:
        hour = hour % 12 + (12 if half in _AFTER_NOON else 0)
    return (hour, minute) if hour < 24 and minute < 60 else None


def born_in(cell: Cell) -> int | None:
    """The year of birth."""
    if isinstance(cell, datetime):
        return cell.year
    if isinstance(cell, float):
        return int(cell) if 1900 <= cell <= 2100 and cell == int(cell) else None
    found = re.findall(r"(?<!\d)(?:19|20)\d{2}(?!\d)", cell)
    if len(found) == 1:
        return int(found[0])
    if era := re.search(r"(昭和|平成|令和|民國|民国)\s*(\d{1,3})\s*年", cell):
        return _ERAS[era[1]] + int(era[2])
    if short := re.fullmatch(r"\s*\d{1,2}[./-]\d{1,2}[./-](\d{2})\s*", cell):
        year = int(short[1])
        return year + (2000 if year < _THIS_CENTURY else 1900)
    return None


# The year before the first of each era (Japan's and Taiwan's calendars).
_ERAS = {"昭和": 1925, "平成": 1988, "令和": 2018, "民國": 1911, "民国": 1911}
_THIS_CENTURY = 40


def age_in(cell: Cell) -> int | None:
    """An age in years: 11, 11 ans, 11 J., 11歳."""
    if isinstance(cell, datetime):
        return None
    found = re.fullmatch(r"(\d{1,2})(?:\.0)?\s*[^\W\d]{0,6}\.?", text_of(cell))
    return int(found[1]) if found and int(found[1]) > _YOUNGEST else None


_YOUNGEST = 2


def _is_phone(cell: Cell) -> bool:
    text = text_of(cell)
    text = unicodedata.normalize("NFKC", text)
    return bool(_PHONE.fullmatch(text)) and sum(sign.isdigit() for sign in text) >= 6


def _is_lesson(cell: Cell) -> bool:
    return isinstance(cell, str) and weekday_in(cell) is not None and time_in(cell) is not None


def _is_weekday(cell: Cell) -> bool:
    return isinstance(cell, str) and weekday_in(re.sub(r"s\b", "", cell) + " " + cell) is not None


_CAN_BE: dict[str, Callable[[Cell], bool]] = {
    "name": lambda cell: isinstance(cell, str) and bool(_NAME.fullmatch(cell)),
    "first_name": lambda cell: isinstance(cell, str) and bool(_NAME.fullmatch(cell)),
    "last_name": lambda cell: isinstance(cell, str) and bool(_NAME.fullmatch(cell)),
    "email": lambda cell: bool(MAIL.search(text_of(cell))),
    "phone": _is_phone,
    "guardian": lambda cell: isinstance(cell, str) and bool(_NAME.fullmatch(cell)),
    "guardian_email": lambda cell: bool(MAIL.search(text_of(cell))),
    "guardian_phone": _is_phone,
    "weekday": _is_weekday,
    "at": lambda cell: time_in(cell) is not None,
    "lesson": _is_lesson,
    "coach": lambda cell: isinstance(cell, str) and bool(_NAME.fullmatch(cell)),
    "aim": lambda cell: isinstance(cell, str) and bool(cell),
    "born": lambda cell: born_in(cell) is not None,
    "age": lambda cell: age_in(cell) is not None,
}
# Fields that cells alone can tell, without a heading, and how far they are believed.
_BY_CELLS = {
    "email": 6.0, "lesson": 5.0, "weekday": 5.0, "at": 4.0, "phone": 3.0, "name": 2.0,
    "guardian_email": 1.5,
}  # fmt: skip
# What they tell under a heading that nobody knows: nothing else looks like it.
_SURE_BY_CELLS = frozenset({"weekday", "lesson", "day"})
_BY_WORDS = 20.0
_OF_A_LESSON = frozenset({"weekday", "at", "lesson"})
# So much of a column must be what its heading nearly says, or does not say at all.
_MOSTLY, _LEAST = 0.6, 0.01
# A word may go on behind a stem for an ending (Lehrer, Lehrerin), or be cut short (geb., Tel.).
_STEM, _CUT, _PART = 4, 3, 3
_ENDINGS_OF_NOUNS = "s n r e a o i t en er es in ern os as et den ens erne innen"
_ENDINGS = frozenset(_ENDINGS_OF_NOUNS.split())
_JOINTS = ("s", "n", "en", "e", "")
# A sheet's title and its date stand above the headings.
_TITLE_ROWS, _TITLE_CELLS = 6, 2
_WORDS_OF_A_TIME = 4


@dataclass(frozen=True, slots=True)
class Sort:
    """A sort of list: its fields with their names, the headings that mean each, what its cells
    can be, and how far cells alone are believed."""

    fields: Mapping[str, str]
    headings: Mapping[str, str]
    can_be: Mapping[str, Callable[[Cell], bool]]
    by_cells: Mapping[str, float]
    # What several fields that one heading names are together.
    together: Mapping[frozenset[str], str] = field(default_factory=dict)

    def meant_by(self, heading: str) -> str | None:
        """The field that a heading names; what stands in brackets behind it may be a unit."""
        said = self.headings.get(plain(heading))
        inside = " ".join(re.findall(r"[(\[](.{0,30}?)[)\]]", heading))
        if said or not all(_besides(word) == "" for word in plain(inside).split()):
            return said
        return self.headings.get(plain(re.sub(r"[(\[].{0,30}?[)\]]", " ", heading)))

    def nearly_meant_by(self, heading: str) -> str | None:
        """The field that its words name where no list has the whole: *Tel. mobil*, *parentPhone*.

        None where one of them is not known: *Doctor phone* is nobody's of ours.
        """
        apart = re.sub(r"(?<=[^\W\d_])(?=[A-Z][a-z])", " ", heading)
        apart = re.sub(r"(?i)\b(first|last|given)[ _-]?name", r"\1name", apart)
        named: set[str] = set()
        besides: set[str] = set()
        words = re.findall(r"[^\W_]+\.?", apart)
        others = [word for word in words if plain(word) not in OWNERS]
        for word in others if any(map(self._meant_by_word, others)) else words:
            found = self._meant_by_word(word)
            if not found and (more := _besides(plain(word))) is None:
                return None
            named |= found
            besides |= set() if found or not more else {more}
        if len(named) > 1 and frozenset(named) not in self.together:
            named -= {"name"}  # *Phone of the student* is a phone.
        meant = next(iter(named)) if len(named) == 1 else self.together.get(frozenset(named))
        return meant if all(meant in BESIDES[each][0] for each in besides) else None

    def knows(self, heading: str) -> bool:
        """Whether it knows a word of a heading that it does not know: *Second day*."""
        return any(map(self._meant_by_word, re.findall(r"[^\W_]+\.?", heading)))

    def _meant_by_word(self, word: str) -> frozenset[str]:
        """Of one word, with an ending, cut short by a point, or made of several; nothing where it
        may be two."""
        text = plain(word)
        if text in self.headings:
            return frozenset((self.headings[text],))
        if _besides(text) is not None:
            return frozenset()
        found = {
            meant
            for said, meant in self.headings.items()
            if (len(said) >= _STEM and text.startswith(said) and text[len(said) :] in _ENDINGS)
            or (word.endswith(".") and len(text) >= _CUT and said.startswith(text))
        }
        if found:
            return frozenset(found) if len(found) == 1 else frozenset()
        return self._made_of(text)

    def _made_of(self, text: str) -> frozenset[str]:
        """The fields of a word that is two: *Elternhandy*, *Lesdag*, *gebdat*."""
        for at in range(len(text) - _PART, _PART - 1, -1):
            behind = text[at:]
            if behind not in self.headings and _besides(behind) is None:
                continue
            for joint in _JOINTS:
                start = text[: at - len(joint)]
                if len(start) < _PART or not text[:at].endswith(joint):
                    continue
                meant = self.headings.get(behind, "")
                if start in self.headings:
                    return frozenset({self.headings[start], meant} - {""})
                if meant and meant in BESIDES.get(_besides(start) or "", ((),))[0]:
                    return frozenset((meant,))
        return frozenset()


def _besides(word: str) -> str | None:
    """What a word beside the others stands for; '' if for nothing, None if nobody knows it."""
    if word in FILL:
        return ""
    return next((thing for thing, (_, words) in BESIDES.items() if word in words), None)


def headings_of(words: Mapping[str, str]) -> dict[str, str]:
    """By heading, the field."""
    return {plain(said): name for name, all_ in words.items() for said in all_.split("|")}


PEOPLE = Sort(
    FIELDS,
    headings_of(HEADINGS),
    _CAN_BE,
    _BY_CELLS,
    {
        frozenset(("guardian", "email")): "guardian_email",
        frozenset(("guardian", "phone")): "guardian_phone",
        frozenset(("guardian", "name")): "guardian",
        frozenset(("guardian", "first_name")): "guardian",
        frozenset(("first_name", "last_name")): "name",
        frozenset(("name", "first_name")): "name",
        frozenset(("name", "last_name")): "name",
        frozenset(("guardian", "first_name", "last_name")): "guardian",
        frozenset(("weekday", "at")): "lesson",
        frozenset(("lesson", "weekday")): "weekday",
        frozenset(("lesson", "at")): "at",
    },
)


def score(name: str, heading: str, cells: Sequence[Cell], sort: Sort = PEOPLE) -> float:
    """How well a column fits a field; 0: not at all. What its cells cannot be, it is not."""
    full = [cell for cell in cells if text_of(cell)]
    fits = sum(map(sort.can_be[name], full)) / len(full) if full else 0.5
    said = sort.meant_by(heading)
    near = sort.nearly_meant_by(heading)
    if name == "weekday" and "weekday" in {said, near} and days_in_letters(full):
        fits = 1.0  # Under no other heading: M and F are days, and other things as well.
    if name in _OF_A_LESSON and full and "lesson" in sort.can_be:
        both = sum(map(sort.can_be["lesson"], full)) / len(full)
        if both >= _MOSTLY:  # A day with its hour is a lesson, however it is headed.
            return _BY_WORDS * both if name == "lesson" else 0.0
    if said == name:
        return _BY_WORDS * (0.25 + fits)
    if said is not None or fits < _MOSTLY:
        return 0.0
    if near is not None:
        return _BY_WORDS * 0.5 * fits if near == name else 0.0
    is_told = name in _SURE_BY_CELLS and 2 * len(full) > len(cells) and not sort.knows(heading)
    if heading and not is_told:
        return 0.0  # A heading that we do not know says something else, or it is asked.
    return sort.by_cells.get(name, 0.0) * fits


def recognised(
    rows: Sequence[Sequence[Cell]], fixed: dict[int, str] | None = None, sort: Sort = PEOPLE
) -> ListTable:
    """The list with a field or '' for each column; `fixed` says what somebody chose."""
    width = max((len(row) for row in rows), default=0)
    filled = [tuple(row) + ("",) * (width - len(row)) for row in rows]
    first = _first_person(filled, sort)
    headings = tuple(map(text_of, filled[first - 1])) if first else ("",) * width
    if first and first < len(filled) and _are_below(headings, filled[first], sort):
        headings = _with_groups(headings, filled[first], sort)
        first += 1
    people = tuple(filled[first:])
    names = list(sort.fields)
    scores = [
        [score(name, headings[i], [row[i] for row in people], sort) for name in names]
        for i in range(width)
    ]
    _heed_names(scores, names, {sort.meant_by(h) or sort.nearly_meant_by(h) for h in headings})
    _heed_neighbours(scores, names, headings)
    chosen = dict.fromkeys(range(width), "")
    chosen |= {column: names[place] for column, place in assigned(scores, _LEAST).items()}
    for column, name in (fixed or {}).items():
        if column in chosen:
            chosen[column] = name
    if not fixed:
        _heed_whole_names(chosen, people)
        _heed_first_names(chosen, headings, people, sort)
        if sort is PEOPLE:
            _heed_lone_time(chosen, headings, people, sort)
            _heed_kin(chosen, headings, people, sort)
    fields = tuple(chosen[column] for column in range(width))
    return ListTable(headings, people, fields, first + 1)


def _are_below(groups: Sequence[str], row: Sequence[Cell], sort: Sort) -> bool:
    """Whether a row holds headings as well, more of them than the groups above it."""
    full = [text for cell in row if (text := text_of(cell))]
    if any(MAIL.search(cell) or time_in(cell) for cell in full):
        return False
    known = sum(sort.meant_by(each) is not None for each in full)
    return len(full) > sum(map(bool, groups)) and 2 * known >= len(full)


def _with_groups(groups: Sequence[str], row: Sequence[Cell], sort: Sort) -> tuple[str, ...]:
    """The headings below their groups, of which only a guardian's says something more."""
    found, group = [], ""
    for above, cell in zip(groups, row, strict=True):
        group = above or group
        text = text_of(cell)
        of_guardian = "guardian" in {sort.meant_by(group), sort.nearly_meant_by(group)}
        found.append(f"{group} {text}" if of_guardian else text or above)
    return tuple(found)


def _heed_names(
    scores: list[list[float]], names: Sequence[str], said: Collection[str | None]
) -> None:
    """Beside first and last names no column is the name; beside one of them it is the other."""
    parts = {"first_name", "last_name"} & set(said)
    if not parts or (len(parts) == 1 and "name" not in said):
        return
    other = next(iter({"first_name", "last_name"} - parts), "")
    for each in scores:
        at = names.index("name")
        if other:
            each[names.index(other)] = max(each[at], each[names.index(other)])
        each[at] = 0.0


def _heed_lone_time(
    chosen: dict[int, str], headings: Sequence[str], people: Sequence[Sequence[Cell]], sort: Sort
) -> None:
    """Beside the day of the lesson the one column of hours is its time, if nobody knows its
    heading; an hour at which something ends is said."""
    if "weekday" not in chosen.values() or {"at", "lesson"} & {*chosen.values()}:
        return
    hours = []
    for column, name in chosen.items():
        full = [row[column] for row in people if text_of(row[column])]
        if full and all(time_in(cell) is not None for cell in full):
            hours += [column]
            if (
                name
                or _means_something(headings[column], sort)
                or _ENDS & {*plain(headings[column]).split()}
            ):
                return
    if len(hours) == 1:
        chosen[hours[0]] = "at"


_ENDS_WORDS = (
    "end ends ending until till to bis ende fin hasta fine fino fim ate tot eind slut til do "
    "koniec konec loppu school"
)
_ENDS = frozenset(_ENDS_WORDS.split())


def _heed_kin(
    chosen: dict[int, str], headings: Sequence[str], people: Sequence[Sequence[Cell]], sort: Sort
) -> None:
    """Whoever has a mail or a phone under the same unknown word, and most of the time the
    student's last name, is the guardian: a sibling or who drives has the name alone."""
    own = [column for column, name in chosen.items() if name in {"name", "last_name"}]
    if "guardian" in chosen.values() or len(own) != 1:
        return
    found = [
        (column, theirs)
        for column, name in chosen.items()
        if not name and headings[column] and not _means_something(headings[column], sort)
        if _are_kin([(text_of(row[own[0]]), text_of(row[column])) for row in people], sort)
        if (theirs := _theirs(plain(headings[column]), chosen, headings, sort))
    ]
    if len(found) == 1:
        chosen |= {found[0][0]: "guardian"} | found[0][1]


def _are_kin(pairs: Sequence[tuple[str, str]], sort: Sort) -> bool:
    """Whether the second ones are names, most of which share a word with the first."""
    full = [(one, other) for one, other in pairs if other and plain(one) != plain(other)]
    if len(full) < _FEWEST_KIN or not all(sort.can_be["name"](other) for _, other in full):
        return False
    alike = sum(bool({*plain(a).split()} & {*plain(b).split()}) for a, b in full)
    return alike > _MOSTLY * len(full)


def _theirs(
    word: str, chosen: Mapping[int, str], headings: Sequence[str], sort: Sort
) -> dict[int, str]:
    """The columns that are a mail or a phone of whom this word means."""
    found: dict[int, str] = {}
    for column, name in chosen.items():
        said = plain(headings[column])
        rest = re.sub(rf"\b{re.escape(word)}\w{{0,3}}", " ", said)
        theirs = _OF_GUARDIANS.get(sort.meant_by(rest) or sort.nearly_meant_by(rest) or "", "")
        if not name and said != rest and theirs and theirs not in {*chosen.values()}:
            found[column] = theirs
    return found


_FEWEST_KIN = 3


def _heed_first_names(
    chosen: dict[int, str], headings: Sequence[str], people: Sequence[Sequence[Cell]], sort: Sort
) -> None:
    """A surname stands alone in no list: the column beside it that holds names, nearly each of
    them once, and whose heading nobody knows, has the first ones."""
    at = next((column for column, name in chosen.items() if name == "last_name"), None)
    if at is None or {"first_name", "name"} & {*chosen.values()}:
        return
    beside = []
    for column in (at - 1, at + 1):
        if chosen.get(column) != "" or _means_something(headings[column], sort):
            continue
        full = [text for row in people if (text := text_of(row[column]))]
        if len(full) == len(people) and all(map(_FIRST_NAME.fullmatch, full)):
            beside += [column] if 2 * len({*full}) > len(full) else []
    if len(beside) == 1:
        chosen[beside[0]] = "first_name"


_FIRST_NAME = re.compile(r"[^\W\d_a-zß-ÿ][^\W\d_]+(?:[ '’-][^\W\d_]+){0,2}")


def _means_something(heading: str, sort: Sort) -> bool:
    return bool(sort.meant_by(heading) or sort.nearly_meant_by(heading))


def _heed_whole_names(chosen: dict[int, str], people: Sequence[Sequence[Cell]]) -> None:
    """In some languages one word heads first names and whole ones: the cells say which."""
    found = {name: column for column, name in chosen.items()}
    if "first_name" not in found or {"last_name", "name"} & found.keys():
        return
    full = [text for row in people if (text := text_of(row[found["first_name"]]))]
    if 2 * sum(" " in text for text in full) > len(full):
        chosen[found["first_name"]] = "name"


# Of whom a column is, where its heading does not say: of whom the one before it is.
_OF_GUARDIANS = {"phone": "guardian_phone", "email": "guardian_email"}


def _heed_neighbours(
    scores: list[list[float]], names: Sequence[str], headings: Sequence[str]
) -> None:
    """Phone and mail behind a guardian's name are the guardian's; a lesson that has its hour in
    its cells is no weekday alone."""
    if "guardian" not in names:
        return
    best = [max(range(len(names)), key=each.__getitem__) if any(each) else -1 for each in scores]
    owner = ""
    for at, each in enumerate(scores):
        name = names[best[at]] if best[at] >= 0 else ""
        if name in {"guardian", "guardian_phone", "guardian_email"}:
            owner = "guardian"
        elif name in {"name", "first_name", "last_name"}:
            owner = "own"
        for own, theirs in _OF_GUARDIANS.items():
            a, b = names.index(own), names.index(theirs)
            says_theirs = "their" in plain(headings[at]).split()
            if says_theirs or (owner == "guardian" and name == own and own in names):
                each[a], each[b] = 0.0, max(each[a], each[b])


def _first_person(rows: Sequence[Sequence[Cell]], sort: Sort) -> int:
    """Which row is the first below the headings; 0 if none of them are headings.

    Above the headings stand titles alone: a cell or two, and nothing of a person.
    """
    widest = max((sum(map(bool, map(text_of, row))) for row in rows), default=0)
    for at, row in enumerate(rows[:_TITLE_ROWS]):
        full = [text_of(cell) for cell in row if text_of(cell)]
        if len(full) <= _TITLE_CELLS and widest > 2 * _TITLE_CELLS and at < _TITLE_ROWS - 1:
            continue  # A title, or the day on which the list was made.
        if any(MAIL.search(cell) or _is_when(cell) for cell in full):
            return 0
        known = sum(sort.meant_by(cell) is not None for cell in full)
        nearly = sum(sort.nearly_meant_by(cell) is not None for cell in full)
        if known >= max(2 if at else 1, len(full) // 3) or nearly >= max(2, len(full) / 2):
            return at + 1
        if len(full) > _TITLE_CELLS:
            return at + 1 if _is_above_others(row, rows[at + 1 :]) else 0
    return 0


def _is_when(cell: str) -> bool:
    """Whether it is a time of somebody's, and no question with a figure: *If under 18: who?*"""
    return time_in(cell) is not None and len(cell.split()) <= _WORDS_OF_A_TIME


def _is_above_others(row: Sequence[Cell], below: Sequence[Sequence[Cell]]) -> bool:
    """Whether its cells are words alone, where those below are mails or figures: a heading in
    a language that we do not know."""
    short = [text for cell in row if len((text := text_of(cell)).split()) <= _WORDS_OF_A_TIME]
    if any(any(sign.isdigit() for sign in text) for text in short):
        return False
    typed = 0
    for at in range(len(row)):
        full = [text for line in below if at < len(line) and (text := text_of(line[at]))]
        are = sum(bool(MAIL.search(text)) or _is_phone(text) or text.isdigit() for text in full)
        typed += bool(full) and are > _MOSTLY * len(full)
    return typed > 0
