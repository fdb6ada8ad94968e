"""Whether the tests bite: small faults are put into a package one by one, and its tests must fail.

    make mutants PACKAGE=care SAMPLE=40

Each fault goes into a copy of the project, in a process of its own with a limit of processor
time. Printed are those that no test found: a test is missing, or the code says the same anyway.
"""

import argparse
import ast
import copy
import os
import random
import resource
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
# What is changed, and which tests must notice, the quick ones first.
PACKAGES: dict[str, tuple[list[str], list[str]]] = {
    "credit": (
        ["practice/compliance/credit.py"],
        ["tests/outside/test_volume_examples.py", "tests/compliance"],
    ),
    "compliance": (["practice/compliance"], ["tests/compliance", "tests/log"]),
    "log": (["practice/log"], ["tests/log"]),
    "care": (["practice/care"], ["tests/care", "tests/board/rules", "tests/log", "tests/board"]),
    "rules": (["coaching/board/rules"], ["tests/board/rules", "tests/board"]),
    "board": (["coaching/board"], ["tests/board", "tests/board/rules"]),
    "reminders": (["coaching/reminders"], ["tests/reminders"]),
    "season": (["coaching/season"], ["tests/season"]),
    "access": (
        ["shared/people/access.py"],
        ["tests/people", "tests/attack", "tests/test_routes.py"],
    ),
}  # fmt: skip
SECONDS = 240  # Of processor; more means that the fault runs for ever.

OTHERS: dict[type, type] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.In: ast.NotIn, ast.NotIn: ast.In,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.And: ast.Or, ast.Or: ast.And,
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip
NAMES = {"min": "max", "max": "min", "any": "all", "all": "any", "filter": "exclude"}


def faults(node: ast.AST) -> Iterator[ast.AST]:
    """What else could stand in this place, each wrong in one way."""
    if isinstance(node, ast.Compare) and type(node.ops[0]) in OTHERS:
        yield _with(node, ops=[OTHERS[type(node.ops[0])](), *node.ops[1:]])
    elif isinstance(node, ast.BoolOp | ast.BinOp) and type(node.op) in OTHERS:
        yield _with(node, op=OTHERS[type(node.op)]())
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
        yield node.operand
    elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield ast.Constant(not node.value)
    elif isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        yield ast.Constant(node.value + 1)
    elif isinstance(node, ast.Call):
        yield from _calls(node)
    elif isinstance(node, ast.If | ast.IfExp):
        yield _with(node, test=ast.UnaryOp(ast.Not(), node.test))
    elif isinstance(node, ast.Return) and node.value is not None:
        yield ast.Return(ast.Constant(None))


def _calls(node: ast.Call) -> Iterator[ast.AST]:
    name = node.func
    if isinstance(name, ast.Name) and name.id in NAMES:
        yield _with(node, func=ast.Name(NAMES[name.id], ast.Load()))
    if isinstance(name, ast.Attribute) and name.attr in NAMES:
        yield _with(node, func=_with(name, attr=NAMES[name.attr]))


def _with(node: ast.AST, **fields: object) -> ast.AST:
    other = copy.copy(node)
    for name, value in fields.items():
        setattr(other, name, value)
    return other


# What says nothing while the program runs, or no more than that a row cannot be changed.
LEFT = {"annotation", "returns", "decorator_list", "type_ignores"}


def places(tree: ast.AST) -> Iterator[tuple[ast.AST, str, int | None]]:
    """Every node that may be changed, as its parent, field and place: none in what is LEFT."""
    for field, value in ast.iter_fields(tree):
        if field in LEFT:
            continue
        for place, each in enumerate(value) if isinstance(value, list) else [(None, value)]:
            if isinstance(each, ast.AST):
                yield tree, field, place
                yield from places(each)


def mutants(file: Path) -> Iterator[tuple[int, str, str, str]]:
    """Line, what stood there, what stands there now, and the whole file with it."""
    tree = ast.parse(file.read_text())
    for parent, field, place in list(places(tree)):
        holder = getattr(parent, field)
        node = holder if place is None else holder[place]
        for other in faults(node):
            _put(parent, field, place, other)
            whole = ast.unparse(ast.fix_missing_locations(copy.deepcopy(tree)))
            _put(parent, field, place, node)
            yield node.lineno, _first_line(node), _first_line(other), whole


def _put(parent: ast.AST, field: str, place: int | None, node: ast.AST) -> None:
    if place is None:
        setattr(parent, field, node)
    else:
        getattr(parent, field)[place] = node


def _first_line(node: ast.AST) -> str:
    return ast.unparse(ast.fix_missing_locations(copy.deepcopy(node))).splitlines()[0][:90]


def passes(project: Path, tests: list[str]) -> bool:
    """Whether the tests pass in this copy of the project. The process is forked, so that the
    libraries are imported once for all."""
    child = os.fork()
    if child == 0:
        resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
        os.chdir(project)
        sys.path[:] = [str(project), *(each for each in sys.path if each not in {"", str(ROOT)})]
        for name in [name for name in sys.modules if name.split(".")[0] == "tests"]:
            del sys.modules[name]  # They are the copy's from here on.
        out = os.open(os.devnull, os.O_WRONLY)
        os.dup2(out, 1)
        os.dup2(out, 2)
        import pytest

        code = 1  # Where a fault lets Django not even start, pytest raises.
        try:
            code = pytest.main(["-x", "-q", "-p", "no:cacheprovider", "-p", "no:randomly", *tests])
        finally:
            os._exit(code)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0


def copied(folder: Path) -> Path:
    names = ("shared", "practice", "coaching", "templates", "static", "tests", ".migrated")
    for name in names:
        if (ROOT / name).exists():
            shutil.copytree(
                ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__")
            )
    for name in ("manage.py", "pyproject.toml", "DEVELOPERS.md", "README.md"):
        shutil.copy(ROOT / name, folder / name)
    return folder


def files_of(sources: list[str]) -> list[Path]:
    found = [Path(source) for source in sources]
    inside = [file for each in found for file in sorted((ROOT / each).rglob("*.py"))]
    inside += [ROOT / each for each in found if each.suffix == ".py"]
    return [file.relative_to(ROOT) for file in inside if "migrations" not in file.parts]


def main() -> int:
    ask = argparse.ArgumentParser(
        description="Put faults into a package; print what no test finds."
    )
    ask.add_argument("package", choices=PACKAGES)
    ask.add_argument("--sample", type=int, help="so many of all, chosen by the seed")
    ask.add_argument("--seed", type=int, default=1)
    told = ask.parse_args()
    sources, tests = PACKAGES[told.package]
    found = [(file, *one) for file in files_of(sources) for one in mutants(ROOT / file)]
    chosen = found
    if told.sample and told.sample < len(found):
        chosen = random.Random(told.seed).sample(found, told.sample)
    sys.dont_write_bytecode = True
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    import django  # noqa: F401 (each child finds them imported)
    import numpy as np  # noqa: F401
    import pytest  # noqa: F401

    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        project = copied(Path(folder))
        if not passes(project, tests):
            raise SystemExit("The tests fail without any fault: mend them first.")
        survivors = 0
        for file, line, before, after, whole in chosen:
            whole_before = (project / file).read_text()
            (project / file).write_text(whole)
            if passes(project, tests):
                survivors += 1
                print(f"survived  {file}:{line}  {before}  ->  {after}", flush=True)
            (project / file).write_text(whole_before)
    killed = len(chosen) - survivors
    print(f"{told.package}: {killed} of {len(chosen)} killed ({100 * killed / len(chosen):.0f} %)"
          f", {len(found)} possible")  # fmt: skip
    return 0


if __name__ == "__main__":
    sys.exit(main())
