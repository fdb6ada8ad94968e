"""The runner of faults puts in what it says, and sees what tests find."""

import ast
import os
from pathlib import Path

import pytest

from tests import mutants

SOURCE = '''
def late(day: int, last: int = 3) -> bool:
    """True after the last."""
    if not day:
        return min(day, 1) < 2
    return day > last and day != 9


@dataclass(frozen=True)
class Day:
    number: Literal[5] = 1
'''


def changed(tmp_path: Path) -> set[tuple[str, str]]:
    (tmp_path / "late.py").write_text(SOURCE)
    return {(was, now) for _, was, now, _ in mutants.mutants(tmp_path / "late.py")}


def test_each_fault_changes_one_place(tmp_path):
    found = changed(tmp_path)
    assert {("day > last", "day >= last"), ("3", "4"), ("not day", "day")} <= found
    assert ("day > last and day != 9", "day > last or day != 9") in found
    assert ("min(day, 1)", "max(day, 1)") in found
    assert not any("True after" in was for was, _ in found)
    assert ("1", "2") in found
    assert not {("True", "False"), ("5", "6")} & found


def test_every_file_with_a_fault_is_another_program(tmp_path):
    whole = [each[3] for each in mutants.mutants(tmp_path / "late.py")] if changed(tmp_path) else []
    assert len(set(whole)) == len(whole) > 8
    assert ast.unparse(ast.parse(SOURCE)) not in whole


def test_every_package_names_code_and_tests_that_there_are():
    for sources, tests in mutants.PACKAGES.values():
        assert mutants.files_of(sources)
        assert all((mutants.ROOT / each).exists() for each in tests)


def test_a_fault_by_which_nothing_starts_is_found_and_ends_its_own_process_alone(
    tmp_path, monkeypatch
):
    """The child once unwound into the runner's own code, which took the copy away."""
    here = os.getpid()

    def falls(_arguments):
        raise ImportError("a fault at import")

    monkeypatch.setattr(pytest, "main", falls)
    try:
        assert not mutants.passes(tmp_path, [])
    except ImportError:
        assert os.getpid() == here
        raise
    finally:
        if os.getpid() != here:
            os._exit(0)
