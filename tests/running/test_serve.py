"""`manage.py serve` as people start it: real processes, a real worker, a real mail."""

import json
import re
import signal
import subprocess
import sys
from http.client import HTTPConnection, HTTPException
from pathlib import Path

import pytest

from shared.site.environment import BadSetting
from shared.site.running import Address
from tests.ports import own_port
from tests.reminders.conftest import Sink, running_sink
from tests.running.processes import (
    LONGEST,
    REDIS,
    ROOT,
    environment,
    installation,
    manage,
    running,
    started_with,
    until,
)

SERVE = [sys.executable, "manage.py", "serve"]

# A student whose call was due at the start of this minute of this machine's clock.
SEED = """
from datetime import timedelta
from django.utils import timezone
from coaching.reminders import plan
from coaching.reminders.due import ReminderKind
from coaching.reminders.services import ensure_summary
from tests import factories
coach = factories.make_coach()
ensure_summary(coach)  # Without its rule a mail is off; a tick would make it, before or after.
until = timezone.now() + timedelta(hours=1)
notice = plan.make(coach, ReminderKind.COACH_MONDAY, timezone.localdate(), until)
notice.save(force_insert=True)
print(notice.message_id)
"""


@pytest.fixture
def mail():
    with running_sink() as sink:
        yield sink


@pytest.fixture
def port():
    with own_port() as port:
        yield port


def asked(port: int, path: str) -> tuple[int, str]:
    connection = HTTPConnection("127.0.0.1", port, timeout=LONGEST)
    try:
        connection.request("GET", path, headers={"Host": "localhost"})
        answer = connection.getresponse()
        return answer.status, answer.read().decode()
    except (OSError, HTTPException):
        return 0, ""
    finally:
        connection.close()


def seeded(env: dict[str, str]) -> str:
    return manage("shell", "--verbosity=0", "-c", SEED, env=env).stdout.strip().splitlines()[-1]


def walk(command: list[str], env: dict[str, str], tmp_path: Path, mail: Sink, stop: int) -> str:
    """From a start to a delivered mail to a stop that leaves nothing. Returns what it printed."""
    message_id, port, log = seeded(env), int(env["PORT"]), tmp_path / "log"
    with running(command, env, log) as process:
        until(lambda: "serves on" in log.read_text(), "the address", process)
        assert f"http://localhost:{port}" in log.read_text()
        assert asked(port, "/health/live")[0] == 200
        until(lambda: mail.taken, "the mail", process)
        until(lambda: asked(port, "/health/ready")[0] == 200, "a tick", process)
        assert json.loads(asked(port, "/health/ready")[1])["last_tick_seconds_ago"] < LONGEST
        process.send_signal(stop)
        assert process.wait(LONGEST) == 0
    until(lambda: not started_with(str(tmp_path)), "no process left")
    assert [message["Message-ID"] for message in mail.taken] == [message_id]
    return log.read_text()


def test_one_command_serves_ticks_mails_and_stops(tmp_path, mail, port):
    more = {"PORT": str(port), "EMAIL_URL": f"smtp://127.0.0.1:{mail.port}"}
    with installation(tmp_path, "sqlite", **more) as env:
        printed = walk(SERVE, env, tmp_path, mail, signal.SIGINT)
    assert "Traceback" not in printed, printed
    assert not list(ROOT.glob("celerybeat*"))


def test_the_native_script_runs_the_same_on_postgresql_and_redis(tmp_path, mail, port):
    more = {
        "PORT": str(port),
        "EMAIL_URL": f"smtp://127.0.0.1:{mail.port}",
        "REDIS_URL": REDIS,
        "PYTHON_BIN": sys.executable,
    }
    with installation(tmp_path, "postgresql", **more) as env:
        walk(["shared/setup/run_native.sh"], env, tmp_path, mail, signal.SIGTERM)


def test_a_taken_port_stops_everything_with_a_sentence(tmp_path):
    import socket

    with socket.create_server(("127.0.0.1", 0)) as taken:
        env = environment(tmp_path, PORT=str(taken.getsockname()[1]))
        found = subprocess.run(
            SERVE, cwd=ROOT, env=env, capture_output=True, text=True, timeout=LONGEST, check=False
        )
    assert found.returncode == 1
    assert "is in use" in found.stdout
    until(lambda: not started_with(str(tmp_path)), "no process left")


@pytest.mark.parametrize("port", ["0", "65536", "eighty"])
def test_a_port_that_is_none_is_refused(monkeypatch, port):
    monkeypatch.setenv("PORT", port)
    with pytest.raises(BadSetting, match=r"PORT: .*from 1 to 65535"):
        Address.from_environment()


def test_a_port_that_is_none_is_refused_in_words(tmp_path):
    env = environment(tmp_path, PORT="70000") | {"SITE_URL": "http://localhost:8000"}
    found = subprocess.run(
        [*SERVE, "--no-prepare"], cwd=ROOT, env=env, capture_output=True, text=True, check=False
    )
    assert found.returncode == 1
    assert re.search("PORT: .*from 1 to 65535", found.stderr)


def test_the_native_script_says_what_it_misses(tmp_path):
    found = subprocess.run(
        ["shared/setup/run_native.sh"],
        cwd=ROOT,
        env=environment(tmp_path),
        capture_output=True,
        text=True,
        check=False,
    )
    assert found.returncode != 0
    assert "DATABASE_URL" in found.stderr
