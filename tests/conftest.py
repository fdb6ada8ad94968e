"""What every test may ask for."""

import pytest
import time_machine
from django.test import Client
from hypothesis import HealthCheck, settings

from shared.people.models import Student, User
from tests import factories

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


def pytest_collection_modifyitems(config, items):
    if config.getoption("--database-only"):
        kept = [item for item in items if asks_the_database(item)]
        config.hook.pytest_deselected(items=[item for item in items if item not in set(kept)])
        items[:] = kept


def asks_the_database(item) -> bool:
    """Whether a test uses the database of the settings; some bring one of their own."""
    return "django_db" in item.keywords or not {"db", "transactional_db"}.isdisjoint(
        item.fixturenames
    )


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


def signed_in(user: User) -> Client:
    client = Client()
    client.force_login(user, backend="allauth.account.auth_backends.AuthenticationBackend")
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
