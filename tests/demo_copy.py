"""The demo, loaded by the worker who needs it first and copied by the others.

A copy is of the same quarter of an hour: what the demo calls today is today.
"""

import fcntl
import json
import shutil
import sqlite3
from contextlib import closing
from io import StringIO
from pathlib import Path

from django.core.management import call_command
from django.db import connection
from django.utils import timezone

from practice.clips.models import clip_storage


def load_demo(tmp_path_factory, worker_id: str) -> list[str]:
    """Put the demo into the empty database, outside of a transaction; what it says as it loads."""
    if connection.vendor != "sqlite":
        return _loaded()
    own = tmp_path_factory.getbasetemp()
    shared = own if worker_id == "master" else own.parent
    now = timezone.now()
    folder = shared / f"demo-{now:%Y%m%d%H}-{now.minute // 15}"
    folder.mkdir(exist_ok=True)
    said = folder / "lines.json"
    with (folder / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if said.exists():
            _copy_from(folder)
        else:
            lines = _loaded()
            _copy_to(folder)
            said.write_text(json.dumps(lines))
    return json.loads(said.read_text())


def _loaded() -> list[str]:
    """By the command, to its end."""
    said = StringIO()
    call_command("load_demo", stdout=said)
    return said.getvalue().splitlines()


def _copy_to(folder: Path) -> None:
    with closing(sqlite3.connect(folder / "demo.sqlite3")) as copy:
        connection.connection.backup(copy)
    shutil.copytree(clip_storage().location, folder / "clips")


def _copy_from(folder: Path) -> None:
    connection.ensure_connection()
    with closing(sqlite3.connect(folder / "demo.sqlite3")) as copy:
        copy.backup(connection.connection)
    shutil.copytree(folder / "clips", clip_storage().location, dirs_exist_ok=True)
