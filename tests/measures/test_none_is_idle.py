"""Every public measure serves something that is not a measure, at least through another."""

import ast
import re
from functools import cache
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


@cache
def used_in(part: str) -> dict[Path, set[str]]:
    """The names in each file of a package."""
    return {p: names_in(ast.parse(p.read_text())) for p in (ROOT / part).rglob("*.py")}


def used_outside() -> set[str]:
    files = used_in("practice") | used_in("coaching")
    return set().union(*(names for path, names in files.items() if MEASURES not in path.parents))


def what_each_uses() -> dict[str, set[str]]:
    """Of each function, class and method of the measures, by its name."""
    found: dict[str, set[str]] = {}
    for path in MEASURES.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.FunctionDef | ast.ClassDef):
                found.setdefault(node.name, set()).update(names_in(node) - {node.name})
    return found


# Called by their names alone: what Django and Celery look for.
LOOKED_FOR = re.compile(r"clean_\w+|\w+Config|reckon_task")
PAGES = "\n".join(path.read_text() for path in (ROOT / "templates").rglob("*.html"))


def public_names(folder: Path) -> set[str]:
    """Functions, classes, methods and properties that are not private."""
    trees = [ast.parse(path.read_text()) for path in folder.rglob("*.py")]
    nodes = (node for tree in trees for node in ast.walk(tree))
    names = {n.name for n in nodes if isinstance(n, ast.FunctionDef | ast.ClassDef)}
    return {each for each in names if not each.startswith("_") and not LOOKED_FOR.fullmatch(each)}


def test_nothing_public_of_the_numbers_serves_no_page():
    """Down to methods and properties, which the test below does not see."""
    parts = ("practice", "coaching", "shared")
    used = set().union(*(names for part in parts for names in used_in(part).values()))
    public = public_names(MEASURES) | public_names(ROOT / "practice" / "numbers")
    assert len(public) > 400
    idle = {each for each in public - used if not re.search(rf"\b{each}\b", PAGES)}
    assert idle == set()


def test_no_measure_is_idle():
    uses = what_each_uses()
    reached, waiting = set(), used_outside() & set(uses)
    while waiting:
        name = waiting.pop()
        reached.add(name)
        waiting |= (uses[name] & set(uses)) - reached
    idle = {each for each in public_functions() if each.rsplit(".", 1)[1] not in reached}
    assert idle == set()
