"""The runner of faults puts in what it says, and sees what tests find."""

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests import mutants

SOURCE = '''
def late(day: int, last: int = 3) -> bool:
    """True after the last."""
    if not day:
        return min(day, 1) < 2
    note(day)
    if day is last:
        return None
    return day > last and day != 9


@dataclass(frozen=True)
class Day:
    number: Literal[5] = 1
'''


def found(tmp_path: Path) -> list[mutants.Fault]:
    (tmp_path / "late.py").write_text(SOURCE)
    return list(mutants.mutants(tmp_path / "late.py"))


def test_each_fault_changes_one_place(tmp_path):
    changed = {tuple(str(fault).split("  ", 1)[1].split("  ->  ")) for fault in found(tmp_path)}
    assert {("day > last", "day >= last"), ("3", "4"), ("3", "2"), ("not day", "day")} <= changed
    assert ("day > last and day != 9", "day > last or day != 9") in changed
    assert ("min(day, 1)", "max(day, 1)") in changed
    assert ("note(day)", "pass") in changed
    assert not any("True after" in was for was, _ in changed)
    assert ("1", "2") in changed
    assert not {("True", "False"), ("5", "6")} & changed


def test_every_file_with_a_fault_is_another_program(tmp_path):
    whole = [ast.unparse(fault.tree()) for fault in found(tmp_path)]
    assert len(set(whole)) == len(whole) > 8
    assert ast.unparse(ast.parse(SOURCE)) not in whole


def test_a_fault_is_called_by_the_function_in_whose_body_it_is(tmp_path):
    """A default and a field are made when the file is read, so no call shows them."""
    functions = {str(fault).split("  ", 1)[1]: fault.place.function for fault in found(tmp_path)}
    assert functions["note(day)  ->  pass"] == 2
    assert functions["3  ->  4"] is None
    assert functions["min(day, 1)  ->  max(day, 1)"] == 2


def test_every_package_names_code_and_tests_that_there_are():
    for sources, tests in mutants.PACKAGES.values():
        assert mutants.files_of(sources)
        assert all((mutants.ROOT / each).exists() for each in tests)


PROJECT = {
    "sums.py": (
        "LINE = 2\n\n\ndef over(n):\n    return n > LINE\n\n\ndef idle(n):\n    return n - 1\n"
    ),
    "pytest.ini": "[pytest]\nmarkers =\n    long\n    browser\n",
    "tests/__init__.py": "",
    "tests/settings.py": "from pathlib import Path\n\nDATA_DIR = Path()\nSECRET_KEY = 'x'\n",
    "tests/statements.py": "def keeps_transactions(item):\n    return False\n",
    "tests/test_sums.py": (
        "import sums\n\n\ndef test_over():\n    assert sums.over(3)\n    assert not sums.over(1)\n"
    ),
}


@pytest.fixture
def project(tmp_path):
    """A project of one module, its tests, and the runner."""
    for name, text in PROJECT.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text)
    runner = Path(mutants.__file__).read_text()
    here = runner.index("PACKAGES: dict"), runner.index("# Of processor and of the clock")
    own = 'PACKAGES = {"sums": (["sums.py"], ["tests"])}\n'
    (tmp_path / "tests/mutants.py").write_text(runner[: here[0]] + own + runner[here[1] :])
    return tmp_path


def run(project) -> subprocess.CompletedProcess:
    return subprocess.run(
        [sys.executable, "-m", "tests.mutants", "sums"], cwd=project, capture_output=True,
        text=True, check=False,
        env=os.environ | {"DJANGO_SETTINGS_MODULE": "tests.settings",
                          "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1"},
    )  # fmt: skip


def test_what_no_test_finds_is_printed_and_the_project_stays_as_it_was(project):
    """`over` is tried well within and well without its line, never on it; `idle` never."""
    before = (project / "sums.py").read_text()
    ran = run(project)
    assert ran.returncode == 0, ran.stderr
    told = [line for line in ran.stdout.splitlines() if "sums" in line]
    assert told[:-1] == [
        "survived  sums.py:1  2  ->  1",
        "survived  sums.py:5  n > LINE  ->  n >= LINE",
        "not called  sums.py:9  return n - 1  ->  return None",
        "not called  sums.py:9  n - 1  ->  n + 1",
        "not called  sums.py:9  1  ->  2",
        "not called  sums.py:9  1  ->  0",
    ]
    assert told[-1].startswith("sums: 2 of 8 killed (25 %), seed 1, 8 possible")
    assert (project / "sums.py").read_text() == before


def test_tests_that_fail_without_a_fault_end_it(project):
    (project / "sums.py").write_text(PROJECT["sums.py"].replace("LINE = 2", "LINE = 9"))
    ran = run(project)
    assert ran.returncode == 1
    assert "mend them first. ['tests/test_sums.py::test_over']" in ran.stdout + ran.stderr
    assert "killed" not in ran.stdout
