"""Foreign bytes are opened in a process of their own, which can end and take nothing with it.

`run` starts `python -m shared.site.jail MODULE`; the child gives up memory, time, file size, the
network (where the kernel lets it) and every variable before MODULE's `opened` reads the bytes
from its standard input. What `opened` writes goes to a file that the caller reads. It says why
a file is not taken by raising `NotTaken`.
"""

import ctypes
import importlib
import json
import os
import resource
import subprocess
import sys
import tempfile
from contextlib import suppress
from pathlib import Path
from threading import BoundedSemaphore
from typing import IO, Any

MEMORY = 288 * 1024 * 1024
CPU_SECONDS = 20
LONGEST = 60.0
FILE_SIZE = 192 * 1024 * 1024
REFUSED, TOO_MUCH = 3, 4
ROOT = Path(__file__).resolve().parents[2]
# So many at once in one process of ours: what each may take is bounded, and so is all of it.
AT_ONCE = BoundedSemaphore(2)
_NEW_USER, _NEW_NET, _NO_NEW_PRIVILEGES = 0x10000000, 0x40000000, 38


class NotTaken(ValueError):
    """Why a file is not taken; the sentence is for whoever sent it."""


class TooMuch(NotTaken):
    """The file needs more memory or time than a file may take."""


def run(module: str, source: IO[bytes], arguments: dict[str, Any]) -> IO[bytes]:
    """What `module.opened` wrote about these bytes, to be read from the start.

    `source` is a real file, read (and written, where the module says so) by the child. Raises
    NotTaken with the module's sentence, or TooMuch.
    """
    source.seek(0)
    out = tempfile.TemporaryFile()  # noqa: SIM115 (it is what is returned)
    try:
        _run(module, source, out, arguments)
    except BaseException:
        out.close()
        raise
    out.seek(0)
    return out


def _run(module: str, source: IO[bytes], out: IO[bytes], arguments: dict[str, Any]) -> None:
    command = [sys.executable, "-I", "-c", _START, str(ROOT), module, json.dumps(arguments)]
    with AT_ONCE:
        try:
            done = subprocess.run(  # noqa: S603 (our own modules)
                command, stdin=source, stdout=out, stderr=subprocess.PIPE, env=_environment(),
                cwd="/", timeout=LONGEST, check=False, start_new_session=True,
            )  # fmt: skip
        except subprocess.TimeoutExpired:
            raise TooMuch("This file takes too long to open.") from None
    if done.returncode == REFUSED:
        raise NotTaken(done.stderr.decode(errors="replace").strip())
    if done.returncode:
        raise TooMuch("This file takes more room to open than a file may.")


_START = """
import sys
sys.path.insert(0, sys.argv[1])
from shared.site.jail import main
sys.exit(main(sys.argv[2], sys.argv[3]))
"""


def _environment() -> dict[str, str]:
    """Nothing of ours: no key, no address of a database."""
    return {"LC_ALL": "C.UTF-8", "OPENBLAS_NUM_THREADS": "1"}


def main(module: str, arguments: str) -> int:
    """The child's side. The exit code says what became of it."""
    confine()
    out = sys.stdout.buffer
    try:
        with os.fdopen(0, "r+b" if _is_writable(0) else "rb", closefd=False) as source:
            importlib.import_module(module).opened(source, out, **json.loads(arguments))
        out.flush()
    except NotTaken as refusal:
        sys.stderr.write(str(refusal))
        return REFUSED
    except MemoryError:
        return TOO_MUCH
    return 0


def _is_writable(descriptor: int) -> bool:
    import fcntl

    return fcntl.fcntl(descriptor, fcntl.F_GETFL) & os.O_ACCMODE == os.O_RDWR


def confine() -> None:
    """Give up what opening a file does not need. What the kernel refuses is left out."""
    if sys.platform == "linux":
        kernel = ctypes.CDLL(None)
        kernel.prctl(_NO_NEW_PRIVILEGES, 1, 0, 0, 0)
        if kernel.unshare(_NEW_USER | _NEW_NET):
            kernel.unshare(_NEW_NET)
    limits = {
        resource.RLIMIT_AS: MEMORY,
        resource.RLIMIT_CPU: CPU_SECONDS,
        resource.RLIMIT_FSIZE: FILE_SIZE,
        resource.RLIMIT_CORE: 0,
        resource.RLIMIT_NOFILE: 64,
    }
    for kind, most in limits.items():
        with suppress(ValueError, OSError):
            resource.setrlimit(kind, (most, most))
