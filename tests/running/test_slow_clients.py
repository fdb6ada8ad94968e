"""Clients that are slow, or never finish, cost a connection each and keep nobody waiting."""

import json
import os
import socket
import subprocess
import sys
from contextlib import ExitStack, contextmanager
from http.client import HTTPConnection
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from shared import outside
from tests.ports import own_port
from tests.running.processes import LONGEST, ROOT, installation, manage, until

HALF_HEAD = b"GET /account/login/ HTTP/1.1\r\nHost: localhost\r\nX-Slow: "
HALF_BODY = (
    b"POST /account/login/ HTTP/1.1\r\nHost: localhost\r\nContent-Length: 1000\r\n"
    b"Content-Type: application/x-www-form-urlencoded\r\n\r\nlogin=a"
)
HALF_FILE = (
    b"POST /students/00000000-0000-4000-8000-000000000000/clips/ HTTP/1.1\r\nHost: localhost\r\n"
    b"Content-Length: 60000000\r\nContent-Type: multipart/form-data; boundary=x\r\n\r\n--x\r\n"
)


def answered(port: int, path: str = "/health/live", method: str = "GET", **more) -> int:
    connection = HTTPConnection("127.0.0.1", port, timeout=LONGEST)
    try:
        connection.request(method, path, **more)
        answer = connection.getresponse()
        answer.read()
        return answer.status
    finally:
        connection.close()


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    """The server as it runs in production, two processes of four threads; its port."""
    folder = tmp_path_factory.mktemp("slow")
    with (
        own_port() as port,
        installation(folder, "sqlite", HOST="127.0.0.1", PORT=str(port)) as env,
    ):
        manage("collectstatic", "--no-input", "-v", "0", env=env)
        command = [sys.executable, "-m", "shared.web_server"]
        process = subprocess.Popen(command, env=env, cwd=ROOT, start_new_session=True)
        try:
            until(lambda: is_up(port), "the server to answer", process)
            yield port
        finally:
            process.terminate()
            assert process.wait(LONGEST) == 0


def is_up(port: int) -> bool:
    try:
        return answered(port) == 200
    except OSError:
        return False


@contextmanager
def slow(port: int, count: int, said: bytes):
    """So many connections that have said this much and say no more."""
    with ExitStack() as held:
        for _ in range(count):
            line = held.enter_context(socket.create_connection(("127.0.0.1", port), LONGEST))
            line.sendall(said)
        yield


@pytest.mark.parametrize("count", [8, 200])
@pytest.mark.parametrize("said", [HALF_HEAD, HALF_BODY, HALF_FILE], ids=["head", "body", "file"])
def test_slow_senders_silence_nobody(server, count, said):
    with slow(server, count, said):
        assert [answered(server) for _ in range(20)] == [200] * 20
        assert answered(server, "/account/login/") == 200


def test_what_a_stranger_tries_comes_to_nothing(server):
    (found,) = outside.findings(f"http://localhost:{server}")
    assert found.is_well, found.words


def test_slow_readers_silence_nobody(server):
    """They ask for the largest file there is and read none of it."""
    asked = b"GET /log HTTP/1.1\r\nHost: localhost\r\n\r\n" * 3
    with slow(server, 50, asked):
        assert [answered(server) for _ in range(20)] == [200] * 20


def test_a_body_that_is_too_big_is_answered_in_words_and_not_kept(server):
    body = b"x" * (3 * 1024 * 1024)
    connection = HTTPConnection("127.0.0.1", server, timeout=LONGEST)
    connection.request("POST", "/api/sync", body=body, headers={"Content-Type": "application/json"})
    answer = connection.getresponse()
    assert answer.status == 413
    assert json.loads(answer.read())["detail"] == "That is too big to take. The limit is 2 MB."
    connection.close()


def test_a_body_without_a_length_is_cut_off_at_the_limit(server):
    def pieces():
        for _ in range(40):
            yield b"x" * 100_000

    connection = HTTPConnection("127.0.0.1", server, timeout=LONGEST)
    try:
        connection.request("POST", "/api/sync", body=pieces(), encode_chunked=True,
                           headers={"Transfer-Encoding": "chunked"})  # fmt: skip
        assert connection.getresponse().status == 413
    except (BrokenPipeError, ConnectionResetError):
        pass  # Cut off while we were still sending.
    finally:
        connection.close()
    assert answered(server) == 200


def test_a_killed_process_is_followed_by_another(server):
    children = subprocess.run(
        ["pgrep", "-f", "shared.web_server"], capture_output=True, text=True, check=True
    )
    mine = [int(pid) for pid in children.stdout.split() if listens(int(pid), server)]
    assert len(mine) == 3  # Who binds, and two who serve.
    os.kill(mine[-1], 9)
    assert [answered(server) for _ in range(20)] == [200] * 20


def listens(pid: int, port: int) -> bool:
    try:
        held = Path(f"/proc/{pid}/environ").read_bytes()
        return f"PORT={port}".encode() in held.split(b"\0")
    except OSError:
        return False


@pytest.mark.parametrize("host", ["192.0.2.1", "[::]", "practice.example.org"])
def test_the_server_for_work_on_the_code_listens_to_this_machine_only(host):
    with pytest.raises(CommandError, match="Use: make run HOST="):
        call_command("runserver", f"{host}:8000")
