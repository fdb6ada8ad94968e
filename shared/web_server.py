"""The web server: one thread moves the bytes, others answer whole requests.

A client that is slow to send or to read costs a connection and no thread, so that many of
them silence nobody (waitress, which buffers both ways). `main` binds and loads once and keeps
WEB_PROCESSES of these running on the one socket. With a certificate of our own there is a second
socket, for what shared.site.tls_front has taken the encryption off.
"""

import copy
import gc
import io
import os
import resource
import signal
import socket
import sys
import time
import traceback
from collections.abc import Callable
from types import FrameType
from typing import Any

from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser
from waitress.server import TcpWSGIServer, create_server

from shared.site import reach, tls_front
from shared.site.running import Address, die_with_parent, web_processes

THREADS = 4
MOST_CONNECTIONS = 2000
IDLE_SECONDS = 60
# What a sender must bring in that time to be taken for more than a held line.
PIECE = 64 * 1024
# A body that is not much too big is read and dropped: a browser that is still sending
# hears no answer. What is far too big is cut off.
PATIENT_WITH = 16 * 1024 * 1024
PATIENCE = 4.0
CANNOT_SERVE = 3
LONGEST_LINE = 107  # Of the PROXY protocol, version 1.


class Dropped:
    """Where a body goes that is too big to keep."""

    def __len__(self) -> int:
        return 0

    def append(self, piece: bytes) -> None:
        """Keep nothing of it."""

    def getfile(self) -> io.BytesIO:
        return io.BytesIO()

    def close(self) -> None:
        """There is nothing to close."""


class Parser(HTTPRequestParser):
    """Refuses a body by its address and declared length, before anything of it is kept."""

    adj: Any
    limit_of: Callable[[str], int] = staticmethod(lambda _path: 2 * 1024 * 1024)

    def parse_header(self, header_plus: bytes) -> None:
        super().parse_header(header_plus)
        limit = self.limit_of(getattr(self, "path", ""))
        self.adj = copy.copy(self.adj)
        self.adj.max_request_body_size = limit + 1
        if limit < self.content_length <= limit + PATIENT_WITH:
            self.adj.max_request_body_size = self.content_length + 1
            self.body_rcv.buf = Dropped()


class Channel(HTTPChannel):
    """A connection. One that drips its request in is closed as if it were idle."""

    parser_class = Parser
    last_activity: float
    adj: Any
    brought = 0
    # The line of shared.site.tls_front as far as it has come; None once it is read, or not awaited.
    line: bytes | None = None

    def __init__(self, server: TcpWSGIServer, *args: Any, **more: Any) -> None:
        super().__init__(server, *args, **more)
        if server.effective_port == str(reach.inner_port()):
            self.line = b""

    def received(self, data: bytes) -> Any:
        self.brought += len(data)
        if self.line is not None:
            line, ended, data = (self.line + data).partition(b"\r\n")
            if not ended and len(line) <= LONGEST_LINE:
                self.line = line
                return True
            who = tls_front.asked_by(line)
            if not who:
                self.will_close = True
                return False
            self.line, self.addr = None, (who, 0)
            self.adj = copy.copy(self.adj)
            self.adj.url_scheme = "https"
        return super().received(data)

    def handle_read(self) -> None:
        before = self.last_activity
        super().handle_read()
        if self.request is None or self.brought >= PIECE:
            self.brought = 0
        else:
            self.last_activity = before


def serve(socks: list[socket.socket]) -> None:
    """Answer on these sockets until told to stop; requests that have begun are finished."""
    from django.conf import settings

    from shared.site.middleware import body_limit
    from shared.wsgi import application

    Parser.limit_of = staticmethod(body_limit)
    TcpWSGIServer.channel_class = Channel
    server = create_server(
        application,
        sockets=socks,
        threads=THREADS,
        connection_limit=_room_for_connections(),
        channel_timeout=IDLE_SECONDS,
        cleanup_interval=10,
        asyncore_use_poll=True,
        channel_request_lookahead=1,  # Else nobody notices that a client has gone.
        ident=None,
        max_request_header_size=32 * 1024,
        max_request_body_size=max(settings.BIGGER_BODIES.values()) + 1,
        # A large answer to a slow reader waits on disk and not in a thread.
        outbuf_high_watermark=128 * 1024 * 1024,
        # Ours to judge: see TRUSTED_PROXY_COUNT.
        clear_untrusted_proxy_headers=False,
    )
    server.run()


def load() -> None:
    """Before the servers part, so that they share it and one that follows another begins at once.

    What is being loaded stays: to search it for garbage costs a sixth of loading it.
    """
    gc.disable()
    import shared.wsgi  # noqa: F401 (it sets Django up)

    settle()
    gc.enable()


def settle() -> None:
    """Load what every request asks for, and keep the collector of garbage from walking what
    stays: a tenth of what a log costs."""
    from django.urls import resolve

    resolve("/api/sync")  # With it every address, and the views behind them.
    gc.collect()
    gc.freeze()


def _leave(number: int, frame: FrameType | None) -> None:
    """Once: a second signal must not break into what the first one finishes."""
    for each in TOLD:
        signal.signal(each, signal.SIG_IGN)
    raise SystemExit(0)


def _room_for_connections() -> int:
    """As many as the system lets us have open, with some left for files and the database."""
    _, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    most = min(hard, MOST_CONNECTIONS + 500)
    resource.setrlimit(resource.RLIMIT_NOFILE, (most, hard))
    return min(MOST_CONNECTIONS, most - 200)


TOLD = {signal.SIGTERM, signal.SIGINT, signal.SIGHUP}


class Processes:
    """So many servers on the same sockets; one that ends is followed by another.

    Whoever stops the whole stops the servers with it (they are one process group), so that a
    server may end while it is being told to. Signals are therefore awaited, one after another,
    and interrupt nothing.
    """

    def __init__(self, socks: list[socket.socket], count: int) -> None:
        self.socks = socks
        self.count = count
        self.running: set[int] = set()
        self.code = 0

    def run(self) -> int:
        # The end of a child is only kept for whoever awaits it if it is not ignored.
        signal.signal(signal.SIGCHLD, lambda _number, _frame: None)
        signal.pthread_sigmask(signal.SIG_BLOCK, {*TOLD, signal.SIGCHLD})
        stopping = False
        while not stopping:
            while len(self.running) < self.count:
                self._start()
            stopping = signal.sigwait({*TOLD, signal.SIGCHLD}) in TOLD
            if CANNOT_SERVE in self._ended():
                # It would be so for every other one too.
                self.code, stopping = 1, True
        self._end()
        return self.code

    def _start(self) -> None:
        child = os.fork()
        if child:
            self.running.add(child)
            return
        try:
            _be_told()
            serve(self.socks)
        except SystemExit:
            os._exit(0)
        except BaseException:
            traceback.print_exc()
            os._exit(CANNOT_SERVE)
        os._exit(0)

    def _ended(self) -> list[int]:
        """What those ended with that have ended since."""
        codes = []
        for child in list(self.running):
            ended, status = os.waitpid(child, os.WNOHANG)
            if ended:
                self.running.discard(child)
                codes.append(os.waitstatus_to_exitcode(status))
        return codes

    def _end(self) -> None:
        for child in self.running:
            os.kill(child, signal.SIGTERM)
        deadline = time.monotonic() + PATIENCE
        while self.running and (left := deadline - time.monotonic()) > 0:
            signal.sigtimedwait({signal.SIGCHLD}, left)
            self._ended()
        for child in self.running:
            os.kill(child, signal.SIGKILL)


def _be_told() -> None:
    """Hear as a server of its own what its parent awaits."""
    die_with_parent()
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    _leave_when_told()
    signal.pthread_sigmask(signal.SIG_UNBLOCK, {*TOLD, signal.SIGCHLD})


def _leave_when_told() -> None:
    for number in TOLD:
        signal.signal(number, _leave)


def bound(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    sock = socket.socket(family)
    sock.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    sock.bind((host, port))
    sock.listen(1024)
    sock.setblocking(False)
    return sock


def main() -> int:
    _leave_when_told()  # The first process of a container hears only what it listens for.
    address = Address.from_environment()
    if trouble := address.trouble():
        sys.stderr.write(f"{trouble}\n")
        return 1
    socks = [bound(address.host, address.port)]
    if inner := reach.inner_port():
        socks.append(bound(reach.THIS_MACHINE, inner))
    count = web_processes()
    load()
    return Processes(socks, count).run()


if __name__ == "__main__":
    sys.exit(main())
