"""A lesson on the Wednesday, and two drills."""

import pytest

from coaching.lessons import commands
from tests import factories


@pytest.fixture
def ladder(coach):
    return factories.make_drill(factories.studio_of(coach), "Ladder")


@pytest.fixture
def putting(coach):
    return factories.make_drill(factories.studio_of(coach), "Putting", "20 balls")


@pytest.fixture
def lesson(coach, student, wednesday):
    return commands.open_lesson(student=student, by=coach)
