"""Every public measure serves something that is not a measure, at least through another."""

import ast
from pathlib import Path

from tests.measures.walk import public_functions

ROOT = Path(__file__).parents[2]
MEASURES = ROOT / "practice" / "measures"


def names_in(node) -> set[str]:
    return {
        each.id if isinstance(each, ast.Name) else each.attr
        for each in ast.walk(node)
        if isinstance(each, ast.Name | ast.Attribute)
    }


def used_outside() -> set[str]:
    files = [p for part in ("practice", "coaching") for p in (ROOT / part).rglob("*.py")]
    trees = (ast.parse(p.read_text()) for p in files if MEASURES not in p.parents)
    return set().union(*(names_in(tree) for tree in trees))


def what_each_uses() -> dict[str, set[str]]:
    """Of each function, class and method of the measures, by its name."""
    found: dict[str, set[str]] = {}
    for path in MEASURES.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.FunctionDef | ast.ClassDef):
                found.setdefault(node.name, set()).update(names_in(node) - {node.name})
    return found


def test_no_measure_is_idle():
    uses = what_each_uses()
    reached, waiting = set(), used_outside() & set(uses)
    while waiting:
        name = waiting.pop()
        reached.add(name)
        waiting |= (uses[name] & set(uses)) - reached
    idle = {each for each in public_functions() if each.rsplit(".", 1)[1] not in reached}
    assert idle == set()
