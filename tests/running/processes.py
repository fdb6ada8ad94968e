"""Start real processes, wait for what they do (never for time to pass), leave none behind."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
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
