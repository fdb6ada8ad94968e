"""An erased person is in no table, no file, no log and no backup; and none brings them back."""

import json
import subprocess
import tarfile
from pathlib import Path

import pytest

from tests.running.processes import installation, manage

PLANT = "from tests.records.canaries import as_json; print(as_json())"
BACKUP = """
from django.core.management import call_command
call_command("backup")
"""
ERASE = """
from coaching.records.erase import erase_student
from shared.people.models import Student
erase_student(Student.objects.get())
"""
MAIL = """
from django.core.mail import send_mail
send_mail("Your code", "It is 123456.", None, ["canary.person@example.org"])
"""
# What the tables say, in text; the files of a database are searched as they are besides.
NOW = "--- kept now ---"
DUMP = f"print('{NOW}')\n"
DUMP += "from tests.records.test_erase import everything_kept; print(everything_kept())"


@pytest.fixture(params=["sqlite", "postgresql"])
def two(request, tmp_path):
    """An installation and an empty one, with one store of backups."""
    store = {"BACKUPS_URL": str(tmp_path / "store")}
    with (
        installation(tmp_path / "1", request.param, **store) as first,
        installation(tmp_path / "2", request.param, empty=True, **store) as second,
    ):
        yield first, second


def shell(code: str, env: dict[str, str]) -> str:
    done = manage("shell", "--verbosity=0", "-c", code, env=env)
    return done.stdout + done.stderr


def hits(words: list[str], *folders: Path, said: str = "") -> list[str]:
    """Where any of the words is: in a file's content, its name, or what was said."""
    files = [path for folder in folders for path in folder.rglob("*")]
    held = [(str(path), path.read_bytes() if path.is_file() else b"") for path in files]
    held.append(("said", said.encode()))
    return [f"{name}: {word}" for name, content in held for word in words
            if word.encode() in content or word in name]  # fmt: skip


def database_of(backup: Path, folder: Path, env: dict[str, str]) -> str:
    """What is in a backup: as it is of SQLite, in SQL of PostgreSQL, whose dump is packed."""
    with tarfile.open(backup) as tar:
        folder.mkdir()
        for each in tar:
            (folder / each.name).write_bytes(tar.extractfile(each).read())
    if "DATABASE_URL" not in env:
        return ""
    dump = ["pg_restore", "--file=-", str(folder / "database")]
    return subprocess.run(dump, capture_output=True, text=True, check=True).stdout


def test_nothing_is_left_anywhere_and_a_backup_from_before_brings_nobody_back(two, tmp_path):
    first, second = two
    data, store = tmp_path / "1", tmp_path / "store"
    # One process for three steps: to begin one costs more than what is done in it.
    told, dump = shell(f"{MAIL}{PLANT}\n{BACKUP}{DUMP}", first).split(f"{NOW}\n")
    planted = json.loads(next(line for line in told.splitlines() if line.startswith("{")))
    words = planted["words"]
    (before,) = (tmp_path / "store").glob("database-*")
    kept, old = before.read_bytes(), tmp_path / "old"
    there = hits(words, data, said=dump)
    found = {hit.rsplit(": ", 1)[1] for hit in there}
    assert set(planted["fields"].values()) <= found, "or the search would prove nothing"
    assert hits(words, old, said=database_of(before, old, first))

    assert hits(words, data, said=shell(ERASE + DUMP + BACKUP, first)) == []
    after = max((tmp_path / "store").glob("database-*"))
    assert after != before
    new = tmp_path / "new"
    assert hits(words, new, said=database_of(after, new, first)) == []
    assert hits(words, store / "clips", store / "erasures") == []

    after.unlink()
    before.write_bytes(kept)  # Of one day the newest is kept; of another day it would be there.
    manage("restore", env=second)
    back = shell(DUMP, second)
    assert hits(words, tmp_path / "2", said=back) == []
    assert "Coach of all" in back
