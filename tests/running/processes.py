"""Start real processes, wait for what they do (never for time to pass), leave none behind."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path
from typing import Any

import psycopg
import pytest
import redis

from tests import migrated

ROOT = Path(__file__).resolve().parents[2]
REDIS = os.environ.get("REDIS_URL") or "redis://127.0.0.1:6379/9"
# The server, and the name beside which its migrated database is kept; `.ci/run` uses the same.
POSTGRES = os.environ.get("TEST_POSTGRES_URL", "postgres://postgres@127.0.0.1/between_lessons")
NUMBERS = count(1)
LONGEST = 180.0  # Seconds for a state to be reached on a loaded machine.


def environment(data: Path, **more: str) -> dict[str, str]:
    """That of a fresh installation: nothing of the tests' own settings goes in."""
    keep = {name: os.environ[name] for name in ("PATH", "HOME", "LANG") if name in os.environ}
    return keep | {"DATA_DIR": str(data), "TICK_SECONDS": "1"} | more


def until(find: Callable[[], Any], what: str, process: "subprocess.Popen | None" = None) -> Any:
    """The first true answer of `find`; fails when the process ends before, or it takes too long."""
    end = time.monotonic() + LONGEST
    while time.monotonic() < end:
        if found := find():
            return found
        if process is not None and process.poll() is not None:
            raise AssertionError(f"it ended with {process.returncode} before: {what}")
        time.sleep(0.05)
    raise AssertionError(f"waited {LONGEST} s for: {what}")


def manage(*words: str, env: dict[str, str]) -> subprocess.CompletedProcess:
    command = [sys.executable, "manage.py", *words]
    return subprocess.run(command, cwd=ROOT, env=env, capture_output=True, text=True, check=True)


def postgres_admin() -> psycopg.Connection:
    url = POSTGRES.replace("postgres:", "postgresql:")
    return psycopg.connect(url, dbname="postgres", autocommit=True)


def has_both() -> bool:
    try:
        redis.Redis.from_url(REDIS).ping()
        postgres_admin().close()
    except (redis.RedisError, psycopg.OperationalError):
        return False
    return True


@contextmanager
def installation(
    data: Path, engine: str, *, empty: bool = False, **more: str
) -> Iterator[dict[str, str]]:
    """The environment of one with a database of its own: migrated, unless it is to be empty."""
    if engine == "sqlite":
        if not empty:
            data.mkdir(mode=0o700, exist_ok=True)
            migrated.sqlite(data / "practice.sqlite3")
        yield environment(data, **more)
        return
    if not has_both():
        pytest.skip("needs PostgreSQL and Redis on this machine; .ci/run starts them")
    name = f"own_{os.getpid()}_{next(NUMBERS)}"
    with postgres_admin() as connection, connection.cursor() as admin:
        template = "template1" if empty else migrated.postgresql(admin, POSTGRES)
        admin.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')
        admin.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
        try:
            yield environment(data, DATABASE_URL=f"{POSTGRES.rsplit('/', 1)[0]}/{name}", **more)
        finally:
            admin.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


@contextmanager
def running(command: list[str], env: dict[str, str], log: Path) -> Iterator[subprocess.Popen]:
    """A process in a group of its own, killed with all it has started when the test is over."""
    with log.open("w") as out:
        process = subprocess.Popen(
            command, cwd=ROOT, env=env, stdout=out, stderr=subprocess.STDOUT, start_new_session=True
        )
        try:
            yield process
        finally:
            if process.poll() is None:
                process.terminate()
                try:
                    process.wait(LONGEST)
                except subprocess.TimeoutExpired:
                    os.killpg(process.pid, signal.SIGKILL)
                    process.wait()


def started_with(mark: str) -> list[int]:
    """Living processes whose environment holds this mark: a data folder names its processes."""
    found = []
    for entry in Path("/proc").iterdir():
        if not entry.name.isdigit():
            continue
        try:
            has = mark.encode() in (entry / "environ").read_bytes()
            alive = (entry / "stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
        except (OSError, IndexError):
            continue
        if has and alive and int(entry.name) != os.getpid():
            found.append(int(entry.name))
    return found
