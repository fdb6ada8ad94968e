"""Which column of somebody's list is what: by its heading, in several languages, and its cells.

Every column is scored for every field (its heading's words, and how many cells can be such a
field), and the best whole assignment is taken, so that two columns are never the same field.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

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
}
# English, German, French, Spanish, Italian and Dutch, as such lists are headed in general.
_HEADINGS = {
    "name": (
        "name|student|full name|player|schuler|spieler|nom complet|eleve|nombre|alumno|"
        "nome e cognome|allievo|naam|leerling|schueler|vor und nachname|"
        "nombre y apellidos"
    ),
    "first_name": "first name|given name|first|vorname|prenom|nombre de pila|nome|voornaam",
    "last_name": (
        "last name|surname|family name|last|nachname|nom|nom de famille|apellido|"
        "apellidos|cognome|achternaam"
    ),
    "email": (
        "email|e mail|mail|email address|mail address|e mail adresse|adresse mail|"
        "courriel|correo|correo electronico|posta elettronica|mailadres|e mailadres|"
        "adresse e mail"
    ),
    "phone": (
        "phone|mobile|cell|telephone|tel|phone number|telefon|handy|mobil|portable|movil|"
        "telefono|cellulare|telefoon|mobiel"
    ),
    "guardian": (
        "guardian|parent|mother|father|parent name|guardian name|eltern|elternteil|mutter|"
        "vater|tuteur|parents|tutor|padre|madre|genitore|ouder|voogd|erziehungsberechtigte"
    ),
    "guardian_email": (
        "guardian email|guardian mail|parent email|parents email|parent mail|"
        "guardian e mail|parent e mail|e mail eltern|eltern mail|mail der eltern|"
        "eltern email|email parent|email des parents|mail parent|courriel parent|"
        "correo del tutor|correo padre|email tutor|email genitore|mail ouder|e mail ouder|"
        "email ouder"
    ),
    "guardian_phone": (
        "guardian phone|parent phone|parents phone|parent mobile|guardian mobile|mother phone|"
        "father phone|telefon eltern|telefon der eltern|handy eltern|eltern telefon|"
        "telephone parent|telephone des parents|tel parent|portable parent|telefono padre|"
        "telefono del tutor|telefono tutor|telefono genitore|telefoon ouder|telefoon ouders"
    ),
    "weekday": "day|weekday|lesson day|day of lesson|tag|wochentag|jour|dia|giorno|dag|lesdag",
    "at": "time|lesson time|hour|start|uhrzeit|zeit|uhr|heure|hora|ora|orario|tijd|lestijd",
    "lesson": (
        "lesson|slot|day and time|lesson slot|stunde|unterricht|termin|cours|creneau|"
        "clase|lezione|les"
    ),
    "coach": (
        "coach|lead coach|teacher|pro|trainer|lehrer|entraineur|professeur|entrenador|"
        "profesor|allenatore|maestro|leraar"
    ),
    "aim": "aim|goal|target|wants|ziel|objectif|but|objetivo|obiettivo|doel",
    "born": (
        "born|birth year|year of birth|birthday|date of birth|dob|geboren|geburtsjahr|"
        "geburtstag|geburtsdatum|ne le|annee de naissance|date de naissance|naissance|"
        "nacimiento|fecha de nacimiento|data di nascita|nato|geboortedatum|geboortejaar"
    ),
}
WEEKDAYS = {
    word: number
    for number, words in enumerate(
        (
            "monday mon mo montag lundi lun lunes lunedi maandag ma",
            "tuesday tue tues tu di dienstag mardi mar martes martedi dinsdag",
            "wednesday wed we mi mittwoch mercredi mer miercoles mie mercoledi woensdag wo",
            "thursday thu thur thurs th do donnerstag jeudi jeu jueves jue giovedi gio donderdag",
            "friday fri fr freitag vendredi ven viernes vie venerdi vrijdag vr",
            "saturday sat sa samstag sonnabend samedi sam sabado sab sabato zaterdag za",
            "sunday sun su so sonntag dimanche dim domingo dom domenica zondag zo",
        )
    )
    for word in words.split()
}
# Bounded, so that a long cell without an address takes no time (RFC 5321, 4.5.3.1: 64, 255).
MAIL = re.compile(r"[^\s<>@,;]{1,64}@[^\s<>@,;]{1,190}\.[^\s<>@,;.]{1,63}")
_TIME = re.compile(
    r"(?<!\d)(\d{1,2})(?:[:.h](\d{2}))?(?::\d{2})?\s*(am|pm|a\.m\.|p\.m\.|uhr|h)?(?![\w])",
    re.IGNORECASE,
)
_PHONE = re.compile(r"\+?[\d\s()/.-]{6,24}")
_NAME = re.compile(r"[^\W\d_][^@<>]{1,79}")


@dataclass(frozen=True, slots=True)
class ListTable:
    """A list with its headings, if it has any, and what each column was taken for."""

    headings: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    fields: tuple[str, ...]
    # The number of the first row of people in the text.
    first: int


def weekday_in(text: str) -> int | None:
    """The weekday that the text names, Monday 0; None if it names none or several."""
    found = {WEEKDAYS[word] for word in plain(text).split() if word in WEEKDAYS}
    return found.pop() if len(found) == 1 else None


def time_in(cell: Cell) -> tuple[int, int] | None:
    """Hour and minute; None if there is none that can be."""
    if isinstance(cell, datetime):
        return (cell.hour, cell.minute) if cell.hour or cell.minute else None
    if isinstance(cell, float):  # As a sheet keeps a time: a part of the day.
        minutes = round(cell * 24 * 60)
        return divmod(minutes, 60) if 0 < cell < 1 else None
    found = [each for each in _TIME.finditer(cell) if each[2] or each[3]]
    if len(found) != 1:
        return None
    hour, minute = int(found[0][1]), int(found[0][2] or 0)
    half = (found[0][3] or "").lower().replace(".", "")
    if half in {"am", "pm"}:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half == "pm" else 0)
    return (hour, minute) if hour < 24 and minute < 60 else None


def born_in(cell: Cell) -> int | None:
    """The year of birth."""
    if isinstance(cell, datetime):
        return cell.year
    if isinstance(cell, float):
        return int(cell) if 1900 <= cell <= 2100 and cell == int(cell) else None
    found = re.findall(r"(?<!\d)(?:19|20)\d{2}(?!\d)", cell)
    return int(found[0]) if len(found) == 1 else None


def _is_phone(cell: Cell) -> bool:
    text = text_of(cell)
    return bool(_PHONE.fullmatch(text)) and sum(sign.isdigit() for sign in text) >= 6


def _is_lesson(cell: Cell) -> bool:
    return isinstance(cell, str) and weekday_in(cell) is not None and time_in(cell) is not None


def _is_weekday(cell: Cell) -> bool:
    return isinstance(cell, str) and plain(cell).rstrip("s") in WEEKDAYS | {
        f"{word}": 0 for word in WEEKDAYS if not word.endswith("s")
    }


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
}
# Fields that cells alone can tell, without a heading, and how far they are believed.
_BY_CELLS = {
    "email": 6.0, "lesson": 5.0, "weekday": 5.0, "at": 4.0, "phone": 3.0, "name": 2.0,
    "guardian_email": 1.5,
}  # fmt: skip
_BY_WORDS = 20.0
# So much of a column must be what its heading nearly says, or does not say at all.
_MOSTLY, _LEAST = 0.6, 0.01
# A word may go on behind a stem for an ending (Lehrer, Lehrerin), or be cut short (geb., Tel.).
_STEM, _ENDING, _CUT = 4, 3, 3
# A sheet's title and its date stand above the headings.
_TITLE_ROWS, _TITLE_CELLS = 6, 2


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
        return said or self.headings.get(plain(re.sub(r"[(\[].{0,30}[)\]]", "", heading)))

    def nearly_meant_by(self, heading: str) -> str | None:
        """The field that its words name where no list has the whole: *Tel. mobil*, *Lehrerin*."""
        named = frozenset().union(*map(self._meant_by_word, re.findall(r"[^\W_]+\.?", heading)))
        return next(iter(named)) if len(named) == 1 else self.together.get(named)

    def _meant_by_word(self, word: str) -> frozenset[str]:
        """Of one word, with an ending or cut short by a point too; nothing where it may be two."""
        text = plain(word)
        if text in self.headings:
            return frozenset((self.headings[text],))
        found = frozenset(
            meant
            for said, meant in self.headings.items()
            if (len(said) >= _STEM and text.startswith(said) and len(text) <= len(said) + _ENDING)
            or (word.endswith(".") and len(text) >= _CUT and said.startswith(text))
        )
        return found if len(found) == 1 else frozenset()


def headings_of(words: Mapping[str, str]) -> dict[str, str]:
    """By heading, the field."""
    return {said: field for field, all_ in words.items() for said in all_.split("|")}


PEOPLE = Sort(
    FIELDS,
    headings_of(_HEADINGS),
    _CAN_BE,
    _BY_CELLS,
    {
        frozenset(("guardian", "email")): "guardian_email",
        frozenset(("guardian", "phone")): "guardian_phone",
        frozenset(("guardian", "name")): "guardian",
        frozenset(("first_name", "last_name")): "name",
        frozenset(("name", "first_name")): "name",
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
    if said == name:
        return _BY_WORDS * (0.25 + fits)
    if said is not None or fits < _MOSTLY:
        return 0.0
    near = sort.nearly_meant_by(heading)
    if near is not None:
        return _BY_WORDS * 0.5 * fits if near == name else 0.0
    return sort.by_cells.get(name, 0.0) * fits


def recognised(
    rows: Sequence[Sequence[Cell]], fixed: dict[int, str] | None = None, sort: Sort = PEOPLE
) -> ListTable:
    """The list with a field or '' for each column; `fixed` says what somebody chose."""
    width = max((len(row) for row in rows), default=0)
    filled = [tuple(row) + ("",) * (width - len(row)) for row in rows]
    first = _first_person(filled, sort)
    headings = tuple(map(text_of, filled[first - 1])) if first else ("",) * width
    people = tuple(filled[first:])
    names = list(sort.fields)
    scores = [
        [score(name, headings[i], [row[i] for row in people], sort) for name in names]
        for i in range(width)
    ]
    if {"first_name", "last_name"} <= set(map(sort.meant_by, headings)):
        for each in scores:  # Then no other column is the name.
            each[names.index("name")] = 0.0
    chosen = dict.fromkeys(range(width), "")
    chosen |= {column: names[place] for column, place in assigned(scores, _LEAST).items()}
    for column, name in (fixed or {}).items():
        if column in chosen:
            chosen[column] = name
    fields = tuple(chosen[column] for column in range(width))
    return ListTable(headings, people, fields, first + 1)


def _first_person(rows: Sequence[Sequence[Cell]], sort: Sort) -> int:
    """Which row is the first below the headings; 0 if none of them are headings.

    Above the headings stand titles alone: a cell or two, and nothing of a person.
    """
    for at, row in enumerate(rows[:_TITLE_ROWS]):
        full = [text_of(cell) for cell in row if text_of(cell)]
        if any(MAIL.search(cell) or time_in(cell) for cell in full):
            return 0
        known = sum(sort.meant_by(cell) is not None for cell in full)
        nearly = sum(sort.nearly_meant_by(cell) is not None for cell in full)
        if known >= max(2 if at else 1, len(full) // 3) or nearly >= max(2, len(full) / 2):
            return at + 1
        if len(full) > _TITLE_CELLS:
            return 0
    return 0
