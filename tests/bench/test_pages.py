"""What noise cannot move of the pages' bench: how much each page asks of the database."""

import pytest

from tests.bench.pages import MOST_QUERIES, PageCost, Walk
from tests.test_routes import ALL

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def costs(django_db_setup, django_db_blocker) -> dict[str, PageCost]:
    """Each page of a small studio, as the first role sees it; all of it is put back."""
    from tests.test_routes import put_back

    with django_db_blocker.unblock(), put_back():
        walk = Walk(students=3, years=0.2, rounds=0)
        return {name: cost for name in ALL if (cost := walk.first_reader_of(name))}


def test_no_page_asks_more_than_it_may(costs):
    assert len(costs) > 90
    over = [
        f"{name}, as {cost.role}: {cost.queries} queries"
        for name, cost in costs.items()
        if cost.queries > MOST_QUERIES
    ]
    assert not over, "\n".join(over)
