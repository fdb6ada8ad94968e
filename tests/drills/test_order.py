"""Blocked or mixed: seeded, whole, and never the same target twice running when mixed."""

from collections import Counter
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from practice.drills.order import Order, arrange

TARGETS = st.lists(st.sampled_from("abcdefgh"), min_size=2, max_size=8, unique=True)


@given(TARGETS, st.integers(1, 20), st.sampled_from(Order), st.integers(0, 10**6))
def test_every_target_has_its_tries_in_every_order(targets, each, order, seed):
    found = arrange(targets, each, order, seed=seed)
    assert Counter(found) == dict.fromkeys(targets, each)
    assert found == arrange(targets, each, order, seed=seed)


@given(TARGETS, st.integers(1, 20), st.integers(0, 10**6))
def test_mixed_never_has_one_twice_running(targets, each, seed):
    assert all(a != b for a, b in pairwise(arrange(targets, each, Order.MIXED, seed=seed)))


def test_blocked_and_as_written_are_one_after_the_other():
    for order in (Order.BLOCKED, Order.AS_WRITTEN):
        assert arrange(["a", "b"], 2, order) == ["a", "a", "b", "b"]


def test_another_seed_gives_another_order_and_all_orders_come():
    found = {tuple(arrange("abc", 1, Order.MIXED, seed=seed)) for seed in range(200)}
    assert len(found) == 6


def test_one_target_is_no_reason_to_mix():
    assert arrange(["a"], 3, Order.MIXED) == ["a", "a", "a"]


@pytest.mark.parametrize(
    ("targets", "each"),
    [([], 1), (["a", "a"], 1), (["a"], 0), (["a"], 61), (list("abcdefghijklm"), 1)],
)
def test_what_cannot_be_arranged_is_refused(targets, each):
    with pytest.raises(ValueError, match=r"targets|tries"):
        arrange(targets, each, Order.MIXED)
