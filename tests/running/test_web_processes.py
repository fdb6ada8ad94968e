"""The servers of one socket: those that end are followed by others, and a stop leaves none."""

import os
import signal
import subprocess
import sys

import pytest

from tests.running.processes import ROOT

MANY = 12
SERVERS = """
import os, signal, sys
from shared import web_server

def serve(socks):
    {serve}

web_server.serve = serve
sys.exit(web_server.Processes([], {count}).run())
"""
STANDING = "os.write(1, b'%d\\n' % os.getpid())\n    while True: signal.pause()"


def servers(serve: str, count: int) -> subprocess.Popen[str]:
    code = SERVERS.format(serve=serve, count=count)
    return subprocess.Popen(
        [sys.executable, "-c", code],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT, signal.SIGHUP])
def test_all_told_at_once_end_without_a_word(number):
    """As the supervisor and a terminal do it: the parent and its servers hear it together."""
    with servers(STANDING, MANY) as parent:
        assert len({parent.stdout.readline() for _ in range(MANY)}) == MANY
        os.killpg(parent.pid, number)
        assert parent.stdout.read() == ""
        assert parent.stderr.read() == ""
    assert parent.returncode == 0


def test_the_parent_alone_ends_them_all():
    with servers(STANDING, MANY) as parent:
        numbers = [int(parent.stdout.readline()) for _ in range(MANY)]
        parent.terminate()
        assert parent.stdout.read() + parent.stderr.read() == ""
    assert parent.returncode == 0
    for number in numbers:
        with pytest.raises(ProcessLookupError):
            os.kill(number, 0)


def test_killed_ones_are_followed_by_others():
    with servers(STANDING, MANY) as parent:
        numbers = [int(parent.stdout.readline()) for _ in range(MANY)]
        for number in numbers:
            os.kill(number, signal.SIGKILL)
        others = [int(parent.stdout.readline()) for _ in range(MANY)]
        assert not set(numbers) & set(others)
        parent.terminate()
        assert parent.stdout.read() + parent.stderr.read() == ""
    assert parent.returncode == 0


def test_one_that_cannot_serve_ends_them_all_and_says_why():
    with servers("raise OSError('no room')", 3) as parent:
        assert "OSError: no room" in parent.stderr.read()
    assert parent.returncode == 1
