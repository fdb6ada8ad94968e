"""What one row of a list says of somebody: a person to bring, or why it cannot be brought."""

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, time

from coaching.bring.columns import (
    MAIL,
    ListTable,
    age_in,
    born_in,
    days_in_letters,
    time_in,
    weekday_in,
)
from coaching.bring.terms import NOBODY, TITLES
from practice.importing.cells import Cell, text_of
from shared.kit.text import WEEKDAYS, plain
from shared.people.models import PHONE_NUMBER

ADULT = 18
LONGEST = {"name": 80, "aim": 200, "guardian": 80}


@dataclass(slots=True)
class ListedPerson:
    """One row, read. `faults` are sentences that say what to mend; with one it is not brought."""

    number: int
    name: str = ""
    email: str = ""
    phone: str = ""
    guardian: str = ""
    guardian_email: str = ""
    weekday: int | None = None
    at: time | None = None
    coach: str = ""
    aim: str = ""
    is_minor: bool = False
    faults: list[str] = field(default_factory=list)

    @property
    def has_lesson(self) -> bool:
        return self.weekday is not None and self.at is not None


def read_rows(table: ListTable, coaches: Mapping[str, str], today: date) -> list[ListedPerson]:
    """Every row of the list. `coaches` are the plain names of those who may lead, by plain name
    to a key; today tells who is under 18."""
    table = _with_days_spelled(table)
    last_first = {field for field in ("name", "guardian") if _is_last_first(table, field)}
    capitals = {field for field in ("name", "guardian") if _are_capitals_first(table, field)}
    found = [
        _read(number, dict(zip(table.fields, row, strict=True)), coaches, today)
        for number, row in enumerate(table.rows, table.first)
    ]
    for person in found:
        for each in last_first:
            last, _, first = getattr(person, each).partition(",")
            setattr(person, each, f"{first.strip()} {last.strip()}".strip())
        for each in capitals:
            last, first = _capitals_and_rest(getattr(person, each))
            setattr(person, each, " ".join([*first, *last]))
    return _told_apart(found)


def _with_days_spelled(table: ListTable) -> ListTable:
    """Weekdays in a letter each as the days that they are in the language of the column."""
    if "weekday" not in table.fields:
        return table
    at = table.fields.index("weekday")
    letters = days_in_letters([row[at] for row in table.rows])

    def spelled(cell: Cell) -> Cell:
        day = letters.get(text_of(cell).casefold().strip(". "))
        return cell if day is None else WEEKDAYS[day]

    rows = tuple((*row[:at], spelled(row[at]), *row[at + 1 :]) for row in table.rows)
    return replace(table, rows=rows)


_LAST_FIRST = re.compile(r"[^\W\d_][^,]*,\s*[^\W\d_][^,]*")


def _capitals_and_rest(name: str) -> tuple[list[str], list[str]]:
    """HILL-LUND Ada: the words in capitals that begin a name, and the others."""
    words = name.split()
    at = next((at for at, word in enumerate(words) if not _is_in_capitals(word)), len(words))
    return words[:at], words[at:]


def _is_in_capitals(word: str) -> bool:
    """HILL, but no initial: A. and J are first names."""
    return len(word) > 1 and word.isupper() and "." not in word


def _are_capitals_first(table: ListTable, field: str) -> bool:
    """Whether a column has its names as HILL Ada, each of them; JP Ray may be two initials."""
    if field not in table.fields:
        return False
    at = table.fields.index(field)
    parts = [_capitals_and_rest(name) for row in table.rows if (name := _words(row[at]))]
    longer = sum(any(len(word) > 2 for word in last) for last, _ in parts)
    return 2 * longer > len(parts) > 1 and all(
        last and first and not any(map(_is_in_capitals, first)) for last, first in parts
    )


def _is_last_first(table: ListTable, field: str) -> bool:
    """Whether a column has its names as Hill, Ada."""
    if field not in table.fields:
        return False
    at = table.fields.index(field)
    alone = len(table.fields) == 1  # Else a row of one cell is a line below or between them.
    rows = [row for row in table.rows if alone or sum(bool(text_of(cell)) for cell in row) > 1]
    full = [text for row in rows if (text := _words(row[at]))]
    return bool(full) and all(map(_LAST_FIRST.fullmatch, full))


def _read(
    number: int, said: dict[str, Cell], coaches: Mapping[str, str], today: date
) -> ListedPerson:
    person = ListedPerson(number)
    person.name = _words(said.get("name")) or " ".join(
        filter(None, (_words(said.get("first_name")), _words(said.get("last_name"))))
    )
    person.name, in_name = _without_mail(person.name)
    person.email = _mail(person, said.get("email"), "mail") or in_name
    own, guardians = _words(said.get("phone")), _words(said.get("guardian_phone"))
    person.guardian = _words(said.get("guardian"))
    person.guardian_email = _mail(person, said.get("guardian_email"), "guardian’s mail")
    if not person.guardian_email:
        person.guardian, person.guardian_email = _without_mail(person.guardian)
    person.aim = _words(said.get("aim"))
    _read_lesson(person, said)
    _read_coach(person, _words(said.get("coach")), coaches)
    _read_age(person, said.get("born", ""), said.get("age", ""), today)
    _read_phone(person, (guardians or own) if person.is_minor else own)
    if not person.name:
        person.faults.append("No name. Write one.")
    elif len(said) > 1 and _names_nobody(person, said):
        person.faults.append(f"“{person.name[:40]}” names nobody. Left out.")
    for name, longest in LONGEST.items():
        if len(getattr(person, name)) > longest:
            person.faults.append(f"The {name} is longer than {longest} letters. Shorten it.")
    return person


def _read_phone(person: ListedPerson, typed: str) -> None:
    """As it is written, with + or (0) and all; a sheet adds points where it thinks of a number."""
    person.phone = unicodedata.normalize("NFKC", typed.removesuffix(".0"))
    if found := re.fullmatch(r"\((\d+)\)\s*(.+)", person.phone):  # (555) 555-0134
        person.phone = f"{found[1]} {found[2]}"
    if person.phone and not re.match(PHONE_NUMBER, person.phone):
        person.faults.append(f"“{typed[:40]}” is no phone number. Write it like +44 20 7946 0000.")


def _words(cell: Cell | None) -> str:
    return " ".join(text_of(cell).split()) if cell is not None else ""


def _without_mail(text: str) -> tuple[str, str]:
    """A name, and the address that stands beside it: Ada Hill <ada@example.org>."""
    found = MAIL.search(text)
    if not found:
        return text, ""
    name = (text[: found.start()] + text[found.end() :]).strip(" <>(),;\"'")
    return name, found[0].lower()


def _mail(person: ListedPerson, cell: Cell | None, what: str) -> str:
    text = _words(cell).removeprefix("mailto:")
    if not text:
        return ""
    found = MAIL.findall(text)
    if len(found) == 1:
        return str(found[0]).lower()
    person.faults.append(f"“{text[:60]}” is no {what}. Write one, as in ada@example.org.")
    return ""


def _read_lesson(person: ListedPerson, said: dict[str, Cell]) -> None:
    """Weekday and time, from two columns or one."""
    whole, day, at = said.get("lesson", ""), said.get("weekday", ""), said.get("at", "")
    if text_of(whole):
        day = day if text_of(day) else whole
        at = at if text_of(at) else whole
    if not text_of(day) and not text_of(at):
        return
    person.weekday = weekday_in(text_of(day))
    hour = time_in(at)
    person.at = time(*hour) if hour else None
    if person.weekday is None:
        person.faults.append(
            f"{_named(day, 'The weekday', 'names no weekday')} Write it like Tuesday."
        )
    if person.at is None:
        person.faults.append(f"{_named(at, 'The time', 'is no time')} Write it like 16:30.")


def _named(cell: Cell, what: str, fault: str) -> str:
    """What is wrong with what was written; where nothing was, that it is missing."""
    said = text_of(cell)
    return f"“{said[:40]}” {fault}." if said else f"{what} is missing."


_TITLES = frozenset(map(plain, TITLES))
_NOBODY = frozenset(map(plain, NOBODY))


def _names_nobody(person: ListedPerson, said: Mapping[str, Cell]) -> bool:
    """Whether a row is a line below or between the people: *Total*, *5 pupils*, *Tuesday group*."""
    full = [name for name, cell in said.items() if name and text_of(cell)]
    words = plain(person.name).split()
    is_called = bool(_NOBODY & {*words}) or (words[:1] != [] and words[0].isdigit())
    is_called = is_called or len(person.name) == 1  # A letter above those who begin with it.
    return len(full) == 1 and (is_called or weekday_in(person.name) is not None)


def _read_coach(person: ListedPerson, typed: str, coaches: Mapping[str, str]) -> None:
    """By the whole name, or by a part of it that only one has."""
    if not typed:
        return
    asked = set(plain(typed).split())
    asked = asked - _TITLES or asked
    found = [key for name, key in coaches.items() if asked <= set(name.split())]
    if len(found) == 1:
        person.coach = found[0]
    else:
        person.faults.append(f"“{typed[:40]}” is no coach here. Leave it empty to lead yourself.")


def _read_age(person: ListedPerson, born: Cell, age: Cell, today: date) -> None:
    """Under 18 is whoever has a guardian in the list, or may be by age or year of birth."""
    year = born_in(born) if text_of(born) else None
    years = age_in(age) if text_of(age) else None
    young = year is not None and today.year - year <= ADULT
    young = young or (years is not None and years < ADULT)
    person.is_minor = young or bool(person.guardian or person.guardian_email)
    if person.is_minor and not person.guardian_email:
        person.faults.append("Under 18: write the guardian’s mail. The guardian enters the child.")


def _told_apart(people: Sequence[ListedPerson]) -> list[ListedPerson]:
    """The same person a second time is said; brothers and sisters may share a guardian's mail."""
    seen: dict[tuple[str, str], int] = {}
    for person in people:
        key = (plain(person.name), person.email or person.guardian_email)
        if person.name and key in seen:
            person.faults.append(f"The same as row {seen[key]}. Delete one of them.")
        seen.setdefault(key, person.number)
    mails: dict[str, int] = {}
    for person in people:
        if person.email and not person.is_minor:
            if person.email in mails and not person.faults:
                person.faults.append(
                    f"Row {mails[person.email]} has this mail too. Each student needs one."
                )
            mails.setdefault(person.email, person.number)
    return list(people)
