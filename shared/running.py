"""Running several processes as one: start, watch, and stop every one of them."""

import ctypes
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from http.client import HTTPConnection, HTTPException
from types import FrameType

STARTED_WELL = 20.0  # A part that lived this long is started again; one that did not stops all.
PATIENCE = 6.0  # Seconds to stop in, before being killed.
LOOK_EVERY = 0.2
_PR_SET_PDEATHSIG = 1


@dataclass(frozen=True, slots=True)
class Address:
    host: str
    port: int

    @classmethod
    def from_environment(cls) -> "Address":
        port = os.environ.get("PORT", "8000")
        if not port.isdigit() or not 0 < int(port) < 65536:
            raise SystemExit(f"PORT={port!r}: give a number from 1 to 65535.")
        return cls(os.environ.get("HOST", "127.0.0.1"), int(port))

    @property
    def reachable(self) -> str:
        """The host to open: every interface means this machine too."""
        return "localhost" if self.host in {"0.0.0.0", "::", "127.0.0.1"} else self.host  # noqa: S104

    def __str__(self) -> str:
        return f"http://{self.reachable}:{self.port}"

    def is_free(self) -> bool:
        """Whether nobody serves there yet."""
        family = socket.AF_INET6 if ":" in self.host else socket.AF_INET
        with socket.socket(family) as trial:
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                trial.bind((self.host, self.port))
            except OSError:
                return False
        return True

    def answers(self) -> bool:
        host = "127.0.0.1" if self.host == "0.0.0.0" else self.host  # noqa: S104
        connection = HTTPConnection(host, self.port, timeout=2)
        try:
            connection.request("GET", "/health/live", headers={"Host": "localhost"})
            return connection.getresponse().status < 500
        except (OSError, HTTPException):
            return False
        finally:
            connection.close()


@dataclass(slots=True)
class Part:
    """One process of the whole, in a process group of its own."""

    name: str
    command: Sequence[str]
    process: subprocess.Popen | None = None
    started: float = field(default=0.0)

    def start(self) -> None:
        self.started = time.monotonic()
        self.process = subprocess.Popen(  # noqa: S603 (our own commands)
            self.command,
            start_new_session=True,
            preexec_fn=_die_with_parent,  # noqa: PLW1509
        )

    def signal(self, number: int) -> None:
        if self.process is not None:
            try:
                os.killpg(self.process.pid, number)
            except ProcessLookupError:
                return

    def ended(self) -> int | None:
        return None if self.process is None else self.process.poll()


def _die_with_parent() -> None:
    """Ask the kernel to end this process if the supervisor is killed outright (Linux)."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGTERM)


def parts(address: Address, *, redis: bool) -> list[Part]:
    """The processes of a whole installation. Without Redis, beat lives in the worker."""
    celery = [sys.executable, "-m", "celery", "-A", "shared"]
    quiet = ["--without-gossip", "--without-mingle", "--loglevel", "WARNING"]
    web = Part("web server", web_command(address))
    if not redis:
        return [web, Part("worker", [*celery, "worker", "-P", "solo", "--beat-thread", *quiet])]
    pidfile = ["--pidfile", ""]
    return [
        web,
        Part("worker", [*celery, "worker", "-c", "2", *quiet]),
        Part("beat", [*celery, "beat", *pidfile, "--loglevel", "WARNING"]),
    ]


def web_command(address: Address) -> list[str]:
    """gunicorn: WEB_PROCESSES of four threads; the access log holds no query and no path token."""
    host = f"[{address.host}]" if ":" in address.host else address.host
    options = {
        "bind": f"{host}:{address.port}",
        "worker-class": "gthread",
        "workers": os.environ.get("WEB_PROCESSES", "2"),
        "threads": "4",
        "timeout": "30",
        "graceful-timeout": "4",
        "keep-alive": "5",
        "max-requests": "2000",
        "max-requests-jitter": "200",
        "log-level": "warning",
    }
    flags = [word for name, value in options.items() for word in (f"--{name}", value)]
    return [sys.executable, "-m", "gunicorn", "shared.wsgi:application", *flags]


class Supervisor:
    """Starts the parts, says when they serve, and leaves none behind."""

    def __init__(self, parts: Sequence[Part], *, say: Callable[[str], None]) -> None:
        self.parts = parts
        self.say = say
        self.stopping = False
        self.code = 0

    def run(self, address: Address) -> int:
        """Until a signal, or until a part fails at its start. Returns the exit code."""
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, self._on_signal)
        served = False
        try:
            for part in self.parts:
                part.start()
            while not self.stopping:
                self._look_after()
                if not served and not self.stopping and address.answers():
                    served = True
                    self.say(f"Between Lessons serves on {address}  (Ctrl-C stops it)")
                time.sleep(LOOK_EVERY)
        finally:
            self.stop()
        return self.code

    def _on_signal(self, number: int, frame: FrameType | None) -> None:
        self.stopping = True

    def _look_after(self) -> None:
        for part in self.parts:
            code = part.ended()
            if code is None:
                continue
            if time.monotonic() - part.started < STARTED_WELL:
                self.say(f"The {part.name} stopped at its start (code {code}); stopping the rest.")
                self.stopping, self.code = True, 1
                return
            self.say(f"The {part.name} ended (code {code}); starting it again.")
            part.signal(signal.SIGKILL)  # What it may have left of its own.
            part.start()

    def stop(self) -> None:
        """Ask every part to end, then end what did not."""
        for part in self.parts:
            part.signal(signal.SIGTERM)
        deadline = time.monotonic() + PATIENCE
        while time.monotonic() < deadline and any(part.ended() is None for part in self.parts):
            time.sleep(0.05)
        for part in self.parts:
            part.signal(signal.SIGKILL)
            if part.process is not None:
                part.process.wait()
        self.say("Stopped.")
