"""What a small hostile file may cost: a process of its own, bounded, and nothing of ours."""

import io
import json
import os
import socket
import struct
import subprocess
import sys
import tempfile
import zlib
from contextlib import contextmanager
from pathlib import Path

import pytest

from practice.importing.reading import kind_of, rows_of
from shared.site import jail
from tests.importing.files import HEADER, ROWS, with_part, workbook

MEGABYTE = 1024 * 1024
ROOT = Path(__file__).resolve().parents[1]
BOOK = workbook([HEADER.split(","), *(row.split(",") for row in ROWS)])


@contextmanager
def in_file(content: bytes):
    with tempfile.TemporaryFile() as file:
        file.write(content)
        file.flush()
        yield file


def spy(source, out, *, what: str) -> None:
    """Run in the jail, as any module's `opened`: says what the process in there can do."""
    if what == "environment":
        out.write("\n".join(f"{k}={v}" for k, v in os.environ.items()).encode())
    elif what == "memory":
        bytearray(600 * MEGABYTE)
    elif what == "processor":
        while True:
            pass
    elif what == "disk":
        piece = b"x" * MEGABYTE
        while True:
            out.write(piece)
    elif what == "network":
        with socket.create_connection(("127.0.0.1", int(source.read())), timeout=5):
            out.write(b"connected")
    elif what == "refuse":
        raise jail.NotTaken("Send something else.")


opened = spy


def asked(what: str, content: bytes = b"x") -> bytes:
    with in_file(content) as file, jail.run("tests.test_jail", file, {"what": what}) as told:
        return told.read()


def test_it_has_nothing_of_our_environment(monkeypatch):
    monkeypatch.setenv("SECRET_KEY", "canary")
    monkeypatch.setenv("DATABASE_URL", "canary")
    said = asked("environment").decode()
    assert "canary" not in said
    assert {line.split("=")[0] for line in said.split("\n")} <= {
        "LC_ALL", "OPENBLAS_NUM_THREADS", "LC_CTYPE",
    }  # fmt: skip


@pytest.mark.parametrize("what", ["memory", "disk"])
def test_what_takes_too_much_is_ended_and_we_go_on(what):
    with pytest.raises(jail.TooMuch):
        asked(what)


def test_what_never_ends_is_ended(monkeypatch):
    monkeypatch.setattr(jail, "LONGEST", 3.0)
    with pytest.raises(jail.TooMuch):
        asked("processor")


def test_a_refusal_keeps_its_sentence():
    with pytest.raises(jail.NotTaken, match="Send something else"):
        asked("refuse")


def can_leave_the_network() -> bool:
    """Whether this kernel lets an ordinary process do so; root it always lets, but in a box."""
    child = os.fork()
    if child == 0:
        import ctypes

        os._exit(1 if ctypes.CDLL(None).unshare(0x50000000) else 0)
    return os.waitpid(child, 0)[1] == 0


def test_it_reaches_nobody():
    if not can_leave_the_network():
        pytest.skip("this kernel keeps every process in the one network")
    with socket.create_server(("127.0.0.1", 0)) as door:
        port = str(door.getsockname()[1]).encode()
        with pytest.raises(jail.TooMuch):
            asked("network", port)


def chunk(kind: bytes, content: bytes) -> bytes:
    crc = zlib.crc32(kind + content)
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", crc)


def png(width: int, height: int) -> bytes:
    """One colour with transparency: as small as it gets for its pixels (PNG, third edition)."""
    packed = zlib.compressobj(9)
    line = bytes(1 + 4 * width)
    pixels = b"".join(packed.compress(line) for _ in range(height)) + packed.flush()
    head = struct.pack(">IIBBBBB", width, height, 8, 6, 0, 0, 0)
    parts = chunk(b"IHDR", head) + chunk(b"IDAT", pixels) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + parts


def many_styles() -> bytes:
    """A workbook of some kilobytes whose list of cell styles has millions of entries."""
    space = b'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
    many = b"<xf/>" * 4_000_000
    styles = b"<styleSheet " + space + b"><cellXfs>" + many + b"</cellXfs></styleSheet>"
    return with_part(BOOK, "xl/styles.xml", styles)


def open_picture(content: bytes) -> None:
    with in_file(content) as file:
        jail.run("practice.clips.opened", file, {"longest": 1920}).close()


def open_workbook(content: bytes) -> None:
    file = io.BytesIO(content)
    list(rows_of(file, kind_of(file)))


# A child counts as large as its parent was when it was forked, so the parent is a small one.
OF_ITS_OWN = """
import json, resource, sys
from pathlib import Path
import tests.test_jail as here
from practice.importing.reading import Unreadable
def now():
    return int(Path("/proc/self/statm").read_text().split()[1]) * resource.getpagesize()
take, content = getattr(here, sys.argv[1]), sys.stdin.buffer.read()
before, is_refused = now(), False
try:
    take(content)
except (here.jail.NotTaken, Unreadable):
    is_refused = True
grown = now() - before
child = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * 1024
print(json.dumps([is_refused, grown // here.MEGABYTE, child // here.MEGABYTE]))
"""


def in_a_process_of_its_own(take, content: bytes) -> tuple[bool, int, int]:
    """Whether it was refused, and the megabytes that it and its largest child took."""
    said = subprocess.run(
        [sys.executable, "-c", OF_ITS_OWN, take.__name__],
        input=content,
        cwd=ROOT,
        env=os.environ | {"DJANGO_SETTINGS_MODULE": "tests.settings"},
        capture_output=True,
        check=True,
    )
    return tuple(json.loads(said.stdout))


@pytest.mark.parametrize(
    ("name", "make", "take"),
    [
        ("a picture of 59 million pixels", lambda: png(7700, 7700), open_picture),
        ("a workbook of millions of styles", many_styles, open_workbook),
    ],
)
def test_a_bomb_costs_its_jail_and_nothing_else(name, make, take):
    content = make()
    assert len(content) < 300_000
    is_refused, grown, jailed = in_a_process_of_its_own(take, content)
    assert is_refused
    assert grown < 60
    assert 0 < jailed < 300


def test_what_people_send_is_still_taken():
    open_picture(png(4000, 3000))
    open_workbook(BOOK)
