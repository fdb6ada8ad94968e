"""A port of this machine for a server that a test starts, and perhaps stops and starts again."""

import socket
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def own_port() -> Iterator[int]:
    """A port that nobody else is given meanwhile.

    It is bound all the time and never listened at: a server that takes an address again
    (SO_REUSEADDR, as ours do) may listen there, and without one a caller is refused at once.
    """
    with socket.socket() as held:
        held.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        held.bind(("127.0.0.1", 0))
        yield held.getsockname()[1]
