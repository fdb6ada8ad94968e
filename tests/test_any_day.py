"""A day of one's choice, and an order of chance."""

from datetime import date
from types import SimpleNamespace

from django.utils import timezone

from tests import any_day


def item(path: str, name: int, *, own: bool = False):
    """As much of a test as the order looks at."""
    return SimpleNamespace(
        path=path,
        name=name,
        fixturenames=["transactional_db"] if own else [],
        get_closest_marker=lambda _: None,
    )


def test_no_test_is_lost_and_those_that_empty_the_database_come_last():
    items = [item(path, n, own=path == "b") for path in "abc" for n in range(5)]
    found = any_day.shuffled(items, 1)
    assert sorted((each.path, each.name) for each in found) == [(e.path, e.name) for e in items]
    assert {each.path for each in found[-5:]} == {"b"}
    assert [each.path for each in found] in (list("aaaaacccccbbbbb"), list("cccccaaaaabbbbb"))


def test_another_seed_is_another_order_and_the_same_one_the_same():
    items = [item("a", n) for n in range(20)]
    one, again, other = (any_day.shuffled(items, seed) for seed in (1, 1, 2))
    assert one == again
    assert one != other
    assert items != one


def test_the_run_begins_at_the_instant_that_was_said():
    travel = any_day.begin("2028-02-29T12:00")
    try:
        assert timezone.localdate() == date(2028, 2, 29)
    finally:
        travel.stop()
