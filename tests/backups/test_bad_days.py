"""A backup in an S3-compatible store, on a full disk, and one that was killed half way."""

import os
import resource
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from shared.backups.store import LONGEST
from tests.running.processes import ROOT, environment, installation, manage
from tests.s3_store import serving

SEED = """
import os
from django.core.files.base import ContentFile
from django.core.files.storage import storages
from tests import factories
coach = factories.make_coach(name="Canary Coach")
factories.make_student(coach, "Canary Student")
# More than the 8 MB that go in one piece.
storages["clips"].save("ab/clip.mp4", ContentFile(os.urandom(9 << 20)))
"""
BACKUP = """
from django.core.management import call_command
call_command("backup")
"""
# Dies when the whole backup is written and has not got its name yet.
DIES = """
import os, signal
from pathlib import Path
def replace(part, name):
    if name.name.startswith("database-"):
        os.kill(os.getpid(), signal.SIGKILL)
    os.rename(part, name)
Path.replace = replace
from shared.backups import services
services.make()
"""


def seeded(tmp_path: Path, then: str = "", **more: str) -> dict[str, str]:
    """An installation with something in it; `then` is done in the same process."""
    with installation(tmp_path / "1", "sqlite", **more) as env:
        manage("shell", "--verbosity=0", "-c", SEED + then, env=env)
    return env


def film(data: Path) -> bytes:
    return (data / "clips" / "ab" / "clip.mp4").read_bytes()


def failing(*words: str, env: dict[str, str], most: int | None = None) -> str:
    """What a command says that must not succeed; `most` bytes fit into a file."""

    def limit() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (most or 0, most or 0))

    done = subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=ROOT, env=env, capture_output=True, text=True, check=False,
        preexec_fn=limit if most else None,
    )  # fmt: skip
    assert done.returncode == 1
    assert "Traceback" not in done.stderr
    return done.stderr


def test_it_goes_to_a_store_and_comes_back_row_by_row(tmp_path):
    with serving() as store:
        more = {"BACKUP_PASSPHRASE": "heel toe heel toe", "AWS_MAX_ATTEMPTS": "1"}
        env = seeded(tmp_path, BACKUPS_URL=store.address("kept", secret="another"), **more)
        assert "Does BACKUPS_URL name a store that takes this key?" in failing("backup", env=env)
        assert store.refused
        env["BACKUPS_URL"] = store.address("kept")
        store.is_full, store.refused = True, 0
        assert "Is there room on the disk" in failing("backup", env=env)
        assert not store.kept
        store.is_full = False
        assert manage("backup", env=env).stdout.startswith("Made database-")
        assert b"Canary" not in b"".join(store.kept.values())
        second = environment(tmp_path / "2", BACKUPS_URL=store.address("kept"), **more)
        assert "rows, each as it was." in manage("restore", env=second).stdout
        assert film(tmp_path / "1") == film(tmp_path / "2")
        assert not store.refused


def test_a_full_disk_leaves_the_good_one_and_no_half_one(tmp_path):
    env = seeded(tmp_path, BACKUP, BACKUPS_URL=str(tmp_path / "store"))
    before = sorted((tmp_path / "store").rglob("*"))
    for most in (64 << 10, 700 << 10):  # In the copy of the database; in the tar of it.
        assert "Is there room on the disk" in failing("backup", env=env, most=most)
        assert sorted((tmp_path / "store").rglob("*")) == before
        assert not list((tmp_path / "1").glob("backup-*"))
    assert manage("backup", env=env).stdout.startswith("Made")


def test_one_that_was_killed_counts_for_nothing_and_is_cleared_up(tmp_path):
    first, store = tmp_path / "1", tmp_path / "store"
    with pytest.raises(subprocess.CalledProcessError) as died:
        seeded(tmp_path, DIES, BACKUPS_URL=str(store))
    assert died.value.returncode == -signal.SIGKILL
    assert list(store.rglob("*.part")), "it died where it should"
    second = environment(tmp_path / "2", BACKUPS_URL=str(store))
    assert "There is no backup in the store." in failing("restore", env=second)
    for path in [*first.rglob("*"), *store.rglob("*")]:
        # By the clock of who wrote it: that of the tests may stand on another day.
        long_ago = path.stat().st_mtime - LONGEST.total_seconds() - 60
        os.utime(path, (long_ago, long_ago))
    manage("backup", env=environment(first, BACKUPS_URL=str(store)))
    assert not list(store.rglob("*.part"))
    assert not list(first.glob("backup-*"))
    assert "each as it was" in manage("restore", env=second).stdout
    assert film(first) == film(tmp_path / "2")
