"""What the database itself refuses of clubs and shots."""

import pytest
from django.db import IntegrityError

from practice.shots.models import Club, Shot, Sitting
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def sitting():
    student = factories.make_student(factories.make_coach())
    return Sitting.objects.create(student=student, day="2026-02-25")


def shot(sitting, **figures):
    return Shot.objects.create(sitting=sitting, student=sitting.student, **figures)


def test_a_number_is_given_once_in_a_sitting(sitting):
    shot(sitting, number=1, carry=40.0)
    with pytest.raises(IntegrityError):
        shot(sitting, number=1, carry=41.0)


@pytest.mark.parametrize("name", ["carry", "total", "ball_speed", "club_speed", "target"])
def test_no_figure_is_negative(sitting, name):
    with pytest.raises(IntegrityError):
        shot(sitting, number=1, **{name: -0.1})


def test_a_row_of_a_file_counts_once_and_shots_by_hand_as_often_as_made(sitting):
    shot(sitting, number=1, carry=40.0)
    shot(sitting, number=2, carry=40.0)
    shot(sitting, number=3, carry=40.0, fingerprint="a" * 64)
    with pytest.raises(IntegrityError):
        shot(sitting, number=4, carry=40.0, fingerprint="a" * 64)


def test_a_club_has_its_name_once(sitting):
    Club.objects.create(student=sitting.student, name="54°")
    with pytest.raises(IntegrityError):
        Club.objects.create(student=sitting.student, name="54°")
