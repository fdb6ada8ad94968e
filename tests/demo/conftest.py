"""The demo, there for all who read it."""

import pytest

from coaching.demo.remove import remove
from practice.shots.models import Shot
from tests.demo_copy import load_demo


@pytest.fixture(scope="package")
def demo_lines(django_db_setup, django_db_blocker, tmp_path_factory, worker_id):
    """What it says as it loads; it is taken away when the package's tests are over."""
    with django_db_blocker.unblock():
        lines = load_demo(tmp_path_factory, worker_id)
        yield lines
        remove()
        assert not Shot.objects.exists()


@pytest.fixture
def demo(db, demo_lines):
    return demo_lines


@pytest.fixture
def empty_house(db):
    """Without the demo, wherever another test has loaded it; put back after the test."""
    remove()
