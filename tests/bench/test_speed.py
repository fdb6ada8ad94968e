"""What noise cannot move of the bench: that limit and page agree, and how much is asked for."""

import json

import pytest
from django.db import connection, connections
from django.test.utils import CaptureQueriesContext

from tests.bench.speed import Place, same_answer, written

pytestmark = pytest.mark.django_db
PAGE, DATA, LOG = 8, 1, 8


@pytest.fixture(autouse=True)
def within_the_test(monkeypatch):
    """The end of a request leaves the test's transaction alone, as with Django's own client."""
    monkeypatch.setattr(connections["default"], "close_if_unusable_or_obsolete", lambda: None)


@pytest.fixture
def place() -> Place:
    made = Place(students=2, years=0.1)
    same_answer(made)
    made.as_it_was()
    made.board()
    return made


@pytest.mark.parametrize(("work", "most"), [("board", PAGE), ("data", DATA), ("log", LOG)])
def test_no_more_is_asked_than_today(place, work, most):
    with CaptureQueriesContext(connection) as asked:
        getattr(place, work)()
    assert len(asked) <= most, json.dumps([query["sql"][:200] for query in asked], indent=1)


def test_the_limit_of_a_log_is_four_statements(place):
    with CaptureQueriesContext(connection) as asked:
        written(place)
    assert sum(query["sql"].startswith(("INSERT", "UPDATE")) for query in asked) == 4
