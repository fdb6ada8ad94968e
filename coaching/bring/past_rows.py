"""Past practice in somebody's list: a student, a day, minutes, and perhaps the drill. Pure."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from coaching.bring.columns import MAIL, ListTable, Sort, headings_of, recognised
from coaching.bring.terms import HEADINGS
from practice.importing.cells import Bad, Cell, number, text_of
from practice.importing.days import (
    ANY_YEAR,
    DateOrder,
    both_days,
    day,
    guess_order,
    is_day,
    is_not_english,
    is_order_sure,
    likely_year,
)
from shared.kit.text import MONTHS, plain

MOST_MINUTES = 480
LONGEST_DRILL = 80
WHO_IS_NOT = "Bring the students first; a child waits for the guardian."
# The forecast reads half a year back; what is older would be kept for nothing.
BACK = timedelta(weeks=26)
FIELDS = {"name": "Student", "day": "Day", "minutes": "Minutes", "drill": "Drill"}
# As such lists are headed in general, in two dozen languages (no source).
_HEADINGS = {
    "name": (
        f"{HEADINGS['name']}|{HEADINGS['first_name']}|"
        "quem treinou|qui s est entraine|wer hat geubt|who practised|who practiced|nom|pupil|who|"
        "wer|wie|qui|quien|quem|chi|nome|vem|hvem|kto|kdo|kuka|ki|cine|kim|кто|хто|誰|누가|谁"
    ),
    "day": (
        "practice date|date done|quand|ubungstag|dne|day|date|practice day|on|when|datum|"
        "tag|wann|jour|date de pratique|fecha|dia|"
        "cuando|data|"
        "giorno|quando|dag|wanneer|nar|dato|hvornar|nar|paiva|paivamaara|pvm|milloin|dzien|"
        "kiedy|den|"
        "kdy|kedy|nap|mikor|zi|cand|tarih|gun|ημερομηνια|ποτε|дата|день|когда|коли|日付|日|"
        "練習日|날짜|"
        "일자|日期|何时"
    ),
    "minutes": (
        "trainingszeit|cuanto|quanto|quanto tempo|hvor længe|ile minut|ile|jak dlugo|"
        "jak długo|jak dlouho|kuinka kauan|"
        "dur|hod|std|stunden|hours|hrs|heures|horas|ore|uren|timmar|timer|godziny|hodiny|"
        "minutes|min|mins|practice minutes|duration|length|time|how long|minuten|dauer|zeit|wie "
        "lange|"
        "duree|temps|minutos|duracion|tiempo|minuti|durata|tempo|duracao|duur|tijd|hoe lang|"
        "minuter|tid|"
        "hur lange|varaktighed|varighed|minutter|hvor lenge|hvor laenge|minuutit|kesto|minuty|"
        "czas|czas trwania|doba|cas|trvani|percek|perc|idotartam|durata|sure|dakika|λεπτα|"
        "διαρκεια|минуты|"
        "мин|длительность|хвилини|分|時間|練習時間|분|시간|연습 시간|分钟|时长|时间"
    ),
    "drill": (
        "o que treinou|co cwiczone|co cwiczyl|que practico|what was done|"
        "atelier|station|stazione|estacion|posten|practised|practiced|task|activity|aufgabe|travail|trabajo|actividad|attivita|treino|"
        "tranade|aktivitet|zadanie|ukol|harjoite|tehtava|"
        "worked on|メニュー|geoefend|exo|geubt|was geubt|ovat|trenet|what we did|drill|exercise|"
        "what|part|work|ubung|uebung|was|inhalt|exercice|quoi|ejercicio|que|"
        "esercizio|cosa|exercicio|o que|oefening|wat|ovning|vad|ovelse|øvelse|hva|hvad|"
        "harjoitus|mita|"
        "cwiczenie|co|cviceni|cvicenie|gyakorlat|mit|exercitiu|ce|alistirma|egzersiz|ασκηση|"
        "упражнение|что|"
        "вправа|ドリル|練習|内容|練習内容|드릴|연습|내용|练习|内容"
    ),
}
_HOURS = re.compile(
    r"(\d{1,2}(?:[.,]\d{1,2})?)\s*(?:h|hrs?|hours?|std\.?|stunden?|heures?|horas?|ore|uur)"
    r"(?:\s*(\d{1,2})\s*(?:m|mn|min|mins|minutes|minuten|minutos|minuti)?\.?)?",
    re.IGNORECASE,
)
# Under one of these a bare figure is of hours.
_OF_HOURS = frozenset(
    {
        *("hod", "std", "stunden", "hours", "hrs", "heures", "horas", "ore", "uren"),
        *("timmar", "timer", "godziny", "hodiny"),
    }
)
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})(?::00)?")
_MINUTES = re.compile(
    r"(\d{1,3}(?:[.,]\d{1,2})?)\s*(?:m|mn|min|mins|分|분|分钟|minutes?|minuten|minutos|minuti|')?\.?",
    re.IGNORECASE,
)


@dataclass(slots=True)
class PastRow:
    """One row, read. `faults` are sentences that say what to mend; with one it is not brought."""

    number: int
    name: str = ""
    day: date | None = None
    minutes: float = 0.0
    drill: str = ""
    student: str = ""
    faults: list[str] = field(default_factory=list)


def minutes_in(cell: Cell) -> float | None:
    """Minutes as people write them: 25, 25 min, 1 h 15, 1,5 h, 1:15; None if it is none."""
    if isinstance(cell, datetime):
        return None
    if isinstance(cell, float):
        return cell
    text = cell.strip()
    if found := _CLOCK.fullmatch(text):
        return int(found[1]) * 60.0 + int(found[2])
    if found := _HOURS.fullmatch(text):
        return (number(found[1].replace(",", "."), ".") or 0.0) * 60 + int(found[2] or 0)
    if found := _MINUTES.fullmatch(text):
        return number(found[1].replace(",", "."), ".")
    return None


def _is_minutes(cell: Cell) -> bool:
    found = minutes_in(cell)
    return found is not None and 0 < found <= MOST_MINUTES


def _is_words(cell: Cell) -> bool:
    return isinstance(cell, str) and any(sign.isalpha() for sign in cell) and not is_day(cell)


PRACTICE = Sort(
    FIELDS,
    headings_of(_HEADINGS),
    {"name": _is_words, "day": is_day, "minutes": _is_minutes, "drill": _is_words},
    {"day": 6.0, "minutes": 4.0, "name": 2.0, "drill": 1.0},
)


def is_past_practice(rows: Sequence[Sequence[Cell]]) -> bool:
    """Whether a list tells of practice and not of people: it has days and minutes, no address."""
    table = recognised(rows, sort=PRACTICE)
    if not table.rows or not {"name", "day", "minutes"} <= set(table.fields):
        return False
    if any(MAIL.search(text_of(cell)) for row in rows for cell in row):
        return False
    at, of = table.fields.index("day"), table.fields.index("minutes")
    days = [is_day(row[at]) for row in table.rows]
    fit = sum(
        (is_dated or not text_of(row[at])) and _is_minutes(row[of])
        for is_dated, row in zip(days, table.rows, strict=True)
    )
    return any(days) and 2 * fit > len(table.rows)


def said_order(table: ListTable) -> DateOrder | None:
    """The order of day and month as the days or their heading say it; None if neither does."""
    cells = _days_of(table)
    order = guess_order(cells)
    if not cells:
        return order
    heading = table.headings[table.fields.index("day")]
    return order if is_order_sure(cells, order) or is_not_english(heading) else None


def likely_order(table: ListTable, today: date) -> DateOrder | None:
    """That under which more of the days are of the last half year; None if it is as many."""
    cells = _days_of(table)
    fits = {
        each: sum(_is_of_late(cell, each, today) for cell in cells)
        for each in (DateOrder.DMY, DateOrder.MDY)
    }
    if fits[DateOrder.DMY] == fits[DateOrder.MDY]:
        return None
    return max(fits, key=lambda each: fits[each])


def _days_of(table: ListTable) -> list[Cell]:
    if "day" not in table.fields:
        return []
    at = table.fields.index("day")
    return [row[at] for row in table.rows if text_of(row[at])]


def _is_of_late(cell: Cell, order: DateOrder, today: date) -> bool:
    try:
        found = day(cell, order, likely_year([cell], order, today))
    except Bad:
        return False
    return found is not None and today - BACK <= found <= today


def read_past(
    table: ListTable,
    students: Mapping[str, Sequence[str]],
    today: date,
    order: DateOrder | None = None,
) -> list[PastRow]:
    """Every row of the list. `students` are ids by plain name; today is the studio's; `order` is
    that of day and month, where somebody has said it."""
    order = order or said_order(table) or likely_order(table, today)
    rows = []
    day: Cell = ""
    for place, row in enumerate(table.rows, table.first):
        said = dict(zip(table.fields, row, strict=True))
        # A day that is written once stands for the rows below it.
        day = said["day"] = said.get("day", "") or (day if said.get("minutes") else "")
        said["minutes"] = _in_minutes(said.get("minutes", ""), is_hours=_are_hours(table))
        rows.append(_read(PastRow(place), said, students, order, today))
    _say_twice(rows)
    return rows


def _are_hours(table: ListTable) -> bool:
    if "minutes" not in table.fields:
        return False
    return plain(table.headings[table.fields.index("minutes")]) in _OF_HOURS


def _in_minutes(cell: Cell, *, is_hours: bool) -> Cell:
    """A bare figure of hours as minutes; all else as it is."""
    text = text_of(cell).replace(",", ".")
    if is_hours and re.fullmatch(r"\d{1,2}(?:\.\d{1,2})?", text):
        return float(text) * 60
    return cell


def _read(
    row: PastRow,
    said: Mapping[str, Cell],
    students: Mapping[str, Sequence[str]],
    order: DateOrder | None,
    today: date,
) -> PastRow:
    row.name = " ".join(text_of(said.get("name", "")).split())[:80]
    row.drill = " ".join(text_of(said.get("drill", "")).split())
    _read_student(row, students)
    _read_day(row, said.get("day", ""), order, today)
    minutes = minutes_in(said.get("minutes", ""))
    if minutes is None or not 0 < minutes <= MOST_MINUTES:
        row.faults.append(
            f"“{text_of(said.get('minutes', ''))[:20]}” is no practice time. Write minutes, as 25."
        )
    row.minutes = minutes or 0.0
    if len(row.drill) > LONGEST_DRILL:
        row.faults.append(f"The drill is longer than {LONGEST_DRILL} letters. Shorten it.")
    return row


def _read_student(row: PastRow, students: Mapping[str, Sequence[str]]) -> None:
    """By the whole name, or by a part of it that only one has."""
    asked = set(plain(row.name).split())
    if not asked:
        row.faults.append("No name. Write one.")
        return
    whole = students.get(plain(row.name))
    parts = [key for name, keys in students.items() if asked <= set(name.split()) for key in keys]
    found = list(whole) if whole else parts
    if len(found) == 1:
        row.student = found[0]
    elif found:
        row.faults.append(f"Several students are called “{row.name[:40]}”. Write the whole name.")
    else:
        row.faults.append(f"No student here is called “{row.name[:40]}”. {WHO_IS_NOT}")


def _read_day(row: PastRow, cell: Cell, order: DateOrder | None, today: date) -> None:
    if order is None and (both := both_days(cell, ANY_YEAR)):
        one, other = (f"{each.day} {MONTHS[each.month - 1]}" for each in both)
        row.faults.append(f"“{text_of(cell)[:30]}” may be {one} or {other}. Say above which.")
        return
    order = order or DateOrder.DMY
    try:
        # Without a year it is the last one there was: no more than half a year is read.
        row.day = day(cell, order, likely_year([cell], order, today))
    except Bad as error:
        row.faults.append(str(error))
        return
    if row.day is None:
        row.faults.append("No day. Write one like 2026-02-25.")
    elif row.day > today:
        row.faults.append("That day is still to come.")
    elif row.day < today - BACK:
        row.faults.append("That is more than half a year ago. Nothing reads it. Left out.")


def _say_twice(rows: Sequence[PastRow]) -> None:
    seen: dict[tuple[object, ...], int] = {}
    for row in rows:
        key = (row.student, row.day, row.drill, row.minutes)
        if row.student and row.day and key in seen:
            row.faults.append(f"The same as row {seen[key]}. Delete one of them.")
        seen.setdefault(key, row.number)
