"""Migrating: one at a time, with no limit on statements; requests have theirs."""

import re
import subprocess
import sys
from contextlib import contextmanager
from io import StringIO

import pytest
from django.core.management import call_command

from shared.people.management.commands import migrate
from tests.running.processes import ROOT, installation

SHOW = (
    "from django.db import connection as c; k = c.cursor();"
    "k.execute('SHOW statement_timeout'); a = k.fetchone()[0];"
    "k.execute('SHOW lock_timeout'); print(a, k.fetchone()[0])"
)
WEB = f"import shared.wsgi; {SHOW}"


@pytest.fixture(params=["sqlite", "postgresql"])
def env(request, tmp_path):
    with installation(tmp_path, request.param, empty=True) as env:
        yield env


def start(env, *words: str) -> subprocess.Popen:
    command = [sys.executable, "manage.py", *words]
    pipe = subprocess.PIPE
    return subprocess.Popen(command, cwd=ROOT, env=env, stdout=pipe, stderr=pipe, text=True)


def test_of_two_that_migrate_at_once_none_fails_and_one_says_how_far_it_is(env):
    both = [start(env, "migrate", "--verbosity=0", "--how-far") for _ in range(2)]
    said = [process.communicate() for process in both]
    assert [process.returncode for process in both] == [0, 0], said
    lines = "".join(out for out, _ in said).splitlines()
    told = [re.fullmatch(r"  (\d+) of (\d+) steps of the database …", line) for line in lines]
    assert all(told), lines
    (steps,) = {int(each[2]) for each in told}
    assert [int(each[1]) for each in told] == list(range(20, steps + 1, 20))


def test_only_requests_have_limits_on_their_statements(env):
    if "DATABASE_URL" not in env:
        pytest.skip("SQLite has no such limits")
    told = []
    for code in (SHOW, WEB):
        process = start(env, "shell", "--verbosity=0", "-c", code)
        told.append(process.communicate()[0].strip())
    assert told == ["0 0", "15s 5s"]


@pytest.mark.django_db
def test_the_checks_wait_for_whoever_migrates_too(monkeypatch):
    """One of them asks the database: busy with another's migration, it was called unfit."""
    order = []

    @contextmanager
    def alone(connection):
        order.append("alone")
        yield
        order.append("done")

    monkeypatch.setattr(migrate, "alone", alone)
    monkeypatch.setattr(migrate.Command, "check", lambda *_, **__: order.append("check"))
    call_command("migrate", "--plan", skip_checks=False, stdout=StringIO())
    assert order == ["alone", "check", "done"]
