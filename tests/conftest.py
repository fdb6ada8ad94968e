"""What every test may ask for."""

import pytest
from django.test import Client
from hypothesis import HealthCheck, settings

from shared.people.models import Student, User
from tests import factories

# No test may depend on how fast the machine is today.
settings.register_profile(
    "house", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("house")


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


@pytest.fixture
def coach_client(coach) -> Client:
    return signed_in(coach)


@pytest.fixture
def student_client(student) -> Client:
    return signed_in(student.user)
