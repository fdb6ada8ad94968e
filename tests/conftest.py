"""What every test may ask for."""

import gc
import os
from pathlib import Path

import pytest
import time_machine
from django.conf import settings as django_settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.db import connection
from django.test import Client, TransactionTestCase
from hypothesis import HealthCheck, settings

from shared.people.models import Student, User
from shared.people.sessions import SessionStore
from tests import any_day, factories, migrated, statements

# No test may depend on how fast the machine is today.
settings.register_profile(
    "house", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("house")


def pytest_addoption(parser):
    parser.addoption(
        "--database-only",
        action="store_true",
        help="leave out what no choice of DATABASE_URL can change",
    )
    parser.addoption(
        "--note-statements", action="store_true", help="note what each test sends to the database"
    )
    parser.addoption(
        "--each-statement",
        action="store_true",
        help="of those, only as many as send every noted statement twice",
    )
    parser.addoption("--today", metavar="INSTANT", help="begin then, as in 2028-02-29T12:00")
    parser.addoption("--shuffle", type=int, metavar="SEED", help="run in an order of chance")


def pytest_configure(config):
    if config.getoption("--note-statements"):
        statements.begin(config)
    if today := config.getoption("--today"):
        any_day.begin(today)


def pytest_ignore_collect(collection_path, config):
    """What the database has no part in need not be read where nothing else is asked for."""
    if config.getoption("--database-only") and config.getoption("--each-statement"):
        is_of_tests = collection_path.match("test_*.py")
        return (is_of_tests and statements.asks_for_nothing(collection_path)) or None
    return None


@pytest.hookimpl(trylast=True)  # Of what -m leaves: what it takes out shows nothing.
def pytest_collection_modifyitems(config, items):
    if config.getoption("--database-only"):
        kept = [item for item in items if statements.asks_the_database(item)]
        if config.getoption("--each-statement"):
            kept = statements.enough_of(kept)
        config.hook.pytest_deselected(items=[item for item in items if item not in set(kept)])
        items[:] = kept
    # They take longest: what is short comes last, so that all workers end together.
    items.sort(key=lambda item: item.get_closest_marker("browser") is None)
    if (seed := config.getoption("--shuffle")) is not None:
        items[:] = any_day.shuffled(items, seed)


def pytest_collection_finish():
    """What was imported and collected stays to the end: no search for garbage goes through it."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings_parallel_suffix, django_db_blocker):
    """Each worker's database begins as a copy of one that was migrated."""
    # Nothing is left to make: the tables are there.
    test = connection.settings_dict["TEST"]
    test["MIGRATE"] = False
    if connection.vendor == "sqlite":
        migrated.sqlite(Path(test["NAME"]))
    else:
        with django_db_blocker.unblock(), connection._nodb_cursor() as admin:
            test["TEMPLATE"] = migrated.postgresql(admin, os.environ["DATABASE_URL"])


@pytest.fixture(scope="session")
def django_db_keepdb():
    """Take the copied file as it is; its folder is of this run only."""
    return connection.vendor == "sqlite"


@pytest.fixture(scope="session", autouse=True)
def emptied():
    """What holds transactions of its own leaves an empty database, however few rows it made."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            TransactionTestCase, "_fixture_teardown", lambda _: migrated.empty(connection)
        )
        yield


@pytest.fixture
def wednesday():
    """The clock stands at noon of the Wednesday; a test may move it."""
    with time_machine.travel(factories.NOON, tick=False) as clock:
        yield clock


@pytest.fixture
def wednesday_evening():
    """The clock stands at eight on the evening of the same day."""
    with time_machine.travel(factories.WEDNESDAY_EVENING, tick=False) as clock:
        yield clock


@pytest.fixture
def coach(db) -> User:
    return factories.make_coach(name="Coach One")


@pytest.fixture
def student(coach) -> Student:
    return factories.make_student(coach, "Sam Sample")


def signed_in(user: User, of: type[Client] = Client) -> Client:
    """As `force_login`, by one row instead of four questions; nobody is told of a sign-in."""
    session = SessionStore()
    session[SESSION_KEY] = user._meta.pk.value_to_string(user)
    session[BACKEND_SESSION_KEY] = django_settings.AUTHENTICATION_BACKENDS[0]
    session[HASH_SESSION_KEY] = user.get_session_auth_hash()
    session.save()
    client = of()
    client.cookies[django_settings.SESSION_COOKIE_NAME] = session.session_key
    return client


def messages_on(page) -> str:
    """What the page says of what was just done."""
    return " ".join(str(message) for message in page.context["messages"])


@pytest.fixture
def coach_client(coach) -> Client:
    return signed_in(coach)


@pytest.fixture
def student_client(student) -> Client:
    return signed_in(student.user)
