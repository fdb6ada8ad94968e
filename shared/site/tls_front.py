"""TLS in front of the web server, with this machine's own certificate.

It takes the encryption off and hands the bytes on, with one line before them that says who asked:
the PROXY protocol, version 1 (proxy-protocol.txt of HAProxy, section 2.1). A connection that is
slow costs no thread; the web server's own limits end it.
"""

import asyncio
import signal
import ssl
import sys
from contextlib import suppress
from pathlib import Path

from shared.site import certificates, data_dir, reach

HANDSHAKE_SECONDS = 10
PIECE = 64 * 1024


def proxy_line(peer: tuple[str, int], own: tuple[str, int]) -> bytes:
    """Who asked, as the PROXY protocol says it. IPv4 in IPv6 is written as IPv4."""
    far, near = (host.removeprefix("::ffff:") for host in (peer[0], own[0]))
    family = "TCP6" if ":" in far else "TCP4"
    return f"PROXY {family} {far} {near} {peer[1]} {own[1]}\r\n".encode()


def asked_by(line: bytes) -> str:
    """The address that such a line names; empty if it is no such line."""
    words = line.decode("ascii", "replace").split()
    is_one = len(words) == 6 and words[0] == "PROXY" and words[1] in {"TCP4", "TCP6"}
    return words[2] if is_one else ""


async def _pass_on(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    """Until one side ends. What cannot be written any more is nobody's."""
    with suppress(OSError, ssl.SSLError):
        while piece := await reader.read(PIECE):
            writer.write(piece)
            await writer.drain()
    with suppress(OSError, ssl.SSLError):
        writer.close()


async def serve(host: str, port: int, to: int, context: ssl.SSLContext) -> None:
    """Until cancelled. `to` is the port on this machine at which the web server waits for us."""

    async def connected(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        try:
            inner, out = await asyncio.open_connection(reach.THIS_MACHINE, to)
        except OSError:  # The web server is starting again.
            writer.close()
            return
        said = writer.get_extra_info
        out.write(proxy_line(said("peername")[:2], said("sockname")[:2]))
        # At our own end each is cancelled; Python 3.11 would print that as an error.
        with suppress(asyncio.CancelledError):
            await asyncio.gather(_pass_on(reader, out), _pass_on(inner, writer))

    server = await asyncio.start_server(
        connected, host, port, ssl=context, ssl_handshake_timeout=HANDSHAKE_SECONDS, backlog=1024
    )
    async with server:
        await server.serve_forever()


def context_of(chain: Path, key: Path) -> ssl.SSLContext:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.load_cert_chain(chain, key)
    return context


async def _main() -> None:
    folder = data_dir.find()
    context = context_of(*certificates.certificate_files(folder))
    running = asyncio.current_task()
    for number in (signal.SIGTERM, signal.SIGINT):
        asyncio.get_running_loop().add_signal_handler(number, running.cancel if running else exit)
    with suppress(asyncio.CancelledError):
        await serve(reach.now(folder).host, reach.tls_port(), reach.inner_port(), context)


if __name__ == "__main__":
    sys.exit(asyncio.run(_main()))
