"""Which tests show what another database engine may do differently, without running all twice.

With `--note-statements` a run on SQLite notes which statements each test sends. With
`--each-statement` a run elsewhere keeps what holds transactions of its own, what is marked
`engine` and what was not noted, and leaves out tests whose every statement is sent by two others
that it keeps, the dearer first. The whole suite on PostgreSQL is `make test-postgresql`.
"""

import json
import os
import re
import time
from collections import Counter
from collections.abc import Iterable
from functools import cache, lru_cache
from hashlib import sha256
from pathlib import Path

import pytest
from django.db import connection

FOLDER = Path(__file__).resolve().parents[1] / ".statements"
TIMES = 2  # Each statement by this many tests, as engines may differ over its values too.
Note = tuple[float, list[str]]  # Seconds of processor, and the statements.

_LISTS = re.compile(r"(%s|\(%s(?:, %s)*\))(?:, \1)+")
_NUMBERS = re.compile(r"\b\d+\b")
_CONTROL = ("SAVEPOINT", "RELEASE", "ROLLBACK", "BEGIN", "PRAGMA", "ANALYZE")


@lru_cache(maxsize=20_000)
def shape(sql: str) -> str:
    """The statement without how many values it has and which numbers stand in it."""
    while (shorter := _LISTS.sub(r"\1", sql)) != sql:
        sql = shorter
    return sha256(_NUMBERS.sub("0", sql).encode()).hexdigest()[:16]


def chosen(notes: dict[str, Note], kept: Iterable[str] = ()) -> set[str]:
    """With those that are kept whatever they send, the tests that send every noted statement
    TIMES times, or as often as any test does."""
    senders = Counter(name for _, sent in notes.values() for name in sent)
    wanted = Counter({name: min(TIMES, count) for name, count in senders.items()})
    taken = {test: notes[test] for test in kept}
    for _, sent in taken.values():
        wanted.subtract(sent)
    # The tests that show most for their time go first; each is taken if it still adds something.
    rarity = {test: sum(1 / senders[name] for name in sent) / (cost + 0.01)
              for test, (cost, sent) in notes.items()}  # fmt: skip
    added = []
    for test in sorted(notes.keys() - taken.keys(), key=lambda test: (-rarity[test], test)):
        sent = notes[test][1]
        if any(wanted[name] > 0 for name in sent):
            added.append(test)
            wanted.subtract(sent)
    return taken.keys() | _needed(added, notes, wanted)


def _needed(added: list[str], notes: dict[str, Note], wanted: Counter) -> set[str]:
    """Without those that others, taken after them, made idle; the dearest go first.

    `wanted` says how often each statement is still to be sent: less than nothing where it is
    sent more often than it must.
    """
    needed = set(added)
    for test in sorted(added, key=lambda test: (-notes[test][0], test)):
        if all(wanted[name] < 0 for name in notes[test][1]):
            needed.remove(test)
            wanted.update(notes[test][1])
    return needed


class Noting:
    """Writes down, test by test, what is sent through the connection of the tests' thread."""

    def __init__(self, worker: str) -> None:
        self.file = FOLDER / f"{worker}.json"
        self.notes: dict[str, Note] = {}
        self.sent: set[str] = set()

    def __call__(self, execute, sql, params, many, context):
        if not sql.startswith(_CONTROL):
            self.sent.add(shape(sql))
        return execute(sql, params, many, context)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item):
        if not asks_the_database(item):
            return (yield)
        self.sent, began = set(), time.process_time()
        with connection.execute_wrapper(self):
            done = yield
        self.notes[item.nodeid] = (time.process_time() - began, sorted(self.sent))
        return done

    def pytest_sessionfinish(self):
        FOLDER.mkdir(exist_ok=True)
        self.file.write_text(json.dumps(self.notes))


def read() -> dict[str, Note]:
    """What the last noting run wrote, of all its workers."""
    notes: dict[str, Note] = {}
    for file in FOLDER.glob("*.json"):
        notes |= json.loads(file.read_text())
    return notes


def asks_the_database(item) -> bool:
    """Whether a test uses the database of the settings; some bring one of their own."""
    return "django_db" in item.keywords or not {"db", "transactional_db"}.isdisjoint(
        item.fixturenames
    )


def asks_for_nothing(file: Path) -> bool:
    """Whether no test of a file was noted, and it is no newer than the notes: it need not be read,
    as a third of the processor of a short run goes into reading what is then left out."""
    notes = [each.stat().st_mtime for each in FOLDER.glob("*.json")]
    if not notes or file.stat().st_mtime > min(notes):
        return False
    return str(file.relative_to(FOLDER.parent)) not in _noted_files()


@cache
def _noted_files() -> frozenset[str]:
    return frozenset(test.split("::")[0] for test in read())


def keeps_transactions(item) -> bool:
    marker = item.get_closest_marker("django_db")
    return "transactional_db" in item.fixturenames or bool(
        marker and marker.kwargs.get("transaction")
    )


def must_run(item) -> bool:
    return keeps_transactions(item) or item.get_closest_marker("engine") is not None


def enough_of(items: list) -> list:
    """Those that must run on this engine."""
    notes = read()
    if not notes:
        raise pytest.UsageError("No statements are noted: run with --note-statements first.")
    kept = [item for item in items if item.nodeid not in notes or must_run(item)]
    noted = {item.nodeid: notes[item.nodeid] for item in items if item.nodeid in notes}
    taken = chosen(noted, [item.nodeid for item in kept if item.nodeid in noted])
    return [item for item in items if item.nodeid in taken or item.nodeid not in notes]


def begin(config) -> None:
    """Note from now on; the first process of a run forgets what earlier runs noted."""
    worker = os.environ.get("PYTEST_XDIST_WORKER")
    if worker is None:
        for old in FOLDER.glob("*.json"):
            old.unlink()
    if worker or not config.getoption("numprocesses", None):
        config.pluginmanager.register(Noting(worker or "alone"), "statements")
