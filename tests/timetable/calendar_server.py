"""A calendar's server of our own, with TLS: each test says what stands at which path."""

import ssl
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Event, Thread

import time_machine

from shared.site import certificates
from tests.ports import own_port

PUBLIC, INNER = "127.0.0.9", "127.0.0.1"  # The first is taken for an address on the internet.
Handler = BaseHTTPRequestHandler


@dataclass
class CalendarServer:
    """`answers` by path; what came is kept with the address that it came to."""

    port: int
    answers: dict[str, Callable[[Handler], None]] = field(default_factory=dict)
    came: list[tuple[str, str, dict[str, str]]] = field(default_factory=list)
    over: Event = field(default_factory=Event)

    def at(self, path: str = "/own.ics", host: str = PUBLIC) -> str:
        return f"https://{host}:{self.port}{path}"

    def serve(self, text: str, path: str = "/own.ics", **headers: str) -> None:
        """This text, with validators: 304 for whoever has it (RFC 9110, 13.1)."""
        body = text.replace("\n", "\r\n").encode()
        heads = {name.replace("_", "-"): value for name, value in headers.items()}

        def answer(handler: Handler) -> None:
            asked = handler.headers
            same = heads.get("ETag") and asked.get("If-None-Match") == heads["ETag"]
            since = heads.get("Last-Modified")
            if same or (since and asked.get("If-Modified-Since") == since):
                return reply(handler, 304, b"", heads)
            return reply(handler, 200, body, heads)

        self.answers[path] = answer

    def code(self, code: int, path: str = "/own.ics", **headers: str) -> None:
        self.answers[path] = lambda handler: reply(handler, code, b"no", headers)

    def leads(self, where: str, path: str = "/own.ics") -> None:
        self.code(302, path, Location=where)

    def drips(self, path: str = "/own.ics") -> None:
        """A byte now and then, for as long as somebody listens."""

        def answer(handler: Handler) -> None:
            handler.send_response(200)
            handler.send_header("Content-Length", "1000000")
            handler.end_headers()
            while not self.over.wait(0.02):
                handler.wfile.write(b"B")
                handler.wfile.flush()

        self.answers[path] = answer


def reply(handler: Handler, code: int, body: bytes, headers: dict[str, str]) -> None:
    handler.send_response(code)
    for name, value in headers.items():
        handler.send_header(name, value)
    if code != 304:
        handler.send_header("Content-Length", str(len(body)))
    handler.end_headers()
    handler.wfile.write(body)


def _handler(server: CalendarServer) -> type[Handler]:
    class Answers(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            heads = {name.lower(): value for name, value in self.headers.items()}
            server.came.append((self.connection.getsockname()[0], self.path, heads))
            answer = server.answers.get(self.path)
            try:
                answer(self) if answer else reply(self, 404, b"", {})
            except OSError:  # Whoever asked has gone.
                self.close_connection = True

        def log_message(self, *words: object) -> None:
            """Not into the tests' output."""

    return Answers


@contextmanager
def running(folder: Path) -> Iterator[CalendarServer]:
    # OpenSSL looks at the machine's own clock, wherever the test's has been put.
    hatch = time_machine.escape_hatch
    own = hatch.datetime.datetime.now(UTC) if hatch.is_travelling() else datetime.now(UTC)
    certificates.prepare(folder, [PUBLIC, INNER], now=own)
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(*certificates.certificate_files(folder))
    with own_port() as port:
        server = CalendarServer(port)
        socket_servers = []
        for host in (PUBLIC, INNER):
            made = ThreadingHTTPServer((host, port), _handler(server))
            made.socket = context.wrap_socket(
                made.socket, server_side=True, do_handshake_on_connect=False
            )
            socket_servers.append(made)
            Thread(target=made.serve_forever, args=(0.02,), daemon=True).start()
        try:
            yield server
        finally:
            server.over.set()
            for made in socket_servers:
                made.shutdown()
                made.server_close()
