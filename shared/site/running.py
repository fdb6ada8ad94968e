"""Running several processes as one: start, watch, and stop every one of them."""

import ctypes
import errno
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from http.client import HTTPConnection, HTTPException
from types import FrameType
from urllib.parse import urlsplit

from shared.jobs.backoff import wait_after
from shared.site import data_dir, reach
from shared.site import environment as env

# A part that lived this long, or has served, is started again as if for the first time.
STARTED_WELL = 20.0
FIRST_WAIT = timedelta(seconds=0.5)
LONGEST_WAIT = timedelta(seconds=30)
PATIENCE = 6.0  # Seconds to stop in, before being killed.
LOOK_EVERY = 0.2
_PR_SET_PDEATHSIG = 1


def site_host() -> str:
    """The one name that every installation answers to."""
    return urlsplit(env.text("SITE_URL")).hostname or "localhost"


@dataclass(frozen=True, slots=True)
class Address:
    host: str
    port: int

    @classmethod
    def from_environment(cls) -> "Address":
        host, port = reach.now(data_dir.find()).host, reach.port()
        try:
            socket.getaddrinfo(host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)
        except OSError as error:
            raise env.bad("HOST", "an address of this machine, as in HOST=0.0.0.0") from error
        return cls(host, port)

    @property
    def reachable(self) -> str:
        """The host to open: every interface means this machine too."""
        is_here_too = self.host in reach.EVERYWHERE or reach.is_loopback(self.host)
        return "localhost" if is_here_too else self.host

    def __str__(self) -> str:
        return f"http://{self.reachable}:{self.port}"

    def trouble(self) -> str:
        """Why nobody can serve there, in a sentence; empty if it is free."""
        family = socket.AF_INET6 if ":" in self.host else socket.AF_INET
        with socket.socket(family) as trial:
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                trial.bind((self.host, self.port))
            except PermissionError:
                return f"Port {self.port} is not allowed to you. Choose one above 1023: PORT=8080."
            except OSError as error:
                if error.errno == errno.EADDRINUSE:
                    return f"Port {self.port} is in use. Choose another, as in PORT=8080."
                return f"HOST={self.host} is no address of this machine. Give HOST=0.0.0.0."
        return ""

    def answers(self) -> bool:
        host = reach.THIS_MACHINE if self.host in reach.EVERYWHERE else self.host
        connection = HTTPConnection(host, self.port, timeout=2)
        try:
            connection.request("GET", "/health/live", headers={"Host": site_host()})
            answer = connection.getresponse()
            answer.read()  # Else the server's log says that somebody has gone.
        except (OSError, HTTPException):
            return False
        finally:
            connection.close()
        return answer.status < 500


@dataclass(slots=True)
class SiteProcess:
    """One process of the whole, in a process group of its own."""

    name: str
    command: Sequence[str]
    process: subprocess.Popen[bytes] | None = None
    started: float = 0.0
    # Whether the site's address is its own, and whether that has answered since its start.
    is_site: bool = False
    has_served: bool = False
    # How often it ended soon after its start, and when it is started again.
    falls: int = 0
    due: float | None = None

    def start(self) -> None:
        self.started, self.due, self.has_served = time.monotonic(), None, False
        self.process = subprocess.Popen(  # noqa: S603 (our own commands)
            self.command,
            start_new_session=True,
            preexec_fn=die_with_parent,  # noqa: PLW1509
        )

    def signal(self, number: int) -> None:
        if self.process is not None:
            try:
                os.killpg(self.process.pid, number)
            except ProcessLookupError:
                return

    def fall(self) -> float:
        """It has ended: say when it is started again, later each time. Returns the wait."""
        now = time.monotonic()
        went_well = self.has_served or now - self.started >= STARTED_WELL
        self.falls = 1 if went_well else self.falls + 1
        wait = wait_after(self.falls, FIRST_WAIT, LONGEST_WAIT).total_seconds()
        self.due = now + wait
        return wait

    def ended(self) -> int | None:
        return None if self.process is None else self.process.poll()


def die_with_parent() -> None:
    """Ask the kernel to end this process if the supervisor is killed outright (Linux)."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGTERM)


def parts(*, redis: bool, tls: bool = False) -> list[SiteProcess]:
    """The processes of a whole installation. Without Redis, beat lives in the worker."""
    celery = [sys.executable, "-m", "celery", "--quiet", "-A", "shared"]
    quiet = ["--without-gossip", "--without-mingle", "--loglevel", "WARNING"]
    web = [SiteProcess("web server", web_command(), is_site=True)]
    if tls:
        web.append(SiteProcess("encryption", [sys.executable, "-m", "shared.site.tls_front"]))
    if not redis:
        # Two threads: a code to sign in with does not wait for a long file of shots.
        threads = ["-P", "threads", "-c", "2", "--beat-thread"]
        return [*web, SiteProcess("worker", [*celery, "worker", *threads, *quiet])]
    pidfile = ["--pidfile", ""]
    return [
        *web,
        SiteProcess("worker", [*celery, "worker", "-c", "2", *quiet]),
        SiteProcess("beat", [*celery, "beat", *pidfile, "--loglevel", "WARNING"]),
    ]


def web_processes() -> int:
    return env.whole("WEB_PROCESSES", 2, 1, 64)


def web_command() -> list[str]:
    """The web server, which reads HOST, PORT and WEB_PROCESSES itself."""
    return [sys.executable, "-m", "shared.web_server"]


class Supervisor:
    """Starts the parts, says when they serve, and leaves none behind."""

    def __init__(
        self,
        parts: Sequence[SiteProcess],
        *,
        say: Callable[[str], None],
        changed: Callable[[], bool] = lambda: False,
    ) -> None:
        """`changed` says whether all of it must begin anew: then `run` returns True."""
        self.parts = parts
        self.say = say
        self.changed = changed
        self.stopping = False

    def run(self, address: Address, words: str) -> bool:
        """Until a signal, or a change. `words` are said as soon as it serves."""
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, self._on_signal)
        served = anew = False
        try:
            for part in self.parts:
                part.start()
            while not self.stopping and not anew:
                self._look_after()
                if self._begins_to_serve(address) and not served:
                    served = True
                    self.say(words)
                time.sleep(LOOK_EVERY)
                anew = self.changed()
        finally:
            self.stop()
        if not anew:
            self.say("Stopped.")
        return anew and not self.stopping

    def _on_signal(self, number: int, frame: FrameType | None) -> None:
        self.stopping = True

    def _look_after(self) -> None:
        """Start again what has ended, each on its own: none waits for another, and none is
        given up on."""
        for part in self.parts:
            if part.due is not None:
                if time.monotonic() >= part.due:
                    part.start()
            elif (code := part.ended()) is not None:
                part.signal(signal.SIGKILL)  # What it may have left of its own.
                wait = part.fall()
                self.say(f"The {part.name} ended (code {code}); it starts again in {wait:.1f} s.")

    def _begins_to_serve(self, address: Address) -> bool:
        """Whether the web server answers for the first time since it was started.

        One that has served is no program that cannot live: whatever ended it, people wait.
        """
        for part in self.parts:
            waits = part.is_site and part.due is None and not part.has_served
            if waits and not self.stopping and address.answers():
                part.has_served = True
                return True
        return False

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
