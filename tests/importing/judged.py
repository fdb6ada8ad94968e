"""Files of strangers at first sight, as the page shows them, beside what they are.

Each file has its truth beside it, `NAME.truth.json`: what each column means, its unit, how many
shots or people there are, and what the first three say.
"""

import io
import json
import re
import unicodedata
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from practice.importing import reading, services
from practice.importing.columns import FIELDS, UNITS, Plan
from practice.importing.reading import BadRow, FileKind
from practice.importing.rows import RowReader, turned
from shared.people.today import today_of
from tests import factories

FOLDER = Path(__file__).parent
# Their words for what a column means, as ours; what is not here we keep nothing of.
MEANS = {
    "date": "day", "date_and_time": "day", "club": "club", "ball_make": "ball",
    "ball_speed": "ball_speed", "club_speed": "club_speed", "launch_angle": "launch",
    "spin": "spin", "carry": "carry", "total": "total", "side": "side", "place": "place",
    "player": "player", "device": "device", "target_distance": "target", "effort": "effort",
    "hit": "is_clean", "swing_length": "length", "session": "session",
}  # fmt: skip
# A target that was hit is no clean strike for certain: it may be left out.
MAY_BE_LEFT = {"hit", "session"}
# The id of a session is one, though they kept nothing of it.
ALSO = {"sessionId": "session"}
SIGNS = {"km/h": "kmh", "m/s": "mps", "ft/s": "fps"}


@dataclass(frozen=True)
class Judged:
    """What is right, what is left for the reader to say, and what is wrong and not marked."""

    right: int
    asked: list[str]
    wrong: list[str]


def of_folder(folder: str, many: str) -> dict[str, dict[str, Any]]:
    """The truths of the files of shots (`expected_shots`) or of lists (`expected_people`)."""
    found = {}
    for path in sorted((FOLDER / folder).glob("*.truth.json")):
        truth = json.loads(path.read_text("utf-8"))
        for column in truth["columns"]:
            way = column.setdefault("path", column.get("key_path", ""))
            column.setdefault("header", way.rpartition(".")[2])
        if many in truth:
            found[truth["file"]] = truth
    return found


def content_of(folder: str, name: str) -> bytes:
    return (FOLDER / folder / name).read_bytes()


def same_text(one: object, other: object) -> bool:
    return bare_text(one) == bare_text(other)


def bare_text(value: object) -> str:
    text = "" if value is None else unicodedata.normalize("NFC", str(value))
    return " ".join(text.casefold().split())


def first_plan(content: bytes, name: str, distance: str, speed: str) -> tuple[Any, Plan]:
    coach = factories.make_coach(distance_unit=distance, speed_unit=speed)
    student = factories.make_student(coach, "Somebody Else")
    kept = services.take(student=student, by=coach, name=name, size=len(content), chunks=[content])
    return kept, Plan.from_json(kept.plan)


@cache
def shots_of(folder: str, name: str) -> Judged:
    """Of a file of strangers; once, as no test changes what it is judged by."""
    return shots(content_of(folder, name), name, of_folder(folder, "expected_shots")[name])


def shots(content: bytes, name: str, truth: dict[str, Any]) -> Judged:
    """Columns with their units, the number of shots, and each value of the first three."""
    kept, plan = first_plan(content, name, "yd", "mph")
    _, other = first_plan(content, name, "m", "mps")
    kind = FileKind(**kept.kind)
    right, asked, wrong = 0, [], []
    told: dict[str, tuple[str, str]] = {}
    places = placed(truth["columns"], kept.header, kind, plan)
    for column, at in zip(truth["columns"], places, strict=True):
        wanted = MEANS.get(column["meaning"], "")
        found = plan.columns.get(at) if at is not None else None
        field = found.field if found else ""
        said = f"{column['header']} is {column['meaning']} [{column.get('unit')}]: {found}"
        if column["header"] in ALSO and field == ALSO[column["header"]]:
            wanted = field
        # Nobody takes in a day before somebody has said which of its numbers is the month.
        is_wrong = field != wanted and not (field == "" and column["meaning"] in MAY_BE_LEFT)
        if is_wrong or (field == "day" and plan.asks_order):
            (wrong if field and is_wrong else asked).append(said)
            continue
        if found and FIELDS[field].measure:
            unit = SIGNS.get(column["unit"], column["unit"])
            if at not in other.columns or other.columns[at].unit != found.unit:
                asked.append(said)
                continue
            if found.unit != unit:
                wrong.append(said)
                continue
        right += 1
        if found:
            told[column["meaning"]] = (field, found.unit)
    named = {at for at in places if at is not None}
    is_other = kind.is_by_club or kind.is_counted
    above = {MEANS.get(each, "") for each in truth.get("preamble", {})}
    wrong += [
        f"{kept.header[at]} is not in the truth: {column}"
        for at, column in plan.columns.items()
        if at not in named and column.field not in above and not is_other
    ]
    taken = [values for values, faults in read(content, kept, plan) if not faults]
    wrong += said_above(plan, truth) + not_in_si(taken, truth, told, is_any=is_other)
    if len(taken) != truth["expected_shots"]:
        said = f"{len(taken)} of {truth['expected_shots']} shots"
        (wrong if len(taken) > truth["expected_shots"] else asked).append(said)
    for at, shot in enumerate(truth["first_three_shots"]):
        candidates = taken if is_other else taken[at : at + 1]
        faults = [
            [f"{each}: {values.get(told[each][0])} is {shot[each]}" for each in told
             if each in shot and not same(values.get(told[each][0]), shot[each], *told[each])]
            for values in candidates
        ]  # fmt: skip
        wrong += min(faults, key=len, default=["no such shot"])
    return Judged(right, asked, wrong)


def not_in_si(
    taken: list[dict[str, Any]],
    truth: dict[str, Any],
    told: dict[str, tuple[str, str]],
    *,
    is_any: bool,
) -> list[str]:
    """What of the first ball is not as it was before a file rounded it or left it out."""
    said = truth.get("first_in_si")
    if not said:
        return []

    def faults(values: dict[str, Any]) -> list[str]:
        return [
            f"{each}: {values.get(told[each][0])} is {said[each]} (SI)"
            for each in told
            if each in said
            and isinstance(found := values.get(told[each][0]), int | float)
            and abs(found - said[each]) > max(0.7, 0.02 * abs(said[each]))
        ]

    return min(map(faults, taken if is_any else taken[:1]), key=len, default=["no such shot"])


def placed(
    columns: list[dict[str, Any]], header: list[str], kind: FileKind, plan: Plan
) -> list[int | None]:
    """Which of our columns each of theirs is: by its place in a plain table, else by its name."""
    names = [bare_text(name) for name in header]
    free = set(range(len(names)))
    found: list[int | None] = []
    for column in columns:
        at, said = column.get("index"), bare_text(column["header"])
        if kind.is_by_club or kind.is_counted:  # All of its shots are one column here.
            wanted = MEANS.get(column["meaning"], "")
            found.append(plan.index_of(wanted) if wanted else None)
            continue
        is_plain = not kind.is_turned and kind.name != "json"
        is_there = at in free and names[at] in {"", said} | {said[: len(names[at])]}
        if not is_plain or not is_there:
            way = bare_text(column.get("path", "")).replace("[]", "")
            by_name = place_by_name(said, way, names, free)
            at = at if is_plain and by_name is None else by_name
        found.append(at)
        free -= {at}
    return found


def place_by_name(said: str, way: str, names: list[str], free: set[int]) -> int | None:
    """Of a record the longest name that its way ends with; else the name itself, or its end."""
    ends = [at for at in free if way and names[at] and f".{way}".endswith(f".{names[at]}")]
    if ends:
        return max(ends, key=lambda at: len(names[at]))
    same_name = [
        at for at in sorted(free)
        if said in {names[at], names[at].partition(" (")[0]} or names[at].endswith(said)
    ]  # fmt: skip
    return same_name[0] if same_name else None


def said_above(plan: Plan, truth: dict[str, Any]) -> list[str]:
    """What was proposed from the words above the table, and is not what they say."""
    wrong = []
    context = [(each["meaning"], each.get("value")) for each in truth.get("context") or ()]
    for name, said in [*truth.get("preamble", {}).items(), *context]:
        field = MEANS.get(name, "")
        got = plan.day if field == "day" else getattr(plan, field, "")
        if field in {"day", "device", "ball", "place"} and got:
            is_same = bare_text(got) in bare_text(said) or bare_text(said) in bare_text(got)
            wrong += [] if is_same else [f"{name}: {got} is {said}"]
    return wrong


def read(content: bytes, kept: Any, plan: Plan) -> list[tuple[dict[str, Any], str]]:
    """Every row, with why it is no shot."""
    if plan.index_of("day") is None and not plan.day:
        plan = replace(plan, day="2025-06-01")
    first = 1 if kept.header_row is None else kept.header_row + 1 + kept.has_units_row
    reader = RowReader(plan, today_of(kept.student))
    found = []
    for block in reading.blocks_of(io.BytesIO(content), FileKind(**kept.kind), 5_000, first):
        rows = [row for row in block.rows if not isinstance(row, BadRow)]
        all_ = reader.read_all(turned(rows), len(rows))
        for at in range(len(rows)):
            values = {name: column[at] for name, column in all_.values.items()}
            found.append((values, "; ".join(each.reason for each in all_.faults.get(at, []))))
    return found


def same(ours: Any, theirs: Any, field: str, unit: str) -> bool:
    if theirs is None or ours in (None, ""):
        return theirs is None and ours in (None, "")
    if field == "day":
        return str(ours).endswith(re.sub(r"^--", "", str(theirs))[:10])
    if field == "is_clean":
        return bool(ours) == (theirs not in (False, "miss"))
    if unit:
        return abs(UNITS[FIELDS[field].measure][unit].from_si(ours) - theirs) < 0.05
    if isinstance(theirs, int | float):
        return abs(ours - theirs) < 0.05
    return same_text(ours, theirs)
