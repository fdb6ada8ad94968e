"""Fixtures of the phone's browser tests. Chromium and the seeded database are made once."""

import fcntl
import json
import shutil
from pathlib import Path

import pytest

from tests import slow
from tests.browser import house
from tests.demo_copy import load_demo


@pytest.fixture(scope="session")
def template(tmp_path_factory, worker_id) -> tuple[Path, dict]:
    """The seeded database: made by the worker who needs it first, read by all."""
    own = tmp_path_factory.getbasetemp()
    folder = (own if worker_id == "master" else own.parent) / "phone-seed"
    folder.mkdir(exist_ok=True)
    told = folder / "seed.json"
    with (folder / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not told.exists():
            told.write_text(json.dumps(house.seeded(folder)))
    return folder, json.loads(told.read_text())


@pytest.fixture(scope="session")
def playwright():
    sync_api = pytest.importorskip("playwright.sync_api")
    with pytest.MonkeyPatch.context() as patched, sync_api.sync_playwright() as running:
        for kind in (sync_api.Page, sync_api.Locator):
            patched.setattr(kind, "click", house.arriving(kind.click))
        yield running


@pytest.fixture(scope="session")
def browser(playwright):
    chromium = playwright.chromium.launch(executable_path=house.CHROMIUM, args=house.FLAGS)
    yield slow.slowed(chromium) if slow.SLOW else chromium
    chromium.close()


@pytest.fixture
def whole_browser(playwright):
    """The one with windows, for what the other has not."""
    chromium = playwright.chromium.launch(executable_path=house.WHOLE, args=house.FLAGS)
    yield chromium
    chromium.close()


@pytest.fixture(scope="session")
def shared_server(template, tmp_path_factory):
    """One running server for the session; `server` puts its database back before each test."""
    with house.running_copy(template[0], tmp_path_factory.mktemp("phone-server")) as server:
        yield server


@pytest.fixture
def demo(transactional_db, tmp_path_factory, worker_id) -> None:
    """In the database of the tests, for pages that are served out of it."""
    load_demo(tmp_path_factory, worker_id)


@pytest.fixture
def seed(template) -> dict:
    return template[1]


@pytest.fixture
def server(template, shared_server):
    """The running server with the database as seeded, and no fault ordered."""
    shared_server.fault("none", 0)
    shared_server.put_back(template[0] / "phone.sqlite3")
    # A worker that the last test killed may still be on its way.
    house.until(shared_server.answers, "the server to answer")
    return shared_server


@pytest.fixture
def context(browser, server, seed):
    context = house.new_context(browser, server, seed["cookies"]["sam"])
    yield context
    context.close()


@pytest.fixture
def phone(context, server) -> house.Phone:
    return house.Phone(context.new_page(), server).open()


@pytest.fixture
def own_server(template, tmp_path):
    """A server of this test's own, for what would harm the shared one."""
    with house.running_copy(template[0], tmp_path) as server:
        yield server
    shutil.rmtree(tmp_path, ignore_errors=True)
