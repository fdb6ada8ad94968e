"""A sent week of two parts: a ladder four times, putting twice."""

import pytest

from tests.factories import make_drill, make_part, make_week


@pytest.fixture
def week(student):
    return make_week(student)


@pytest.fixture
def ladder(week):
    drill = make_drill(week.student.studio)
    return make_part(week, drill, sessions=4, minutes=15)


@pytest.fixture
def putting(week, ladder):
    drill = make_drill(week.student.studio, "Gate", "20", area="putting")
    return make_part(week, drill, sessions=2, minutes=20)
