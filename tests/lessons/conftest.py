"""A lesson on a Wednesday, and two drills."""

import pytest
import time_machine

from coaching.lessons import commands
from tests import factories
from tests.factories import NOON


@pytest.fixture
def wednesday():
    with time_machine.travel(NOON, tick=False) as clock:
        yield clock


@pytest.fixture
def ladder(coach):
    return factories.make_drill(factories.studio_of(coach), "Ladder")


@pytest.fixture
def putting(coach):
    return factories.make_drill(factories.studio_of(coach), "Putting", "20 balls")


@pytest.fixture
def lesson(coach, student, wednesday):
    return commands.open_lesson(student=student, by=coach)
