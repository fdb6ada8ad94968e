"""Who may and who may not look at a student's numbers."""

import pytest

from shared.people.models import Membership
from tests.conftest import signed_in
from tests.factories import make_child, make_coach, make_student, make_user, studio_of


@pytest.fixture
def cast(coach, student):
    """Everybody who may ask for the pages of `student`, by name."""
    studio = studio_of(coach)
    return {
        "owner": make_coach(studio, role=Membership.Role.OWNER),
        "coach": coach,
        "assistant": make_coach(studio, role=Membership.Role.ASSISTANT),
        "helper": make_coach(studio, role=Membership.Role.HELPER),
        "student": student.user,
        "fellow": make_student(coach, "Fellow").user,
        "stranger": make_coach(),
        "nobody": make_user(),
    }


@pytest.fixture
def guardian(db):
    return make_user("Gil Guardian")


@pytest.fixture
def child(coach, guardian):
    return make_child(coach, guardian, name="Kim")


@pytest.fixture
def guardian_client(guardian, child):
    return signed_in(guardian)
