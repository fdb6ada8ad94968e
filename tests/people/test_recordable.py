"""Whoever writes about a student holds a Recordable, which only the gate hands out."""

import ast
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import pytest
from django.apps import apps

from shared.people.models import Student

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("shared", "practice", "coaching")
GATE = Path("shared/people/access.py")
WRITES = {"create", "bulk_create", "get_or_create", "update_or_create", "bulk_update", "update"}
# What rows about a student are called where they are saved.
ROWS = {"clip", "consent", "finding", "found", "key", "lesson", "locked", "note", "part", "report",
        "row", "student", "target", "week"}  # fmt: skip
# A value of one of these types, or asking the gate by name, is proof enough.
PROOFS = {"Recordable", "Sender", "Incoming", "WeekLink"}
ASKS = {"recordable", "recordable_or_none", "recordable_students"}

# Who writes without asking, and why that is right.
WITHOUT = {
    "practice/flows/chains.py:write": "what a batch of Incoming, made with proof, has gathered",
    "practice/phone/push.py:keep": "of a key whose student `may_write_to` says may be written to",
    "coaching/timetable/following.py:_keep_events": "names none but students_of, who may be",
    "coaching/board/kept.py:judge": "what the board says of whom it may read, made anew",
    "shared/people/services.py:enter_adult": "makes the place that an adult is asked into",
    "shared/people/services.py:join_as_student": "the adult's own yes",
    "shared/people/services.py:move_zone": "one's own clock, from one's own settings",
    "shared/people/services.py:student_left": "ends what is kept",
    "shared/people/services.py:student_returned": "opens a place again, whatever the consent",
    "shared/people/consent.py:give": "is the consent",
    "shared/people/consent.py:tie": "is the consent",
    "shared/people/coming_of_age.py:tell_birthday": "is the family's own word",
    "shared/people/coming_of_age.py:hand_over": "is the grown child's own yes",
    "shared/people/coming_of_age.py:stop_reading": "takes away",
    "shared/people/consent.py:change": "is the consent",
    "shared/people/consent.py:_note": "writes the consent down",
    "shared/people/guardians.py:_end": "takes away",
    "shared/people/history.py:remember": "keeps what a row said, for those who write it",
    "practice/compliance/tally.py:keep": "made anew from what was logged",
    "practice/flows/stop.py:fade": "takes away",
    "practice/coach_counts/services.py:take_back": "takes away",
    "practice/clips/services.py:remove_clip": "takes away",
    "practice/importing/services.py:take_back": "takes away",
    "practice/importing/work.py:_end": "lets a file rest",
    "practice/phone/keys.py:touch": "says that a key is used, which the gate let in",
    "practice/phone/keys.py:end": "takes away",
    "practice/strength/services.py:withdraw": "takes away",
    "coaching/forecast/services.py:change_thresholds": "is about a studio",
    "coaching/lessons/services.py:throw_away": "takes away",
    "practice/care/looks.py:_keep": "is about a reader",
    "coaching/board/looks.py:keep_look": "is about a reader",
    "coaching/board/looks.py:take_back_look": "is about a reader",
    "practice/shots/services.py:take_back": "takes away",
    "practice/shots/from_log.py:set_aside": "takes away",
    "practice/flows/set_week.py:discard_draft": "takes away",
    "practice/flows/take_back_week.py:_bring_back": "of a week whose student was asked about",
    "coaching/reminders/services.py:_look_at": "moves ahead when it is asked who may be told",
    "coaching/reminders/services.py:silence": "ends what is sent",
    "coaching/records/ends.py:_grown": "takes away",
    "coaching/records/ends.py:_left": "takes away",
    "coaching/records/ends.py:_take_off": "takes away",
    "coaching/records/asking.py:ask": "asks for the end of what is kept",
}


def about_a_student() -> set[str]:
    """The names of all models with a way to a student that is not over a user or a studio."""
    found = {Student.__name__}
    while True:
        more = {
            model.__name__
            for model in apps.get_models()
            for each in model._meta.concrete_fields
            if each.is_relation and each.related_model.__name__ in found and not each.null
        }
        if more <= found:
            return found
        found |= more


@dataclass
class Writer:
    """A function, whether it writes, whether it holds the proof, and whom it calls."""

    where: str
    name: str
    writes: bool
    is_proven: bool
    calls: set[str] = field(default_factory=set)


def _names(node: ast.AST) -> set[str]:
    return {n.id for n in ast.walk(node) if isinstance(n, ast.Name)} | {
        n.attr for n in ast.walk(node) if isinstance(n, ast.Attribute)
    }


def _writes(function: ast.AST, models: set[str]) -> bool:
    for call in ast.walk(function):
        if not isinstance(call, ast.Call) or not isinstance(call.func, ast.Attribute):
            continue
        names = _names(call.func.value)
        if call.func.attr in WRITES and names & models:
            return True
        if call.func.attr == "save" and names & ROWS:
            return True
    return False


def writers_in(tree: ast.AST, where: str, models: set[str]) -> Iterator[Writer]:
    made_of_one = {
        method
        for holder in ast.walk(tree)
        if isinstance(holder, ast.ClassDef)
        for first in holder.body
        if isinstance(first, ast.FunctionDef) and first.name == "__init__" and _names(first) & ASKS
        for method in holder.body
    }
    for node in ast.walk(tree):
        if not isinstance(node, ast.FunctionDef):
            continue
        held = {name for a in ast.walk(node.args) if isinstance(a, ast.arg) and a.annotation
                for name in _names(a.annotation)}  # fmt: skip
        calls = {n.func for n in ast.walk(node) if isinstance(n, ast.Call)}
        called = {c.id for c in calls if isinstance(c, ast.Name)} | {
            c.attr for c in calls if isinstance(c, ast.Attribute)
        }
        proven = node in made_of_one or bool(held & PROOFS) or bool(called & ASKS)
        yield Writer(where, node.name, _writes(node, models), proven, called)


def unproven(found: dict[str, Writer], where: str) -> list[str]:
    """The functions of a module that write about a student and hold no proof.

    A private function may rely on its callers if every one of them in the module holds it.
    """
    proven = {name for name, it in found.items() if it.is_proven or f"{where}:{name}" in WITHOUT}
    while True:
        relying = {
            name
            for name in found.keys() - proven
            if name.startswith("_")
            and (callers := {o for o, it in found.items() if name in it.calls and o != name})
            and callers <= proven
        }
        if not relying:
            break
        proven |= relying
    return sorted(f"{where}:{n}" for n, it in found.items() if it.writes and n not in proven)


@cache
def modules() -> dict[str, ast.AST]:
    """By its path, each module as it is read."""
    paths = {
        path.relative_to(ROOT): path
        for package in PACKAGES
        for path in sorted((ROOT / package).rglob("*.py"))
    }
    return {
        str(where): ast.parse(path.read_text())
        for where, path in paths.items()
        if "migrations" not in where.parts and where != GATE
    }


@cache
def writers() -> dict[str, dict[str, Writer]]:
    """The functions of each module, by their names."""
    models = about_a_student()
    return {
        where: {writer.name: writer for writer in writers_in(tree, where, models)}
        for where, tree in modules().items()
    }


def test_every_writer_about_a_student_holds_a_recordable():
    faults = [each for where, found in writers().items() for each in unproven(found, where)]
    assert not faults, (
        f"{faults} write about a student without asking whether anything may be kept. Take a"
        " `Recordable` instead of a `Student`, or begin with `access.recordable(...)`."
    )


def test_only_the_gate_makes_one():
    makers = [
        f"{where}:{call.lineno}"
        for where, tree in modules().items()
        for call in ast.walk(tree)
        if isinstance(call, ast.Call)
        and (getattr(call.func, "id", "") or getattr(call.func, "attr", "")) == "Recordable"
    ]
    assert not makers


def test_no_exception_is_stale():
    known = {f"{where}:{name}" for where, found in writers().items() for name in found}
    assert not set(WITHOUT) - known


@pytest.mark.parametrize(
    ("source", "is_found"),
    [
        ("def f(*, student: Student):\n    Line.objects.create(student=student)", True),
        ("def f(*, student: Recordable):\n    Line.objects.create(student=student)", False),
        ("def f(week: Week):\n    Week.objects.filter(pk=1).update(note='')", True),
        ("def f(week):\n    access.recordable(week.student)\n    Week.objects.update(a=1)", False),
        ("def f(s: Recordable):\n    _g(s)\n\ndef _g(s):\n    Line.objects.create()", False),
        ("def f(s: Student):\n    _g(s)\n\ndef _g(s):\n    Line.objects.create()", True),
        ("def f(studio):\n    Studio.objects.filter(pk=1).update(name='')", False),
    ],
)
def test_the_finder_has_teeth(source, is_found):
    found = writers_in(ast.parse(source), "x.py", {"Line", "Week"})
    assert bool(unproven({each.name: each for each in found}, "x.py")) == is_found
