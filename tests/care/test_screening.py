"""What a coach saw of a student's movements, and when it is to be looked at again."""

from datetime import timedelta

import pytest
from django.utils import timezone

from practice.care import screening
from practice.care.screening import Can
from shared.people import access
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def looked_at(coach, student, wednesday):
    drill = factories.make_drill(student.studio, name="Slow turns")
    return screening.note(
        student=access.recordable(student), by=coach, movement="trunk", can=Can.CANNOT,
        drills=[drill],
    )  # fmt: skip


def test_a_look_says_what_it_holds_back_and_who_looked(coach, student, looked_at):
    (row,) = screening.rows(student, timezone.now())
    assert (row.movement, row.drills) == (screening.MOVEMENTS["trunk"], "Slow turns")
    assert (row.can, row.by) == (Can.CANNOT.label, str(coach))


@pytest.mark.parametrize(
    ("after", "is_old"),  # Three months, as 90 days: common practice, no source.
    [(timedelta(days=90), False), (timedelta(days=90, seconds=1), True)],
)
def test_a_look_is_old_after_three_months(student, looked_at, after, is_old):
    (row,) = screening.rows(student, looked_at.at + after)
    assert row.is_old is is_old
