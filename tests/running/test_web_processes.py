"""The servers of one socket: those that end are followed by others, and a stop leaves none."""

import os
import signal
import socket
import subprocess
import sys
from typing import Any

import pytest

from tests.ports import own_port
from tests.running.processes import ROOT, environment

MANY = 12
MAIN = """
import os, signal, sys
from shared import web_server
{fault}
sys.exit(web_server.main())
"""
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
    return started(SERVERS.format(serve=serve, count=count))


def started(code: str, **more: Any) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", code],
        cwd=ROOT,
        **more,
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


@pytest.fixture
def env(tmp_path):
    with own_port() as port:
        yield environment(tmp_path, HOST="127.0.0.1", PORT=str(port))


def test_what_they_answer_with_is_loaded_once_for_all(env):
    """Each loaded it for itself: a second more, and half as much memory again, a server."""
    fault = (
        "def serve(socks):\n"
        "    os.write(1, b'%d\\n' % ('coaching.board.views' in sys.modules))\n"
        "    while True: signal.pause()\n"
        "web_server.serve = serve"
    )
    with started(MAIN.format(fault=fault), env=env) as parent:
        has_it = [parent.stdout.readline() for _ in range(2)]
        parent.terminate()
    assert has_it == ["1\n", "1\n"]
    assert parent.returncode == 0


def test_told_while_it_loads_it_leaves_without_a_word(env):
    """As the first process of a container it would not hear what it does not listen for."""
    fault = "web_server.load = lambda: os.kill(os.getpid(), signal.SIGTERM)"
    with started(MAIN.format(fault=fault), env=env) as parent:
        assert parent.stdout.read() + parent.stderr.read() == ""
    assert parent.returncode == 0


def test_a_setting_that_is_no_use_ends_it_with_its_sentence(env):
    """Servers that read the settings each for itself ended well, and were followed for ever."""
    with started(MAIN.format(fault=""), env=env | {"TRUSTED_PROXY_COUNT": "many"}) as parent:
        said = parent.stderr.read()
    assert said.startswith("TRUSTED_PROXY_COUNT: 'many' is no use.")
    assert said.count("\n") == 1
    assert parent.returncode == 1


def test_a_port_that_another_has_ends_it_with_its_sentence(env):
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        with started(MAIN.format(fault=""), env=env | {"PORT": str(port)}) as parent:
            assert parent.stderr.read() == (
                f"Port {port} is in use. Choose another, as in PORT=8080.\n"
            )
    assert parent.returncode == 1
