"""The form in which somebody names the columns, read by hand: it has as many lines as the file."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from practice.importing import lengths
from practice.importing.cells import MOST_COLUMNS
from practice.importing.columns import FIELDS, MEASURED, UNITS, Column, Plan
from practice.importing.days import DateOrder
from practice.importing.names import bare

OLDEST_YEAR, NEWEST_YEAR, MOST_LENGTHS = 2000, 2099, 30
ROOFS: dict[str, bool | None] = {"": None, "in": True, "out": False}


@dataclass(slots=True)
class NamedPlan:
    """A plan as far as it can be read, and what is wrong with it: sentences by field name."""

    plan: Plan
    faults: dict[str, str] = field(default_factory=dict)
    # A unit that the form did not ask for yet, because the column was something else.
    has_new_units: bool = False


def read(form: Mapping[str, str], usual: Mapping[str, str], header: Sequence[str]) -> NamedPlan:
    """The plan that a form names; `usual` has the unit for each kind of measure."""
    found: dict[int, Column] = {}
    named = NamedPlan(Plan())
    for index in range(MOST_COLUMNS):
        name = form.get(f"field-{index}", "")
        if name not in FIELDS:
            continue
        if name in {column.field for column in found.values()}:
            named.faults[f"field-{index}"] = f"{FIELDS[name].words} is named twice."
            continue
        measure = FIELDS[name].measure
        told = bare(header[index])[1] if index < len(header) else ""
        if told in UNITS["speed"] and measure != "speed":
            named.faults[f"field-{index}"] = (
                f"The column {header[index]} is a speed: it cannot be {FIELDS[name].words}."
            )
            continue
        unit = form.get(f"unit-{index}", "") if measure else ""
        if measure and unit not in UNITS[measure]:
            unit, named.has_new_units = usual[measure], True
        found[index] = Column(
            name, unit, is_down=f"down-{index}" in form, is_left_plus=f"left-{index}" in form
        )
    named.plan = Plan(
        columns=found,
        decimal="," if form.get("decimal") == "," else ".",
        order=_order(form.get("order", "")),
        asks_order=form.get("order", "") not in set(DateOrder),
        year=_year(form.get("year", ""), named),
        lengths=_lengths(form),
        day=_day(form.get("day", ""), named),
        device=_words(form, "device", named),
        ball=_words(form, "ball", named),
        place=_words(form, "place", named),
        player=_words(form, "player", named),
        indoors=ROOFS.get(form.get("roof", "")),
    )
    _check(named)
    return named


def _order(text: str) -> DateOrder:
    return DateOrder(text) if text in set(DateOrder) else DateOrder.YMD


def _year(text: str, named: NamedPlan) -> int | None:
    if not text.strip():
        return None
    if not text.strip().isdigit() or not OLDEST_YEAR <= int(text) <= NEWEST_YEAR:
        named.faults["year"] = "Write the year in four figures, like 2026."
        return None
    return int(text)


def _lengths(form: Mapping[str, str]) -> dict[str, str]:
    """What the reader made of words for lengths; an empty answer is none yet."""
    said = ((key, form.get(f"length-{at}", "")) for at in range(MOST_LENGTHS)
            if (key := form.get(f"length-of-{at}", "")))  # fmt: skip
    return {lengths.key_of(key): value for key, value in said if value in (*lengths.KEPT, "none")}


def _day(text: str, named: NamedPlan) -> str:
    if not text:
        return ""
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        named.faults["day"] = "That is not a day. Write it like 2026-02-25."
        return ""


def _words(form: Mapping[str, str], name: str, named: NamedPlan) -> str:
    text = " ".join(form.get(name, "").split())
    if len(text) > 60 or not text.isprintable():
        named.faults[name] = "Write at most 60 letters."
        return ""
    return text


def _check(named: NamedPlan) -> None:
    fields = {column.field for column in named.plan.columns.values()}
    if not fields & set(MEASURED):
        named.faults["columns"] = "Name at least one column carry, total, ball or club speed."
    if "day" not in fields and not named.plan.day and "day" not in named.faults:
        named.faults["day"] = "No column is the day, so say the day of these shots."
    if "left_right" in fields and "side" not in fields:
        named.faults["columns"] = "Name the column of which another says left or right."
    if "player" in fields and not named.plan.player:
        named.faults["player"] = "Say what this student is called in the column of players."
    if "device" not in fields and not named.plan.device and "device" not in named.faults:
        named.faults["device"] = "Say what measured these. We never mix the figures of two devices."
