"""How long to wait: longer each time, and never for ever."""

import random
from datetime import timedelta

from shared.jobs.backoff import wait_after


def test_waits_grow_and_are_bounded():
    random.seed(1)
    waits = [wait_after(tries) for tries in (*range(1, 9), 10_000)]
    assert timedelta(seconds=40) <= waits[0] <= timedelta(seconds=80)
    assert max(waits) <= timedelta(minutes=40)
    assert waits[4] > waits[0] * 4
