"""The guarded way out to an address that somebody gave us: nothing of ours may be reached by it.

TLS only. A name is looked up once, every address it leads to must be on the internet, and the
connection goes to the very address that was looked at.
"""

import http.client
import ipaddress
import socket
import ssl
from collections.abc import Callable
from threading import Thread, Timer
from time import monotonic
from typing import Any, TypeVar

Answer = TypeVar("Answer")
MOMENT = 0.1  # Of a limit that a look-up has eaten up.


class NotReached(Exception):
    """Nothing was asked: there is no connection to that address, or there may be none."""


class CutOff(Exception):
    """It was asked, and the connection ended before the answer did, or took too long."""


def is_public(address: str) -> bool:
    """Whether an IP address belongs to the internet, and to no network of ours."""
    found = ipaddress.ip_address(address)
    inner = getattr(found, "ipv4_mapped", None) or found
    return inner.is_global and not inner.is_multicast


def looks_public(host: str) -> bool:
    """What can be told without asking: the name is looked up when it is connected to."""
    try:
        return is_public(host)
    except ValueError:
        return "." in host


def trusted() -> ssl.SSLContext:
    return ssl.create_default_context()


def talk(
    host: str, port: int, timeout: float, ask: Callable[[http.client.HTTPSConnection], Answer]
) -> Answer:
    """What `ask` makes of a connection to the host, all of it within `timeout` seconds.

    Raises NotReached before anything was asked, and CutOff from then on.
    """
    connection = http.client.HTTPSConnection(host, port, timeout=timeout)
    begun = monotonic()
    try:
        connection.sock = sock = _socket(host, port, timeout)
    except (OSError, ValueError) as error:  # ValueError: a name that is no name.
        raise NotReached(str(error)) from error
    # A socket's own time limit begins anew with every byte: this one ends the whole.
    end = Timer(max(MOMENT, timeout - (monotonic() - begun)), _hang_up, [sock])
    end.start()
    try:
        _shake_hands(sock)
        return ask(connection)
    except (OSError, http.client.HTTPException) as error:
        raise CutOff(str(error)) from error
    finally:
        end.cancel()
        connection.close()


def _shake_hands(sock: ssl.SSLSocket) -> None:
    try:
        sock.do_handshake()
    except (OSError, ValueError) as error:
        raise NotReached(str(error)) from error


def _hang_up(sock: Any) -> None:
    try:
        sock.shutdown(socket.SHUT_RDWR)
    except OSError:  # It has ended already.
        return


def _looked_up(host: str, port: int, timeout: float) -> list[str]:
    """Where a name leads. The system's look-up knows no limit, so it is waited for beside it."""
    found: list[Any] = []

    def look() -> None:
        try:
            found.extend(socket.getaddrinfo(host, port, type=socket.SOCK_STREAM))
        except (OSError, ValueError) as error:
            found.append(error)

    # A thread of its own that ends with the process: one that is stuck holds up nobody.
    looking = Thread(target=look, daemon=True)
    looking.start()
    looking.join(timeout)
    if not found:
        raise TimeoutError("the name was not looked up in time")
    if isinstance(found[0], Exception):
        raise found[0]
    return [str(address[0]) for *_, address in found]


def _socket(host: str, port: int, timeout: float) -> ssl.SSLSocket:
    """To the very address that was looked at: a name may lead elsewhere a moment later."""
    begun = monotonic()
    addresses = _looked_up(host, port, timeout)
    if not addresses or not all(map(is_public, addresses)):
        raise OSError("not an address on the internet")
    left = max(MOMENT, timeout - (monotonic() - begun))
    plain = socket.create_connection((addresses[0], port), timeout=left)
    try:
        return trusted().wrap_socket(plain, server_hostname=host, do_handshake_on_connect=False)
    except BaseException:
        plain.close()
        raise
