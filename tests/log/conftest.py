import pytest
import time_machine

from tests import factories
from tests.log.entries import Phone


@pytest.fixture(autouse=True)
def wednesday_noon():
    with time_machine.travel(factories.NOON, tick=False):
        yield


@pytest.fixture
def part(student):
    """A ladder asked three times in the week of the tests."""
    drill = factories.make_drill(student.studio)
    return factories.make_part(factories.make_week(student), drill)


@pytest.fixture
def phone(student) -> Phone:
    return Phone(student)
