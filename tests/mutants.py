"""Whether the tests bite: small faults are put into a package one by one, and its tests must fail.

    make mutants PACKAGE=care SEED=1 SAMPLE=40

It works in a copy of the project. The tests are collected once and run once, which notes what
each calls; then every fault has a process of its own, with the tests that call what it is in.
A fault inside a function is put into the running function; any other needs a fresh start.
Printed are those that no test found: a test is missing, or the code says the same anyway.
Processes that a test starts by itself do not have the fault, except after a fresh start.
"""

import argparse
import ast
import copy
import gc
import importlib
import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from types import CodeType, FunctionType
from typing import NamedTuple

import pytest
from _pytest.main import pytest_runtestloop

ROOT = Path(__file__).resolve().parents[1]
# What is changed, and which tests must notice.
PACKAGES: dict[str, tuple[list[str], list[str]]] = {
    "credit": (
        ["practice/compliance/credit.py"],
        ["tests/outside/test_volume_examples.py", "tests/compliance"],
    ),
    "compliance": (
        ["practice/compliance"],
        ["tests/compliance", "tests/outside/test_volume_examples.py", "tests/log", "tests/flows"],
    ),
    "log": (["practice/log"], ["tests/log", "tests/shots", "tests/numbers"]),
    "care": (
        ["practice/care"],
        ["tests/care", "tests/board", "tests/log", "tests/numbers/test_try_out.py"],
    ),
    "standing": (
        ["coaching/forecast", "coaching/track_record"],
        [
            *(f"tests/forecast/test_{name}.py" for name in (
                "cycles", "forecast", "outlook", "own_odds", "own_thresholds", "panel",
                "rhythm_fit", "scoring", "work_left",
            )),
            "tests/track_record", "tests/board",
        ],
    ),
    "rules": (["coaching/board/rules"], ["tests/board"]),
    "board": (["coaching/board"], ["tests/board", "tests/care"]),
    "reminders": (["coaching/reminders"], ["tests/reminders", "tests/planning/test_take_back.py"]),
    "season": (["coaching/season"], ["tests/season", "tests/planning", "tests/groups"]),
    "access": (
        ["shared/people/access.py"],
        ["tests/people", "tests/attack", "tests/clips", "tests/records", "tests/test_routes.py"],
    ),
}  # fmt: skip
# Of processor and of the clock, for each second of the run without a fault, and besides: more
# means that the fault runs or waits for ever.
TIMES, BESIDES = 5, 30
# Steps of a database, and invented students: on whom the forecast is tried, and who tell nobody
# anything. What is fitted to them takes minutes.
NO_PRODUCT = {"migrations", "strangers", "simulated.py", "simulated_run.py"}

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
        yield from (ast.Constant(node.value + 1), ast.Constant(node.value - 1))
    elif isinstance(node, ast.Call):
        yield from _calls(node)
    elif isinstance(node, ast.If | ast.IfExp):
        yield _with(node, test=ast.UnaryOp(ast.Not(), node.test))
    elif isinstance(node, ast.Return) and ast.unparse(node) not in {"return", "return None"}:
        yield ast.Return(ast.Constant(None))
    elif _may_be_dropped(node):
        yield ast.Pass()


def _may_be_dropped(node: ast.AST) -> bool:
    """What a program runs without: a call for its effect, a sum that grows, a refusal."""
    called = isinstance(node, ast.Expr) and isinstance(node.value, ast.Call)
    return called or isinstance(node, ast.AugAssign | ast.Raise)


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


class Place(NamedTuple):
    """A node that may be changed, by its parent and field, and in which function's body it is."""

    parent: ast.AST
    field: str
    at: int | None
    function: int | None  # The line at which the function begins, None outside of any.


def places(tree: ast.AST, function: int | None = None) -> Iterator[Place]:
    for field, value in ast.iter_fields(tree):
        if field in LEFT:
            continue
        begun = isinstance(tree, ast.FunctionDef) and field == "body"
        inside = _first_line_of(tree) if begun else function
        for at, each in enumerate(value) if isinstance(value, list) else [(None, value)]:
            if isinstance(each, ast.AST) and not _only_asserts(each):
                yield Place(tree, field, at, inside)
                yield from places(each, inside)


def _only_asserts(node: ast.AST) -> bool:
    """Whether lists are as long as each other says `zip(…, strict=True)`, and nothing else."""
    return isinstance(node, ast.keyword) and node.arg == "strict"


def _first_line_of(function: ast.FunctionDef) -> int:
    return min([function.lineno, *(each.lineno for each in function.decorator_list)])


class Fault(NamedTuple):
    whole: ast.Module
    place: Place
    node: ast.AST
    other: ast.AST

    def __str__(self) -> str:
        return f"{self.node.lineno}  {_words(self.node)}  ->  {_words(self.other)}"

    def tree(self) -> ast.Module:
        """The whole file with the fault, its lines where they were."""
        _put(self.place, ast.copy_location(self.other, self.node))
        changed = ast.fix_missing_locations(copy.deepcopy(self.whole))
        _put(self.place, self.node)
        return changed


def mutants(file: Path) -> Iterator[Fault]:
    tree = ast.parse(file.read_text())
    for place in list(places(tree)):
        holder = getattr(place.parent, place.field)
        node = holder if place.at is None else holder[place.at]
        yield from (Fault(tree, place, node, other) for other in faults(node))


def _put(place: Place, node: ast.AST) -> None:
    if place.at is None:
        setattr(place.parent, place.field, node)
    else:
        getattr(place.parent, place.field)[place.at] = node


def _words(node: ast.AST) -> str:
    return ast.unparse(ast.fix_missing_locations(copy.deepcopy(node))).splitlines()[0][:90]


def put_in(file: Path, tree: ast.Module) -> bool:
    """Give every function of the imported file the code that it has in this tree."""
    importlib.import_module(".".join(file.with_suffix("").parts))
    gc.unfreeze()  # tests/conftest.py has taken what is imported out of sight.
    name = str(ROOT / file)
    codes = {_key(code): code for code in _inside(compile(tree, name, "exec"))}
    found = [each for each in gc.get_objects()
             if isinstance(each, FunctionType) and each.__code__.co_filename == name]  # fmt: skip
    try:
        for each in found:
            each.__code__ = codes[_key(each.__code__)]
    except (KeyError, ValueError):  # It holds other names of those around it than before.
        return False
    return bool(found)


def _key(code: CodeType) -> tuple[str, int]:
    return code.co_qualname, code.co_firstlineno


def _inside(code: CodeType) -> Iterator[CodeType]:
    yield code
    for each in code.co_consts:
        if isinstance(each, CodeType):
            yield from _inside(each)


class Calls:
    """Which functions each test calls, and how many seconds of processor it takes."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = {}
        self.tests: dict[tuple[str, int], set[str]] = defaultdict(set)
        self._now: set[tuple[str, int]] = set()

    def __call__(self, frame, _event, _given) -> None:
        """Called as each function is; by answering None it is not asked for every line."""
        self._now.add((frame.f_code.co_filename, frame.f_code.co_firstlineno))

    def run(self, items: list) -> None:
        threading.settrace(self)
        sys.settrace(self)
        for item, after in zip(items, [*items[1:], None], strict=True):
            began = time.process_time()
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
            self.seconds[item.nodeid] = time.process_time() - began
            called, self._now = self._now, set()
            for file, line in called:
                self.tests[file, line].add(item.nodeid)
        sys.settrace(None)

    def of(self, file: Path, function: int | None) -> set[str]:
        return self.tests.get((str(ROOT / file), function or 0), set())

    def of_file(self, file: Path) -> set[str]:
        here = str(ROOT / file)
        return {test for (name, _), tests in self.tests.items() if name == here for test in tests}


class Trial:
    """The plugin of pytest: after the tests are collected, all faults in turn."""

    def __init__(self, chosen: list[tuple[Path, Fault]]) -> None:
        self.chosen, self.killed = chosen, 0
        self.calls, self.failed = Calls(), []

    def pytest_runtestloop(self, session) -> bool:
        self.order = {item.nodeid: place for place, item in enumerate(session.items)}
        self._note(session)
        for file, fault in self.chosen:
            how = self._how_it_ends(session, file, fault)
            self.killed += not how
            if how:
                print(f"{how}  {file}:{fault}", flush=True)
        return True

    def pytest_runtest_logreport(self, report) -> None:
        if report.failed:
            self.failed.append(report.nodeid)

    def _note(self, session) -> None:
        """Once without a fault, in a process of its own, so that what follows begins as new."""
        into, out = os.pipe()
        if (child := os.fork()) == 0:
            _silent()
            try:
                self.calls.run(session.items)
                with os.fdopen(out, "w") as file:
                    file.write(repr((self.calls.seconds, dict(self.calls.tests), self.failed)))
            finally:
                os._exit(0)
        os.close(out)
        with os.fdopen(into) as file:
            self.calls.seconds, self.calls.tests, failed = ast.literal_eval(file.read())
        os.waitpid(child, 0)
        if failed:
            pytest.exit(f"Without any fault these fail: mend them first. {failed}", returncode=1)

    def _how_it_ends(self, session, file: Path, fault: Fault) -> str:
        """Empty if a test found it."""
        tests = self.calls.of(file, fault.place.function)
        if tests:
            code = self._warm(session, file, fault, tests)
            if code != NOT_PUT_IN:
                return "" if code else "survived"
        elif fault.place.function and file.name not in {"models.py", "apps.py"}:
            # What makes columns is called while the file is read, and an app before any test.
            return "not called"
        return "" if self._cold(file, fault) else "survived"

    def _warm(self, session, file: Path, fault: Fault, tests: set[str]) -> int:
        _no_database_left()
        if (child := os.fork()) == 0:
            code = 1
            try:
                _silent()
                _limit(sum(self.calls.seconds[test] for test in tests))
                code = self._run(session, file, fault, tests)
            finally:
                os._exit(code)
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])

    def _run(self, session, file: Path, fault: Fault, tests: set[str]) -> int:
        if not put_in(file, fault.tree()):
            return NOT_PUT_IN
        session.items = self._quick_first(session.items, tests)
        pytest_runtestloop(session)  # Raises at the first that fails.
        return 0

    def _quick_first(self, items: list, tests: set[str]) -> list:
        """Module by module, as what one makes for all its tests would else be made for each."""
        from tests.statements import keeps_transactions

        cost: dict[Path, float] = defaultdict(float)
        chosen = [item for item in items if item.nodeid in tests]
        for item in chosen:
            cost[item.path] += self.calls.seconds[item.nodeid]

        def rank(item):
            place = cost[item.path], str(item.path), self.order[item.nodeid]
            return keeps_transactions(item), *place

        return sorted(chosen, key=rank)

    def _cold(self, file: Path, fault: Fault) -> bool:
        """Whether a run that begins with the changed file fails; near and quick tests first."""
        near = {test.split("::")[0] for test in self.calls.of_file(file)}
        cost: dict[str, float] = defaultdict(float)
        for test, seconds in self.calls.seconds.items():
            cost[test.split("::")[0]] += seconds
        modules = sorted(cost, key=lambda module: (module not in near, cost[module], module))
        whole = (ROOT / file).read_text()
        (ROOT / file).write_text(ast.unparse(fault.tree()))
        limit = BESIDES + TIMES * sum(self.calls.seconds.values())
        commands = [["-m", "pytest", *QUIETLY, *modules]]
        if file.name == "models.py":
            # How long a column may be is no test's but the check's, as on every change.
            commands.insert(0, ["manage.py", "makemigrations", "--check", "--dry-run"])
        try:
            return any(_fails(command, limit) for command in commands)
        finally:
            (ROOT / file).write_text(whole)


def _fails(command: list[str], limit: float) -> bool:
    try:
        return subprocess.run(
            [sys.executable, "-B", *command],
            cwd=ROOT, capture_output=True, timeout=limit, check=False,
        ).returncode != 0  # fmt: skip
    except subprocess.TimeoutExpired:
        return True


NOT_PUT_IN = 77
QUIETLY = ["-x", "-q", "-p", "no:cacheprovider", "-m", "not long and not browser"]


def _silent() -> None:
    out = os.open(os.devnull, os.O_WRONLY)
    os.dup2(out, 1)
    os.dup2(out, 2)


def _limit(seconds: float) -> None:
    most = int(BESIDES + TIMES * seconds)
    resource.setrlimit(resource.RLIMIT_CPU, (most, most))
    signal.signal(signal.SIGALRM, signal.SIG_DFL)
    signal.alarm(10 * most)  # The machine may be busy.


def _no_database_left() -> None:
    """What the last process had open was not closed."""
    from django.conf import settings

    for file in settings.DATA_DIR.glob("test*.sqlite3*"):
        file.unlink()


def copied(folder: Path) -> Path:
    names = ("shared", "practice", "coaching", "templates", "static", "tests", ".migrated", ".ci")
    for name in names:
        if (ROOT / name).exists():
            shutil.copytree(
                ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__")
            )
    for file in ROOT.iterdir():
        if file.is_file():
            shutil.copy(file, folder / file.name)
    return folder


def files_of(sources: list[str]) -> list[Path]:
    found = [Path(source) for source in sources]
    inside = [file for each in found for file in sorted((ROOT / each).rglob("*.py"))]
    inside += [ROOT / each for each in found if each.suffix == ".py"]
    return [file.relative_to(ROOT) for file in inside if NO_PRODUCT.isdisjoint(file.parts)]


def tried(package: str, sources: list[str], tests: list[str], sample: int | None, seed: int) -> int:
    found = [(file, one) for file in files_of(sources) for one in mutants(ROOT / file)]
    chosen = found
    if sample and sample < len(found):
        chosen = random.Random(seed).sample(found, sample)
    trial = Trial(chosen)
    began = time.monotonic()
    code = pytest.main(["-s", *QUIETLY, *tests], plugins=[trial])
    if code not in {pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED}:
        return int(code)
    print(f"{package}: {trial.killed} of {len(chosen)} killed "
          f"({100 * trial.killed / len(chosen):.0f} %), seed {seed}, {len(found)} possible, "
          f"{time.monotonic() - began:.0f} s")  # fmt: skip
    return 0


def main() -> int:
    ask = argparse.ArgumentParser(
        description="Put faults into a package; print what no test finds."
    )
    ask.add_argument("package", choices=PACKAGES)
    ask.add_argument("--sample", type=int, help="so many of all, chosen by the seed")
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--files", nargs="+", help="of the package only these")
    ask.add_argument("--tests", nargs="+", help="instead of all of the package")
    ask.add_argument("--here", action="store_true", help="this is the copy")
    told = ask.parse_args()
    if told.here:
        sources, tests = PACKAGES[told.package]
        return tried(
            told.package, told.files or sources, told.tests or tests, told.sample, told.seed
        )
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        again = [sys.executable, "-B", "-m", "tests.mutants", *sys.argv[1:], "--here"]
        return subprocess.run(again, cwd=copied(Path(folder)), check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
