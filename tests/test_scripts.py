"""No script uses a name that nobody gave it, nor gives one that nobody uses."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from practice.phone import shell

RULES = {
    "env": {"browser": True, "serviceworker": True, "es2024": True},
    "rules": {
        "no-undef": "error",
        "no-unused-vars": "error",
        "eqeqeq": ["error", "always", {"null": "ignore"}],
        "no-var": "error",
    },
}


def faults(folder: Path, *places: Path) -> list[str]:
    """What the linter says of the scripts in these places."""
    rules = folder / "rules.json"
    rules.write_text(json.dumps(RULES))
    command = [str(Path(sys.executable).with_name("oxlint")), "-c", str(rules), "-f", "json"]
    done = subprocess.run(
        [*command, *map(str, places)], capture_output=True, text=True, check=False
    )
    told = json.loads(done.stdout)
    assert told["number_of_files"] > 0, done.stderr
    return [f"{it['filename']}: {it['message']}" for it in told["diagnostics"]]


@pytest.fixture
def phone(tmp_path) -> Path:
    """The phone's scripts as they run: joined, and not yet made short."""
    folder = tmp_path / "phone"
    folder.mkdir()
    for name, files in {"page": shell.SCRIPTS, "more": shell.MORE, "worker": shell.WORKER}.items():
        script = "\n".join(map(shell.source, files))
        (folder / f"{name}.js").write_text(f"(() => {{\n{script}\n}})();")
    return folder


def test_every_name_in_a_script_is_given_once_and_used(tmp_path, phone):
    assert faults(tmp_path, phone, shell.FOLDER.parents[2] / "static") == []


def test_a_name_that_is_missing_or_idle_is_told(tmp_path, phone):
    (phone / "page.js").write_text(
        "(() => { const idle = 1; nobody(); if (self.a == 1) self.b(); })();"
    )
    assert len(faults(tmp_path, phone / "page.js")) == 3
