"""A lesson on the Wednesday, and two drills."""

import pytest

from coaching.lessons import services
from tests import factories


@pytest.fixture
def ladder(coach):
    return factories.make_drill(factories.studio_of(coach), "Ladder")


@pytest.fixture
def putting(coach):
    return factories.make_drill(factories.studio_of(coach), "Putting", "20 balls")


@pytest.fixture
def lesson(coach, student, wednesday):
    return services.open_lesson(student=student, by=coach)
