import pytest

from tests import factories
from tests.log.entries import Phone


@pytest.fixture(autouse=True)
def always_wednesday(wednesday):
    """Phones here look at their clock in every test."""


@pytest.fixture
def part(student):
    """A ladder asked three times in the week of the tests."""
    drill = factories.make_drill(student.studio)
    return factories.make_part(factories.make_week(student), drill)


@pytest.fixture
def phone(student) -> Phone:
    return Phone(student)
